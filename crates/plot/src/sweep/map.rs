//! Time lost against two inputs: one map a scenario, with the best, its window, and what becomes of the starts.

use bitepoint_runner::sweep::{Axis, Best, Fate, Field, LOSS_S, Sweep};

use crate::chart::canvas::{Anchor, Canvas, Dash, Layout, Pen, draw};
use crate::chart::markup::{Drawing, Hatch};
use crate::chart::panel::{Frame, Panel};
use crate::chart::{Caption, Chart};
use crate::format::{SPAN, number};
use crate::palette::Ink;

use super::grid::{Grid, Ring, inner_parts, keyholed};
use super::labels::{Labels, inside};
use super::look::{key, key_px, short};
use super::one_key::{axis_title_for, clipped};
use super::scale::{best_mark, scale};
use super::story::{axis_title, rows, target_name};

/// Losses at which lines may be drawn, s.
const ROUND_S: [f64; 10] = [0.01, 0.02, LOSS_S, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0];
/// A fate that has more of a map than this is not hatched: it would cover all else.
const MOST_HATCHED: f64 = 0.75;
/// One that has less of it is not named: its word would be larger than it.
const LEAST_NAMED: f64 = 0.004;

pub(super) fn chart(sweep: &Sweep) -> Option<Chart> {
    let caption = Caption {
        name: "sweep",
        title: "Time lost against what was varied",
        takeaway: takeaway(sweep),
        alt_text: alt_text(sweep),
    };
    Chart::draw(caption, |layout| paint(sweep, layout))
}

fn takeaway(sweep: &Sweep) -> String {
    let each: Vec<String> = rows(sweep)
        .iter()
        .map(|row| match &row.along[..] {
            [a, b] => format!(
                "{}: {} at {} and {}; with the other held, {} and {} lose under {}",
                row.scenario,
                row.time,
                a.best,
                b.best,
                a.window,
                b.window,
                SPAN.text(LOSS_S)
            ),
            _ => format!("{}: no start gets there", row.scenario),
        })
        .collect();
    format!("{}.", each.join(". "))
}

fn alt_text(sweep: &Sweep) -> String {
    let each: Vec<String> = rows(sweep).iter().map(|row| format!("{}: {}", row.scenario, row.counts)).collect();
    format!(
        "Loss of {} against the best of each scenario, over {} (across) and {} (up). {} Starts: {}.",
        target_name(sweep.target),
        axis_title(&sweep.axes[0]),
        axis_title(&sweep.axes[1]),
        takeaway(sweep),
        each.join(". ")
    )
}

/// Losses at which lines are drawn, the same for all scenarios, s.
fn thresholds(sweep: &Sweep) -> Vec<f64> {
    let losses = sweep.fields.iter().flat_map(|field| {
        let best_s = field.best.as_ref().map_or(f64::NAN, |best| best.time_s);
        field.cells.iter().filter_map(move |cell| cell.time_s.map(|t| t - best_s))
    });
    let most = losses.fold(0.0, f64::max);
    let from = if most > 0.2 { LOSS_S } else { 0.0 };
    ROUND_S.into_iter().filter(|t| *t >= from && (*t < most || *t == LOSS_S)).take(Ink::STEPS.len() - 1).collect()
}

/// Sizes that a layout gives to maps, px.
struct Sheet {
    layout: Layout,
    columns: usize,
    title_px: f64,
    map_px: f64,
    row_px: f64,
}

impl Sheet {
    fn new(layout: Layout, maps: usize) -> Self {
        let columns = if maps == 1 { 1 } else { layout.pick(2, 1) };
        let map_px = if columns == 1 { layout.pick(400.0, 270.0) } else { 300.0 };
        let title_px = 46.0;
        Self { layout, columns, title_px, map_px, row_px: title_px + map_px + 50.0 }
    }

    fn frame(&self, index: usize) -> Frame {
        let width = self.layout.width() / self.columns as f64;
        let (column, row) = ((index % self.columns) as f64, (index / self.columns) as f64);
        let top = row * self.row_px + self.title_px;
        let left = column * width;
        Frame {
            left: left + if column > 0.0 { 62.0 } else { 50.0 },
            right: left + width - 18.0,
            top,
            bottom: top + self.map_px,
        }
    }
}

fn paint(sweep: &Sweep, layout: Layout) -> Option<Drawing> {
    let [across, up] = &sweep.axes[..] else { return None };
    let sheet = Sheet::new(layout, sweep.fields.len());
    let thresholds = thresholds(sweep);
    let fates = hatched(sweep);
    let maps_px = sweep.fields.len().div_ceil(sheet.columns) as f64 * sheet.row_px;
    let height = maps_px + 58.0 + key_px(layout, fates.len());
    Some(draw(layout, height, |canvas| {
        for (index, field) in sweep.fields.iter().enumerate() {
            let frame = sheet.frame(index);
            let map = Map { across, up, panel: panel(frame, across, up), field };
            map.title(canvas);
            map.draw(canvas, sweep, &thresholds);
            if index % sheet.columns == 0 || layout == Layout::Wide {
                canvas.text(
                    (frame.left - 48.0, frame.top - 12.0),
                    &axis_title_for(up, layout),
                    Anchor::Start,
                    Ink::Text,
                );
            }
        }
        scale(canvas, &thresholds, maps_px);
        key(canvas, &fates, maps_px + 54.0, |fate| look(fate, fate.failed()));
    }))
}

fn panel(frame: Frame, across: &Axis, up: &Axis) -> Panel {
    let range = |axis: &Axis| {
        let n = axis.len() as usize;
        (at(axis, 0.0), at(axis, n as f64))
    };
    Panel::new(frame, range(across), range(up))
}

/// The number at a place along an axis; the value of cell `i` is at `i + 0.5`.
fn at(axis: &Axis, place: f64) -> f64 {
    let last = axis.len() - 1;
    let below = ((place - 0.5).floor().max(0.0) as u64).min(last - 1);
    let (a, b) = (axis.number(below), axis.number(below + 1));
    a + (b - a) * (place - 0.5 - below as f64)
}

/// Fates that some map hatches.
fn hatched(sweep: &Sweep) -> Vec<Fate> {
    let share = |field: &Field, fate| {
        field.cells.iter().filter(|cell| cell.fate == fate).count() as f64 / field.cells.len() as f64
    };
    Fate::ALL
        .into_iter()
        .filter(|fate| sweep.fields.iter().any(|field| is_hatched(*fate, share(field, *fate))))
        .collect()
}

/// Whether a fate that has this share of a map is hatched on it.
fn is_hatched(fate: Fate, share: f64) -> bool {
    share > 0.0 && fate != Fate::Clean && (fate.failed() || share < MOST_HATCHED)
}

/// Ink and hatching on a map: over colours for a start that gets there, over nothing for one that fails.
fn look(fate: Fate, failed: bool) -> (Ink, Hatch) {
    let (ink, hatch) = super::look::look(fate);
    let hatch = match hatch {
        _ if failed => hatch,
        Hatch::Rising => Hatch::WideRising,
        Hatch::Falling => Hatch::WideFalling,
        Hatch::Level => Hatch::WideLevel,
        Hatch::Cross => Hatch::WideCross,
        _ => Hatch::WideUpright,
    };
    (ink, hatch)
}

struct Map<'a> {
    across: &'a Axis,
    up: &'a Axis,
    panel: Panel,
    field: &'a Field,
}

impl Map<'_> {
    fn title(&self, canvas: &Canvas) {
        let Frame { left, right, top, .. } = self.panel.frame;
        let fits = ((right - left + 46.0) / canvas.layout.text_px("m")) as usize;
        canvas.bold((left - 48.0, top - 33.0), &clipped(&self.field.scenario, fits), Anchor::Start, Ink::Text);
    }

    fn draw(&self, canvas: &Canvas, sweep: &Sweep, thresholds: &[f64]) {
        let Some(grid) = Grid::new(&sweep.axes, self.field) else { return };
        let Frame { left, right, top, bottom } = self.panel.frame;
        let mut labels = Labels::default();
        let best = self.field.best.as_ref().map(|best| self.best_label(canvas, best));
        if let Some((_, centre, text)) = &best {
            labels.take(*centre, 0.5 * canvas.layout.text_px(text) + 4.0);
        }
        if let Some(best_s) = self.field.best.as_ref().map(|best| best.time_s) {
            let losses = grid.losses(best_s);
            canvas.rect((left, top), (right, bottom), Ink::STEPS[0], Hatch::Full);
            let bands: Vec<(f64, Vec<Vec<Ring>>)> =
                thresholds.iter().map(|t| (*t, grid.areas(&losses, *t, true))).collect();
            for ((_, areas), ink) in bands.iter().zip(Ink::STEPS.into_iter().skip(1)) {
                self.fill(canvas, areas, ink, Hatch::Full);
            }
            self.hatch_fates(canvas, &grid, &Fate::ALL.map(|fate| (fate, !fate.failed() && fate != Fate::Clean)));
            for (threshold, areas) in &bands {
                self.lines(canvas, &grid, *threshold, areas, &mut labels);
            }
        }
        self.cover_failed(canvas, &grid);
        self.axes(canvas);
        self.words(canvas, &grid, &mut labels);
        if let Some((at, centre, text)) = best {
            best_mark(canvas, at);
            canvas.bold(centre, &text, Anchor::Middle, Ink::Text);
        }
        labels.write(canvas);
    }

    /// Where the best start lies, and where its time is written.
    fn best_label(&self, canvas: &Canvas, best: &Best) -> ((f64, f64), (f64, f64), String) {
        let (x, y) = self.place((best.along[0].place as f64 + 0.5, best.along[1].place as f64 + 0.5));
        let text = SPAN.text(best.time_s);
        let half = 0.5 * canvas.layout.text_px(&text) + 4.0;
        let Frame { left, right, top, .. } = self.panel.frame;
        let above = if y - 26.0 > top { y - 16.0 } else { y + 16.0 };
        ((x, y), (x.clamp(left + half, right - half), above), text)
    }

    fn place(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.panel.x(at(self.across, x)), self.panel.y(at(self.up, y)))
    }

    fn fill(&self, canvas: &Canvas, areas: &[Vec<Ring>], ink: Ink, hatch: Hatch) {
        for area in areas {
            let path: Ring = keyholed(area).into_iter().map(|p| self.place(p)).collect();
            canvas.polygon(&path, ink, hatch);
        }
    }

    fn outline(&self, canvas: &Canvas, grid: &Grid, areas: &[Vec<Ring>], pen: Pen) -> Vec<Ring> {
        let parts = areas.iter().flatten().flat_map(|ring| inner_parts(ring, grid.columns, grid.rows));
        let placed: Vec<Ring> = parts.map(|part| part.into_iter().map(|p| self.place(p)).collect()).collect();
        for part in &placed {
            canvas.path(part, pen);
        }
        placed
    }

    /// Outlines and hatches some fates.
    fn hatch_fates(&self, canvas: &Canvas, grid: &Grid, wanted: &[(Fate, bool)]) {
        for (fate, _) in wanted.iter().filter(|(_, wanted)| *wanted) {
            let chosen = grid.is(*fate);
            let share = chosen.iter().filter(|c| **c).count() as f64 / chosen.len() as f64;
            if share == 0.0 {
                continue;
            }
            let areas = grid.areas_of(&chosen);
            let (ink, hatch) = look(*fate, fate.failed());
            if is_hatched(*fate, share) {
                self.fill(canvas, &areas, ink, hatch);
                self.outline(canvas, grid, &areas, Pen::new(ink, Dash::Short, 1.5));
            }
        }
    }

    /// What fails has no time: the contours below it mean nothing.
    fn cover_failed(&self, canvas: &Canvas, grid: &Grid) {
        let failed: Vec<bool> = self.failed(grid);
        self.fill(canvas, &grid.areas_of(&failed), Ink::Paper, Hatch::Full);
        self.hatch_fates(canvas, grid, &Fate::ALL.map(|fate| (fate, fate.failed())));
    }

    fn failed(&self, grid: &Grid) -> Vec<bool> {
        let mut failed = vec![false; grid.columns * grid.rows];
        for fate in Fate::ALL.into_iter().filter(|fate| fate.failed()) {
            for (failed, is) in failed.iter_mut().zip(grid.is(fate)) {
                *failed |= is;
            }
        }
        failed
    }

    /// One line of equal loss and its label.
    fn lines(&self, canvas: &Canvas, grid: &Grid, threshold: f64, areas: &[Vec<Ring>], labels: &mut Labels) {
        let is_window = threshold == LOSS_S;
        let pen = Pen::new(Ink::Text, Dash::Solid, if is_window { 2.5 } else { 0.75 });
        let parts = self.outline(canvas, grid, areas, pen);
        let text = format!("+{}", number(threshold, if threshold < 0.1 { 2 } else { usize::from(threshold < 1.0) }));
        let half = 0.5 * canvas.layout.text_px(&text) + 2.0;
        let failed = self.failed(grid);
        let hidden = |(x, y): (f64, f64)| {
            // Back from the sheet to the cell below.
            let Frame { left, right, top, bottom } = self.panel.frame;
            let column = ((x - left) / (right - left) * grid.columns as f64) as usize;
            let row = ((bottom - y) / (bottom - top) * grid.rows as f64) as usize;
            failed[row.min(grid.rows - 1) * grid.columns + column.min(grid.columns - 1)]
        };
        // On the longest piece that has a free place, as far as can be from other labels.
        let mut longest: Vec<&Ring> = parts.iter().filter(|part| part.len() > 6 || is_window).collect();
        longest.sort_by_key(|part| std::cmp::Reverse(part.len()));
        for part in longest {
            let free = part
                .iter()
                .copied()
                .filter(|p| inside(&self.panel.frame, *p, half) && !hidden(*p) && labels.clear(*p, half));
            let roomiest = free.map(|p| (labels.room(p).min(120.0), p)).max_by(|a, b| a.0.total_cmp(&b.0));
            if let Some((_, centre)) = roomiest {
                labels.add(centre, half, text, Ink::Text);
                break;
            }
        }
    }

    /// Names what becomes of the starts where it does.
    fn words(&self, canvas: &Canvas, grid: &Grid, labels: &mut Labels) {
        let all = grid.columns * grid.rows;
        for fate in Fate::ALL {
            let chosen = grid.is(fate);
            let share = chosen.iter().filter(|c| **c).count() as f64 / all as f64;
            if share < LEAST_NAMED {
                continue;
            }
            let Some((place, _)) = grid.deepest(&chosen) else { continue };
            let (x, y) = self.place(place);
            let ink = if fate == Fate::Clean { Ink::Green } else { super::look::look(fate).0 };
            let Frame { left, right, top, bottom } = self.panel.frame;
            let width = grid.width_at(&chosen, place) as f64 * (right - left) / grid.columns as f64;
            let word = if canvas.layout.text_px(fate.name()) < width { fate.name() } else { short(fate) };
            let half = 0.5 * canvas.layout.text_px(word) + 3.0;
            let x = x.clamp(left + half, right - half);
            // Off the label of a line or of the best, if one is in the way.
            let free = [0.0, 16.0, -16.0, 32.0, -32.0]
                .into_iter()
                .map(|shift| (x, (y + shift).clamp(top + 9.0, bottom - 9.0)))
                .find(|centre| labels.clear(*centre, half));
            if let Some(centre) = free {
                labels.add(centre, half, word.to_owned(), ink);
            }
        }
    }

    fn axes(&self, canvas: &Canvas) {
        let Frame { left, right, top, bottom } = self.panel.frame;
        canvas.frame((left, top), (right, bottom), Pen::AXIS);
        self.panel.y_numbers(canvas, 6);
        self.panel.x_axis_ticks(canvas, bottom, &axis_title_for(self.across, canvas.layout), canvas.layout.pick(6, 6));
    }
}
