//! Charts and the self-contained report.
