//! Labels on a map that keep off each other.

use crate::chart::canvas::{Anchor, Canvas};
use crate::chart::panel::Frame;
use crate::palette::Ink;

/// Whether a label lies within a frame.
pub(super) fn inside(frame: &Frame, (x, y): (f64, f64), half: f64) -> bool {
    x - half > frame.left && x + half < frame.right && y - 9.0 > frame.top && y + 9.0 < frame.bottom
}

/// Where a label lies, half its width, and what it says; nothing for one that something else has written.
type Label = ((f64, f64), f64, Option<(String, Ink)>);

/// Labels that keep off each other.
#[derive(Default)]
pub(super) struct Labels {
    placed: Vec<Label>,
}

impl Labels {
    /// Whether a label there touches no other.
    pub(super) fn clear(&self, (x, y): (f64, f64), half: f64) -> bool {
        let touches = |((a, b), other, _): &Label| (x - a).abs() < half + other + 4.0 && (y - b).abs() < 17.0;
        !self.placed.iter().any(touches)
    }

    /// Distance to the nearest label, px.
    pub(super) fn room(&self, (x, y): (f64, f64)) -> f64 {
        self.placed.iter().map(|((a, b), ..)| (x - a).hypot(y - b)).fold(f64::INFINITY, f64::min)
    }

    pub(super) fn take(&mut self, centre: (f64, f64), half: f64) {
        self.placed.push((centre, half, None));
    }

    pub(super) fn add(&mut self, centre: (f64, f64), half: f64, text: String, ink: Ink) {
        self.placed.push((centre, half, Some((text, ink))));
    }

    pub(super) fn write(&self, canvas: &Canvas) {
        for ((x, y), _, label) in &self.placed {
            if let Some((text, ink)) = label {
                canvas.text((*x, *y), text, Anchor::Middle, *ink);
            }
        }
    }
}
