//! A difference shared among the changes that make it.
//!
//! Changes interplay. The share of one is the mean, over all orders in which they can be made one after the other, of what it does
//! itself (L. S. Shapley, "A value for n-person games", in Contributions to the Theory of Games II, Princeton 1953, 307-317). So the
//! shares add up to the difference, and what changes do together is shared evenly between them. Where some set of changes has no
//! value (the car stalls), orders that lead through it do not count.

/// Shares of `n` changes in `values[all] - values[none]`; `values` has one for each set of changes made, a bit each, the first change
/// in the lowest bit. Nothing if every order leads through a set without a value.
pub(crate) fn shares(n: usize, values: &[Option<f64>]) -> Option<Vec<f64>> {
    let all = (1_usize << n) - 1;
    let has = |set: usize| f64::from(u8::from(values[set].is_some()));
    // Orders that lead from nothing to a set, and from it to all, through sets with values.
    let (mut to, mut from) = (vec![0.0; all + 1], vec![0.0; all + 1]);
    to[0] = has(0);
    from[all] = has(all);
    let changes_in = |set: usize| (0..n).map(|i| 1 << i).filter(move |bit| set & bit != 0);
    for set in 1..=all {
        to[set] = has(set) * changes_in(set).map(|bit| to[set ^ bit]).sum::<f64>();
        let set = all ^ set;
        from[set] = has(set) * changes_in(all ^ set).map(|bit| from[set | bit]).sum::<f64>();
    }
    let share = |bit: usize| {
        let step = |set: usize| Some(to[set] * from[set | bit] * (values[set | bit]? - values[set]?));
        (0..=all).filter(|set| set & bit == 0).filter_map(step).sum::<f64>() / to[all]
    };
    (to[all] > 0.0).then(|| (0..n).map(|i| share(1 << i)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(n: usize, value: impl Fn(usize) -> f64) -> Vec<Option<f64>> {
        (0..1_usize << n).map(|set| Some(value(set))).collect()
    }

    /// The glove game of three, common in textbooks: one left glove, two right ones, a pair is worth 1. Shares 2/3, 1/6, 1/6.
    #[test]
    fn the_shares_of_the_glove_game_are_the_known_ones() {
        let pair = values(3, |set| f64::from(u8::from(set & 1 != 0 && set & 0b110 != 0)));
        for (share, known) in shares(3, &pair).expect("values").iter().zip([2.0 / 3.0, 1.0 / 6.0, 1.0 / 6.0]) {
            assert!((share - known).abs() < 1e-12, "{share} for {known}");
        }
    }

    #[test]
    fn shares_add_up_though_a_set_has_no_value() {
        let mut made = values(3, |set| (set * set) as f64);
        made[0b010] = None;
        let sum: f64 = shares(3, &made).expect("orders that avoid it").iter().sum();
        assert!((sum - 49.0).abs() < 1e-12, "{sum}");
    }

    #[test]
    fn there_are_no_shares_if_every_order_is_barred() {
        assert_eq!(shares(2, &[Some(1.0), None, None, Some(0.0)]), None);
    }
}
