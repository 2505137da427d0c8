//! Vehicle and scenario files: quantities with units, validation, estimates, schema.
