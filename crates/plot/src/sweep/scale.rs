//! What the colours and marks of a map mean.

use bitepoint_runner::sweep::LOSS_S;

use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen};
use crate::chart::markup::Hatch;
use crate::format::number;
use crate::palette::Ink;

/// The mark of the best start.
pub(super) fn best_mark(canvas: &Canvas, (x, y): (f64, f64)) {
    canvas.dot((x, y), 7.0, Ink::Paper);
    canvas.dot((x, y), 5.5, Ink::Text);
    canvas.dot((x, y), 2.5, Ink::Paper);
}

/// What the colours mean.
pub(super) fn scale(canvas: &Canvas, thresholds: &[f64], top: f64) {
    let layout = canvas.layout;
    let left = 2.0;
    let width = layout.pick(56.0, 44.0);
    canvas.text((left, top + 8.0), "Time lost against the best of each map, s", Anchor::Start, Ink::Text);
    for (i, ink) in Ink::STEPS.into_iter().take(thresholds.len() + 1).enumerate() {
        let x = left + i as f64 * width;
        canvas.rect((x, top + 20.0), (x + width, top + 33.0), ink, Hatch::Full);
        canvas.frame((x, top + 20.0), (x + width, top + 33.0), Pen::AXIS);
        if let Some(threshold) = thresholds.get(i) {
            let text = number(*threshold, if *threshold < 0.1 { 2 } else { usize::from(*threshold < 1.0) });
            canvas.text((x + width, top + 42.0), &text, Anchor::Middle, Ink::Muted);
            if *threshold == LOSS_S {
                canvas.line((x + width, top + 18.0), (x + width, top + 35.0), Pen::new(Ink::Text, Dash::Solid, 2.5));
            }
        }
    }
    if layout == Layout::Wide {
        let x = left + (thresholds.len() + 1) as f64 * width + 20.0;
        canvas.line((x, top + 26.0), (x + 26.0, top + 26.0), Pen::new(Ink::Text, Dash::Solid, 2.5));
        canvas.text((x + 32.0, top + 26.0), "edge of the window (0.05 s)", Anchor::Start, Ink::Text);
        best_mark(canvas, (x + 230.0, top + 26.0));
        canvas.text((x + 242.0, top + 26.0), "quickest start", Anchor::Start, Ink::Text);
    }
}
