//! Tells a person at a terminal how far the work is, and hears them call it off.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use bitepoint_runner::watch::Watch;
use indicatif::{ProgressBar, ProgressStyle};

/// A bar on a terminal (none in a pipe); an interrupt (Ctrl-C) calls the work off.
pub(crate) struct Progress {
    bar: ProgressBar,
    called_off: Arc<AtomicBool>,
}

impl Progress {
    /// A bar for so many runs; `what` names them: "runs". One a process: the interrupt belongs to the first.
    pub(crate) fn new(runs: u64, what: &str) -> Self {
        let called_off = Arc::new(AtomicBool::new(false));
        let heard = Arc::clone(&called_off);
        // Where no handler can be set, an interrupt ends the process, which leaves no half file either.
        let _ = ctrlc::set_handler(move || heard.store(true, Ordering::Relaxed));
        let bar = ProgressBar::new(runs);
        if let Ok(style) = ProgressStyle::with_template("{bar:40} {human_pos} of {human_len} {msg}, {eta} left") {
            bar.set_style(style);
        }
        bar.set_message(what.to_owned());
        Self { bar, called_off }
    }

    /// Runs done so far.
    pub(crate) fn runs(&self) -> u64 {
        self.bar.position()
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

impl Watch for Progress {
    fn done(&self, runs: u64) {
        self.bar.inc(runs);
    }

    fn called_off(&self) -> bool {
        self.called_off.load(Ordering::Relaxed)
    }
}
