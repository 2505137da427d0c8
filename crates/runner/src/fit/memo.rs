//! Simulated starts that were computed already: a difference by one start's driver leaves all other starts as they are.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Speeds by the bits of what they follow from.
#[derive(Debug, Default)]
pub(super) struct Memo(Mutex<HashMap<Vec<u64>, Arc<Vec<f64>>>>);

/// Forgets all beyond so many: a search comes back to what is recent alone.
const MOST: usize = 1000;

impl Memo {
    /// The speeds of `of`, computed if they are not known.
    pub(super) fn get(&self, of: &[f64], compute: impl FnOnce() -> Vec<f64>) -> Arc<Vec<f64>> {
        let key: Vec<u64> = of.iter().map(|x| x.to_bits()).collect();
        let held = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = held().get(&key) {
            return Arc::clone(known);
        }
        let speeds = Arc::new(compute());
        let mut known = held();
        if known.len() >= MOST {
            known.clear();
        }
        known.insert(key, Arc::clone(&speeds));
        speeds
    }
}
