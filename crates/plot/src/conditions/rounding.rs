//! Rounded numbers that still add up, for text that is added up again by its readers.

/// The numbers rounded to `decimals`, so that they add up to their rounded sum: what rounding leaves goes to those that it hurts least
/// (the largest-remainder rule of apportionment).
#[must_use]
pub fn adding_up(numbers: &[f64], decimals: u32) -> Vec<f64> {
    let unit = 10f64.powi(-(decimals as i32));
    let scaled: Vec<f64> = numbers.iter().map(|number| number / unit).collect();
    let mut rounded: Vec<f64> = scaled.iter().map(|number| number.round()).collect();
    let missing = scaled.iter().sum::<f64>().round() - rounded.iter().sum::<f64>();
    let mut order: Vec<usize> = (0..numbers.len()).collect();
    // First those that rounding moved farthest the other way.
    order.sort_by(|&a, &b| (missing * (scaled[b] - rounded[b])).total_cmp(&(missing * (scaled[a] - rounded[a]))));
    for &i in order.iter().take(missing.abs() as usize) {
        rounded[i] += missing.signum();
    }
    rounded.into_iter().map(|number| number * unit).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounded_numbers_add_up_to_the_rounded_sum() {
        for numbers in [&[0.104, 0.104, 0.104][..], &[0.106, 0.106, 0.106], &[-0.014, 0.314, 0.004, 0.004], &[]] {
            let sum = adding_up(numbers, 2).iter().sum::<f64>();
            let expected = (numbers.iter().sum::<f64>() * 100.0).round() / 100.0;
            assert!((sum - expected).abs() < 1e-9, "{numbers:?}: {sum}");
        }
    }

    #[test]
    fn no_number_moves_by_more_than_a_unit() {
        let numbers = [0.104, 0.104, 0.104, 0.104, -0.006];
        for (number, rounded) in numbers.iter().zip(adding_up(&numbers, 2)) {
            assert!((number - rounded).abs() < 0.01, "{number}: {rounded}");
        }
    }
}
