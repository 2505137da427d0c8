//! Somebody who waits while many runs are made.

/// Is told of runs as they are done, from any thread, and may call the rest off.
pub trait Watch: Sync {
    /// So many more runs are done.
    fn done(&self, runs: u64);

    /// Whether the rest is no longer wanted.
    fn called_off(&self) -> bool;
}

/// Nobody waits: nothing is told, and nothing called off.
#[derive(Debug, Clone, Copy, Default)]
pub struct Nobody;

impl Watch for Nobody {
    fn done(&self, _: u64) {}

    fn called_off(&self) -> bool {
        false
    }
}
