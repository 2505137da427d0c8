//! A pair of axes on a canvas, and lines with their labels.

use std::cmp::Ordering;

use plotters::coord::ranged1d::Ranged;
use plotters::coord::types::RangedCoordf64;

use crate::format::number;
use crate::palette::Ink;
use crate::spans::Span;

use super::canvas::{Anchor, Canvas, Dash, Pen};
use super::labels;
use super::markup::Hatch;
use super::thin::thin;

/// Resolution in which the axes place a value, parts of a px.
const PARTS: f64 = 64.0;

/// Where a panel lies, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) top: f64,
    pub(crate) bottom: f64,
}

pub(crate) struct Panel {
    pub(crate) frame: Frame,
    x: RangedCoordf64,
    y: RangedCoordf64,
    x_range: (f64, f64),
    y_range: (f64, f64),
    /// Numbers across, at most; nothing for as many as the whole sheet has room for.
    x_numbers: Option<usize>,
}

/// A line's name at its right end.
pub(crate) struct EndLabel {
    /// Value at which the line ends.
    pub(crate) y: f64,
    pub(crate) text: String,
    pub(crate) pen: Pen,
}

/// A range that holds all values, those of `also`, and some air above; never empty, never without end.
pub(crate) fn range(values: impl Iterator<Item = f64>, also: &[f64]) -> (f64, f64) {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for value in values.chain(also.iter().copied()).filter(|value| value.is_finite()) {
        low = low.min(value);
        high = high.max(value);
    }
    if low > high {
        return (0.0, 1.0);
    }
    let span = (high - low).max(1e-3 * high.abs()).max(1e-6);
    (if low < 0.0 { low - 0.05 * span } else { low }, high + 0.08 * span)
}

impl Panel {
    pub(crate) fn new(frame: Frame, x_range: (f64, f64), y_range: (f64, f64)) -> Self {
        let (x, y) = ((x_range.0..x_range.1).into(), (y_range.0..y_range.1).into());
        Self { frame, x, y, x_range, y_range, x_numbers: None }
    }

    /// The same with at most so many numbers across: a small panel beside others.
    pub(crate) fn with_x_numbers(self, most: usize) -> Self {
        Self { x_numbers: Some(most), ..self }
    }

    fn x_points(&self, canvas: &Canvas) -> Vec<f64> {
        self.x.key_points(self.x_numbers.unwrap_or(canvas.layout.pick(12, 6)))
    }

    /// Place of a value across, px.
    pub(crate) fn x(&self, value: f64) -> f64 {
        let (left, right) = (self.frame.left * PARTS, self.frame.right * PARTS);
        f64::from(self.x.map(&value.clamp(self.x_range.0, self.x_range.1), (left as i32, right as i32))) / PARTS
    }

    /// Place of a value up, px.
    pub(crate) fn y(&self, value: f64) -> f64 {
        let (bottom, top) = (self.frame.bottom * PARTS, self.frame.top * PARTS);
        f64::from(self.y.map(&value.clamp(self.y_range.0, self.y_range.1), (bottom as i32, top as i32))) / PARTS
    }

    /// Grid, value axis with its title above it, and frame. The time axis is drawn by `x_axis`, once below all panels that share it.
    pub(crate) fn y_axis(&self, canvas: &Canvas, title: &str, ticks: usize) {
        let Frame { top, .. } = self.frame;
        self.x_grid(canvas);
        self.y_grid(canvas, ticks);
        if !title.is_empty() {
            canvas.text((2.0, top - 14.0), title, Anchor::Start, Ink::Text);
        }
    }

    /// Level lines of the grid with their numbers, and the axes' lines.
    pub(crate) fn y_grid(&self, canvas: &Canvas, ticks: usize) {
        let Frame { left, right, top, bottom } = self.frame;
        for value in self.y.key_points(ticks) {
            canvas.line((left, self.y(value)), (right, self.y(value)), Pen::GRID);
        }
        self.y_numbers(canvas, ticks);
        canvas.line((left, top), (left, bottom), Pen::AXIS);
        canvas.line((left, bottom), (right, bottom), Pen::AXIS);
    }

    /// Numbers of the value axis, without a grid.
    pub(crate) fn y_numbers(&self, canvas: &Canvas, ticks: usize) {
        let values = self.y.key_points(ticks);
        let decimals = decimals(&values);
        for value in values {
            canvas.text((self.frame.left - 6.0, self.y(value)), &number(value, decimals), Anchor::End, Ink::Muted);
        }
    }

    /// Upright lines of the grid.
    pub(crate) fn x_grid(&self, canvas: &Canvas) {
        for value in self.x_points(canvas) {
            canvas.line((self.x(value), self.frame.top), (self.x(value), self.frame.bottom), Pen::GRID);
        }
    }

    /// Numbers and title of the axis across, below `at_px`.
    pub(crate) fn x_axis(&self, canvas: &Canvas, at_px: f64, title: &str) {
        self.x_axis_ticks(canvas, at_px, title, canvas.layout.pick(12, 6));
    }

    /// The same with at most so many numbers, for a panel that is narrower than the sheet.
    pub(crate) fn x_axis_ticks(&self, canvas: &Canvas, at_px: f64, title: &str, ticks: usize) {
        let values = self.x.key_points(ticks);
        let decimals = decimals(&values);
        for value in values {
            let x = self.x(value);
            canvas.line((x, at_px), (x, at_px + 4.0), Pen::AXIS);
            canvas.text((x, at_px + 13.0), &number(value, decimals), Anchor::Middle, Ink::Muted);
        }
        canvas.text((0.5 * (self.frame.left + self.frame.right), at_px + 32.0), title, Anchor::Middle, Ink::Text);
    }

    /// A line; what lies outside of the axes is drawn at their edge.
    pub(crate) fn line(&self, canvas: &Canvas, points: impl Iterator<Item = (f64, f64)>, pen: Pen) {
        canvas.path(&thin(&self.places(points)), pen);
    }

    /// The area between two lines over the same times, where `from` is below `to`.
    pub(crate) fn between(&self, canvas: &Canvas, points: &[(f64, f64, f64)], ink: Ink, hatch: Hatch) {
        for part in points.split(|(_, low, high)| low.partial_cmp(high) != Some(Ordering::Less)) {
            let mut outline = thin(&self.places(part.iter().map(|p| (p.0, p.2))));
            let low = thin(&self.places(part.iter().map(|p| (p.0, p.1))));
            outline.extend(low.into_iter().rev());
            canvas.polygon(&outline, ink, hatch);
        }
    }

    /// A name inside the area between two lines, where it has the most room: over its whole width if there is any such place,
    /// else over half of it, else over its middle. Says whether there was a place.
    pub(crate) fn area_label(&self, canvas: &Canvas, points: &[(f64, f64, f64)], text: &str, ink: Ink) -> bool {
        let half = 0.5 * canvas.layout.text_px(text) + 4.0;
        let (left, right) = (self.frame.left + half, self.frame.right - half);
        let places: Vec<(f64, f64, f64)> =
            points.iter().map(|(x, low, high)| (self.x(*x), self.y(*low), self.y(*high))).collect();
        // From the lowest upper line to the highest lower one.
        let room = |at: f64, reach: f64| {
            let from = places.partition_point(|p| p.0 < at - reach);
            let to = places.partition_point(|p| p.0 <= at + reach);
            places[from..to]
                .iter()
                .fold((f64::NEG_INFINITY, f64::INFINITY), |(top, foot), p| (top.max(p.2), foot.min(p.1)))
        };
        let best = [half, 0.5 * half, 0.0].into_iter().find_map(|reach| {
            places
                .iter()
                .filter(|p| p.0 >= left && p.0 <= right)
                .map(|p| (p.0, room(p.0, reach)))
                .filter(|(_, (top, foot))| foot - top > canvas.layout.font_px() + 2.0)
                .max_by(|a, b| (a.1.1 - a.1.0).total_cmp(&(b.1.1 - b.1.0)))
        });
        if let Some((x, (top, foot))) = best {
            canvas.bold((x, 0.5 * (top + foot)), text, Anchor::Middle, ink);
        }
        best.is_some()
    }

    /// What a hatching means, at the right of the panel's foot.
    pub(crate) fn area_key(&self, canvas: &Canvas, ink: Ink, hatch: Hatch, text: &str) {
        let (x, y) = (self.frame.right, self.frame.bottom);
        let start = x - canvas.layout.text_px(text) - 8.0;
        canvas.rect((start - 18.0, y - 19.0), (start - 4.0, y - 7.0), ink, hatch);
        canvas.text((start, y - 13.0), text, Anchor::Start, ink);
    }

    /// A hatched stretch over the whole height. Stretches too short to see are drawn one px wide.
    pub(crate) fn stretch(&self, canvas: &Canvas, (from, to): Span, ink: Ink, hatch: Hatch) {
        if to < self.x_range.0 || from > self.x_range.1 {
            return;
        }
        let (a, b) = (self.x(from), self.x(to));
        canvas.rect((a, self.frame.top), (b.max(a + 1.0), self.frame.bottom), ink, hatch);
    }

    /// Names of lines at their right ends, moved apart, each with a piece of its line.
    pub(crate) fn end_labels(&self, canvas: &Canvas, labels: &[EndLabel]) {
        let wanted: Vec<f64> = labels.iter().map(|label| self.y(label.y)).collect();
        let gap = canvas.layout.font_px() + 3.0;
        let places = labels::spread(&wanted, gap, self.frame.top - 4.0, self.frame.bottom - 4.0);
        let right = self.frame.right;
        for ((label, wanted), y) in labels.iter().zip(wanted).zip(places) {
            let thin_pen = Pen { dash: Dash::Solid, width_px: 1.0, ..label.pen };
            canvas.line((right + 1.0, wanted), (right + 6.0, y), thin_pen);
            canvas.line((right + 6.0, y), (right + 20.0, y), label.pen);
            canvas.text((right + 23.0, y), &label.text, Anchor::Start, label.pen.ink);
        }
    }

    fn places(&self, points: impl Iterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
        points
            .filter(|(x, y)| y.is_finite() && *x >= self.x_range.0 && *x <= self.x_range.1)
            .map(|(x, y)| (self.x(x), self.y(y)))
            .collect()
    }
}

/// Decimals that tell the numbers of an axis apart.
fn decimals(values: &[f64]) -> usize {
    let step = values.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(f64::INFINITY, f64::min);
    (0..4)
        .find(|&d| {
            values.iter().all(|v| {
                (v * 10f64.powi(d) - (v * 10f64.powi(d)).round()).abs() < 1e-6 * 10f64.powi(d) * step.max(1e-9)
            })
        })
        .map_or(3, |d| d as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_is_never_empty_and_passes_over_what_is_no_number() {
        assert_eq!(range([f64::NAN, f64::INFINITY].into_iter(), &[]), (0.0, 1.0));
        let (low, high) = range([5.0, 5.0].into_iter(), &[]);
        assert!(low < high);
        let (low, high) = range([2.0, f64::NAN, 10.0].into_iter(), &[0.0]);
        assert!(low == 0.0 && high > 10.0);
    }

    #[test]
    fn an_axis_has_as_many_decimals_as_its_steps_need() {
        assert_eq!(decimals(&[0.0, 20.0, 40.0]), 0);
        assert_eq!(decimals(&[0.0, 0.5, 1.0]), 1);
        assert_eq!(decimals(&[0.25, 0.5]), 2);
        assert_eq!(decimals(&[]), 0);
    }

    #[test]
    fn values_are_placed_between_the_edges_and_held_at_them() {
        let frame = Frame { left: 50.0, right: 150.0, top: 10.0, bottom: 110.0 };
        let panel = Panel::new(frame, (0.0, 10.0), (0.0, 4.0));
        assert!((panel.x(5.0) - 100.0).abs() < 0.1 && (panel.y(1.0) - 85.0).abs() < 0.1);
        assert!((panel.y(99.0) - 10.0).abs() < 0.1);
    }
}
