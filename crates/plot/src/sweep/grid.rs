//! The cells of two axes as areas and lines: contours by marching squares, in places counted along the axes.
//!
//! A cell is a square of side 1 around its value. Starts that fail have no time: for the contours alone each takes that of the nearest start that
//! has one, and the area is covered afterwards, so that nothing is drawn where nothing is known.

use std::collections::VecDeque;

use bitepoint_runner::sweep::{Axis, Cell, Fate, Field};
use contour::ContourBuilder;

/// A ring of places along both axes.
pub(super) type Ring = Vec<(f64, f64)>;

/// Cells with the first axis across and the second up.
pub(super) struct Grid<'a> {
    pub(super) columns: usize,
    pub(super) rows: usize,
    /// Row by row from below.
    cells: Vec<&'a Cell>,
}

impl<'a> Grid<'a> {
    pub(super) fn new(axes: &[Axis], field: &'a Field) -> Option<Self> {
        let [across, up] = axes else { return None };
        let (columns, rows) = (across.len() as usize, up.len() as usize);
        let cells = (0..rows).flat_map(|row| (0..columns).map(move |column| column * rows + row));
        Some(Self { columns, rows, cells: cells.map(|i| &field.cells[i]).collect() })
    }

    /// Whether each cell has this fate.
    pub(super) fn is(&self, fate: Fate) -> Vec<bool> {
        self.cells.iter().map(|cell| cell.fate == fate).collect()
    }

    /// Time lost against `best_s`, s.
    pub(super) fn losses(&self, best_s: f64) -> Vec<f64> {
        let mut losses: Vec<Option<f64>> = self.cells.iter().map(|cell| cell.time_s.map(|t| t - best_s)).collect();
        let mut queue: VecDeque<usize> = (0..losses.len()).filter(|i| losses[*i].is_some()).collect();
        while let Some(from) = queue.pop_front() {
            for next in self.neighbours(from) {
                if losses[next].is_none() {
                    losses[next] = losses[from];
                    queue.push_back(next);
                }
            }
        }
        losses.into_iter().map(|loss| loss.unwrap_or(0.0)).collect()
    }

    fn neighbours(&self, index: usize) -> impl Iterator<Item = usize> + use<> {
        let (columns, rows) = (self.columns, self.rows);
        let (column, row) = (index % columns, index / columns);
        [
            (column > 0).then(|| index - 1),
            (column + 1 < columns).then_some(index + 1),
            (row > 0).then(|| index - columns),
            (row + 1 < rows).then_some(index + columns),
        ]
        .into_iter()
        .flatten()
    }

    /// Areas where `values` reach `least`: each an outline and its holes. With `smooth` edges lie on straight lines between values, else half-way.
    pub(super) fn areas(&self, values: &[f64], least: f64, smooth: bool) -> Vec<Vec<Ring>> {
        // With its edge repeated once around it, so that contours run straight out of the map instead of turning at its edge.
        let (columns, rows) = (self.columns + 2, self.rows + 2);
        let inner = |place: usize, count: usize| place.saturating_sub(1).min(count - 1);
        let padded: Vec<f64> = (0..columns * rows)
            .map(|i| values[inner(i / columns, self.rows) * self.columns + inner(i % columns, self.columns)])
            .collect();
        // It fails only where the number of values is not that of the cells.
        let contours = ContourBuilder::new(columns, rows, smooth).contours(&padded, &[least]).unwrap_or_default();
        let held = |x: f64, most: usize| (x - 1.0).clamp(0.0, most as f64);
        let ring = |line: &geo_types::LineString| {
            line.coords().map(|c| (held(c.x, self.columns), held(c.y, self.rows))).collect::<Ring>()
        };
        contours
            .iter()
            .flat_map(|contour| contour.geometry().iter())
            .map(|polygon| [polygon.exterior()].into_iter().chain(polygon.interiors()).map(ring).collect())
            .collect()
    }

    /// Areas of some cells.
    pub(super) fn areas_of(&self, chosen: &[bool]) -> Vec<Vec<Ring>> {
        let values: Vec<f64> = chosen.iter().map(|c| f64::from(u8::from(*c))).collect();
        self.areas(&values, 0.5, false)
    }

    /// How many cells in a row to both sides of a place are chosen, itself among them.
    pub(super) fn width_at(&self, chosen: &[bool], (x, y): (f64, f64)) -> usize {
        let row = (y as usize).min(self.rows - 1) * self.columns;
        let column = (x as usize).min(self.columns - 1);
        let left = (0..column).rev().take_while(|i| chosen[row + i]).count();
        let right = (column + 1..self.columns).take_while(|i| chosen[row + i]).count();
        left.min(right) * 2 + 1
    }

    /// The place within some cells that is farthest from all others and from the edges, and how far, in cells.
    pub(super) fn deepest(&self, chosen: &[bool]) -> Option<((f64, f64), f64)> {
        // A transform in two passes: the distance by steps to the nearest cell that is not chosen.
        let mut depth: Vec<u32> = vec![0; chosen.len()];
        let at = |depth: &[u32], column: Option<usize>, row: Option<usize>| match (column, row) {
            (Some(column), Some(row)) if column < self.columns && row < self.rows => depth[row * self.columns + column],
            _ => 0,
        };
        for row in 0..self.rows {
            for column in 0..self.columns {
                let i = row * self.columns + column;
                let near =
                    at(&depth, column.checked_sub(1), Some(row)).min(at(&depth, Some(column), row.checked_sub(1)));
                depth[i] = if chosen[i] { near + 1 } else { 0 };
            }
        }
        for row in (0..self.rows).rev() {
            for column in (0..self.columns).rev() {
                let i = row * self.columns + column;
                let near = at(&depth, Some(column + 1), Some(row)).min(at(&depth, Some(column), Some(row + 1)));
                depth[i] = depth[i].min(near + 1);
            }
        }
        let (i, most) = depth.iter().enumerate().max_by_key(|(i, depth)| (**depth, std::cmp::Reverse(*i)))?;
        let place = ((i % self.columns) as f64 + 0.5, (i / self.columns) as f64 + 0.5);
        (*most > 0).then_some((place, f64::from(*most) - 0.5))
    }
}

/// An outline with holes as one path: to each hole and back along the same line, so that no area is counted that lies in a hole.
pub(super) fn keyholed(rings: &[Ring]) -> Ring {
    let Some((outline, holes)) = rings.split_first() else { return Vec::new() };
    let mut path = outline.clone();
    for hole in holes {
        path.extend(hole);
        path.extend(outline.first());
    }
    path
}

/// The parts of a ring that are not the edge of the map.
pub(super) fn inner_parts(ring: &Ring, columns: usize, rows: usize) -> Vec<Ring> {
    let (right, top) = (columns as f64, rows as f64);
    let on_edge = |a: &(f64, f64), b: &(f64, f64)| {
        let both = |pick: fn(&(f64, f64)) -> f64, edge: f64| pick(a) == edge && pick(b) == edge;
        both(|p| p.0, 0.0) || both(|p| p.0, right) || both(|p| p.1, 0.0) || both(|p| p.1, top)
    };
    let mut parts: Vec<Ring> = vec![Vec::new()];
    for pair in ring.windows(2) {
        if on_edge(&pair[0], &pair[1]) {
            parts.push(Vec::new());
            continue;
        }
        if let Some(part) = parts.last_mut() {
            if part.is_empty() {
                part.push(pair[0]);
            }
            part.push(pair[1]);
        }
    }
    // A ring that was cut begins where it ends.
    if parts.len() > 1 && ring.first() == ring.last() && parts.last().is_some_and(|p| p.last() == ring.last()) {
        let first = parts.remove(0);
        if let Some(last) = parts.last_mut() {
            last.extend(first.into_iter().skip(1));
        }
    }
    parts.retain(|part| part.len() > 1);
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(columns: usize, rows: usize) -> (Vec<Axis>, Field) {
        let axis = |key: &str, n: usize| Axis::parse(&format!("{key}=0.1..{:.2}/0.01", 0.1 + 0.01 * (n - 1) as f64));
        let axes = vec![
            axis("tyres.peak_slip", columns).expect("an axis"),
            axis("engine.idle_torque_share", rows).expect("an axis"),
        ];
        let cell = |i: usize| Cell {
            time_s: (i != 0).then_some(5.0 + i as f64),
            fate: Fate::Clean,
            figures: None,
            reason: None,
        };
        (
            axes,
            Field {
                scenario: String::new(),
                cells: (0..columns * rows).map(cell).collect(),
                best: None,
                recommended: None,
            },
        )
    }

    #[test]
    fn the_first_axis_runs_across_and_the_second_up() {
        let (axes, field) = grid(4, 3);
        let grid = Grid::new(&axes, &field).expect("two axes");
        let losses = grid.losses(5.0);
        // Cell 1 of the field is the second value up at the first value across: the first of the second row.
        assert_eq!((losses[4], losses[1], losses[11]), (1.0, 3.0, 11.0));
        // The failed cell has the loss of one that it touches.
        assert!(losses[0] == losses[1] || losses[0] == losses[4]);
    }

    #[test]
    fn an_area_of_cells_has_their_size() {
        let (axes, field) = grid(6, 5);
        let grid = Grid::new(&axes, &field).expect("two axes");
        let chosen: Vec<bool> = (0..30).map(|i| i % 6 >= 3).collect();
        let areas = grid.areas_of(&chosen);
        let twice: f64 = areas[0][0].windows(2).map(|p| p[0].0 * p[1].1 - p[1].0 * p[0].1).sum();
        // Three columns of five cells.
        assert!((0.5 * twice.abs() - 15.0).abs() < 1e-9, "{}", 0.5 * twice.abs());
        let (place, depth) = grid.deepest(&chosen).expect("a place");
        assert_eq!((place, depth), ((4.5, 1.5), 1.5));
    }

    #[test]
    fn a_hole_is_not_part_of_an_area() {
        let (axes, field) = grid(7, 7);
        let grid = Grid::new(&axes, &field).expect("two axes");
        let chosen: Vec<bool> = (0..49).map(|i| i != 24).collect();
        let areas = grid.areas_of(&chosen);
        assert_eq!((areas.len(), areas[0].len()), (1, 2));
        let path = keyholed(&areas[0]);
        let twice: f64 = path.windows(2).map(|p| p[0].0 * p[1].1 - p[1].0 * p[0].1).sum();
        // Marching squares cut the four corners of a single cell: half of it is left.
        assert!((0.5 * twice.abs() - 48.5).abs() < 1e-9, "{}", 0.5 * twice.abs());
    }
}
