//! Work of which the number of runs is not known beforehand.

use crate::watch::Watch;

/// Passes on that the rest is not wanted, but tells of no runs: somebody else counts them.
pub(super) struct Quiet<'a>(pub(super) &'a dyn Watch);

impl Watch for Quiet<'_> {
    fn done(&self, _: u64) {}

    fn called_off(&self) -> bool {
        self.0.called_off()
    }
}
