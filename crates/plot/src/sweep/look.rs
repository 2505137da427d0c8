//! How what becomes of a start is drawn, and the lines of scenarios.

use bitepoint_runner::sweep::{Axis, Cell, Fate};

use crate::chart::canvas::{Anchor, Canvas, Dash, Pen};
use crate::chart::markup::Hatch;
use crate::chart::panel::Panel;
use crate::palette::Ink;
use crate::spans::Span;

/// Ink and hatching of a fate.
pub(super) fn look(fate: Fate) -> (Ink, Hatch) {
    match fate {
        Fate::Clean => (Ink::Green, Hatch::Tint),
        Fate::Spin => (Ink::Vermilion, Hatch::Rising),
        Fate::Bog => (Ink::Blue, Hatch::Level),
        Fate::Slip => (Ink::Purple, Hatch::Falling),
        Fate::Burn => (Ink::Purple, Hatch::Cross),
        Fate::OutOfTime => (Ink::Slate, Hatch::Points),
        Fate::Stall => (Ink::Text, Hatch::Cross),
        Fate::RolledBack => (Ink::Text, Hatch::Level),
        Fate::CannotMove => (Ink::Text, Hatch::Upright),
        Fate::Refused => (Ink::Muted, Hatch::Points),
        Fate::NotComputed => (Ink::Text, Hatch::Falling),
    }
}

/// One word where two do not fit.
pub(super) fn short(fate: Fate) -> &'static str {
    match fate {
        Fate::Clean => "clean",
        Fate::Spin => "spin",
        Fate::Bog => "bog",
        Fate::Slip => "slip",
        Fate::Burn => "burn",
        Fate::OutOfTime => "late",
        Fate::Stall => "stall",
        Fate::RolledBack => "back",
        Fate::CannotMove => "stuck",
        Fate::Refused => "none",
        Fate::NotComputed => "lost",
    }
}

const PENS: [(Ink, Dash); 5] = [
    (Ink::Blue, Dash::Solid),
    (Ink::Vermilion, Dash::Long),
    (Ink::Green, Dash::Short),
    (Ink::Purple, Dash::Mixed),
    (Ink::Ochre, Dash::Dots),
];

/// The line of a scenario, by its place in the order.
pub(super) fn pen(index: usize) -> Pen {
    let (ink, dash) = PENS[index % PENS.len()];
    Pen::new(ink, dash, 2.0)
}

/// Stretches of an axis whose starts share a fate, in the axis's unit. A start stands for the axis half-way to its neighbours.
pub(super) fn stretches(axis: &Axis, cells: &[Cell]) -> Vec<(Span, Fate)> {
    let numbers: Vec<f64> = (0..axis.len()).map(|i| axis.number(i)).collect();
    let border = |i: usize| match i {
        0 => numbers[0],
        i if i == numbers.len() => numbers[i - 1],
        i => 0.5 * (numbers[i - 1] + numbers[i]),
    };
    let mut found: Vec<(Span, Fate)> = Vec::new();
    for (i, cell) in cells.iter().enumerate() {
        match found.last_mut() {
            Some((span, fate)) if *fate == cell.fate => span.1 = border(i + 1),
            _ => found.push(((border(i), border(i + 1)), cell.fate)),
        }
    }
    found
}

/// A strip along an axis that names what becomes of the starts. Gives back the fates that had no room for a word.
pub(super) fn strip(canvas: &Canvas, panel: &Panel, found: &[(Span, Fate)], (top, bottom): (f64, f64)) -> Vec<Fate> {
    let mut unnamed = Vec::new();
    for &((from, to), fate) in found {
        let (ink, hatch) = look(fate);
        let (a, b) = (panel.x(from), panel.x(to).max(panel.x(from) + 1.0));
        canvas.rect((a, top), (b, bottom), ink, hatch);
        canvas.line((a, top), (a, bottom), Pen::new(ink, Dash::Solid, 1.0));
        canvas.line((a, bottom), (b, bottom), Pen::new(ink, Dash::Solid, 2.0));
        let word = [fate.name(), short(fate)].into_iter().find(|word| canvas.layout.text_px(word) + 6.0 < b - a);
        match word {
            Some(word) => canvas.text((0.5 * (a + b), 0.5 * (top + bottom)), word, Anchor::Middle, ink),
            None => unnamed.push(fate),
        }
    }
    unnamed
}

/// What hatchings mean, in a row that is broken where it is full. Gives back the height that it took, px.
pub(super) fn key(canvas: &Canvas, fates: &[Fate], top: f64, look: impl Fn(Fate) -> (Ink, Hatch)) -> f64 {
    if fates.is_empty() {
        return 0.0;
    }
    let row_px = canvas.layout.font_px() + 8.0;
    let (mut x, mut y) = (2.0, top + 0.5 * row_px);
    for &fate in fates {
        let (ink, hatch) = look(fate);
        let width = 32.0 + canvas.layout.text_px(fate.name()) + 14.0;
        if x > 2.0 && x + width > canvas.layout.width() {
            (x, y) = (2.0, y + row_px);
        }
        canvas.rect((x, y - 6.0), (x + 26.0, y + 6.0), ink, hatch);
        canvas.frame((x, y - 6.0), (x + 26.0, y + 6.0), Pen::new(ink, Dash::Solid, 1.0));
        canvas.text((x + 32.0, y), fate.name(), Anchor::Start, ink);
        x += width;
    }
    y + 0.5 * row_px - top
}

/// Room that [`key`] takes at most, px.
pub(super) fn key_px(layout: crate::chart::canvas::Layout, fates: usize) -> f64 {
    let a_row = layout.pick(6, 2);
    fates.div_ceil(a_row) as f64 * (layout.font_px() + 8.0)
}
