//! Runs, sweeps and plans on top of the model.
