//! Keeping labels from covering each other.

/// Moves positions apart along one axis so that neighbours are at least `gap` apart, in their order and between the limits
/// as far as they fit.
pub(crate) fn spread(wanted: &[f64], gap: f64, low: f64, high: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|&a, &b| wanted[a].total_cmp(&wanted[b]));
    let mut placed: Vec<f64> = order.iter().map(|&i| wanted[i].clamp(low, high)).collect();
    // Neighbours that touch form a block; a block sits around the mean of what its members want.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for &at in &placed {
        blocks.push((at, 1));
        while let [.., (before, n), (after, m)] = blocks[..] {
            let half = gap * 0.5 * (n + m) as f64;
            if after - before >= half {
                break;
            }
            let size = n + m;
            // Each block's centre, taken back to the centre of the joint block.
            let centre = (before * n as f64 + after * m as f64) / size as f64;
            let reach = gap * 0.5 * (size as f64 - 1.0);
            let centre = centre.min(high - reach).max(low + reach);
            blocks.truncate(blocks.len() - 2);
            blocks.push((centre, size));
        }
    }
    let mut i = 0;
    for (centre, size) in blocks {
        for k in 0..size {
            placed[i] = centre + gap * (k as f64 - 0.5 * (size as f64 - 1.0));
            i += 1;
        }
    }
    let mut back = vec![0.0; wanted.len()];
    for (place, index) in placed.into_iter().zip(order) {
        back[index] = place;
    }
    back
}

/// Puts labels with a centre and a width into rows so that none covers another. Returns each one's row, the first that is free;
/// nothing for a label that finds no place in `rows` rows.
pub(crate) fn rows(labels: &[(f64, f64)], gap: f64, rows: usize) -> Vec<Option<usize>> {
    let mut taken: Vec<Vec<(f64, f64)>> = vec![Vec::new(); rows];
    labels
        .iter()
        .map(|&(centre, width)| {
            let (from, to) = (centre - 0.5 * width - 0.5 * gap, centre + 0.5 * width + 0.5 * gap);
            let row = taken.iter().position(|row| row.iter().all(|&(f, t)| to <= f || from >= t))?;
            taken[row].push((from, to));
            Some(row)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_that_are_far_apart_stay_where_they_are() {
        assert_eq!(spread(&[10.0, 90.0, 50.0], 15.0, 0.0, 100.0), vec![10.0, 90.0, 50.0]);
    }

    #[test]
    fn labels_that_coincide_are_moved_apart_in_order() {
        let placed = spread(&[50.0, 51.0, 52.0, 53.0], 15.0, 0.0, 100.0);
        for pair in placed.windows(2) {
            assert!((pair[1] - pair[0] - 15.0).abs() < 1e-9, "{placed:?}");
        }
        assert!((placed.iter().sum::<f64>() / 4.0 - 51.5).abs() < 1e-9);
    }

    #[test]
    fn labels_at_an_end_stay_between_the_limits() {
        let placed = spread(&[99.0, 100.0, 100.0], 15.0, 0.0, 100.0);
        assert!(placed.iter().all(|p| (0.0..=100.0).contains(p)), "{placed:?}");
        assert!((placed[2] - placed[0]).abs() >= 30.0 - 1e-9);
    }

    #[test]
    fn labels_that_would_cover_each_other_go_to_different_rows() {
        assert_eq!(
            rows(&[(50.0, 40.0), (60.0, 40.0), (120.0, 40.0), (62.0, 40.0)], 4.0, 2),
            [Some(0), Some(1), Some(0), None]
        );
    }
}
