//! The middle of values that count for more or less.

/// Few enough to be sorted at once.
const FEW: usize = 16;

/// The value that half of the weight lies at or below; `None` when there is no weight.
///
/// Pairs are a value and its weight; values that are no numbers and weights of nothing are passed over. The order of
/// the pairs changes. Only the half that holds the middle is looked at again, so the time goes with the number of pairs.
///
/// ```
/// use beadwise::geom::weighted_median;
/// let mut widths_and_lengths_mm = [(0.45, 80.0), (0.42, 10.0), (0.6, 15.0)];
/// assert_eq!(weighted_median(&mut widths_and_lengths_mm), Some(0.45));
/// assert_eq!(weighted_median(&mut []), None);
/// ```
#[must_use]
pub fn weighted_median(pairs: &mut [(f64, f64)]) -> Option<f64> {
    let counts = |pair: &&(f64, f64)| pair.0.is_finite() && pair.1 > 0.0;
    let weight = |pairs: &[(f64, f64)]| pairs.iter().filter(counts).map(|pair| pair.1).sum::<f64>();
    // Sums of the same weights in another order differ in the last digits.
    let half = 0.5 * weight(pairs) * (1.0 - 1e-12);
    if !(half > 0.0) {
        return None;
    }
    let (mut rest, mut below) = (pairs, 0.0);
    while rest.len() > FEW {
        let middle = rest.len() / 2;
        let (low, pivot, high) = rest.select_nth_unstable_by(middle, |a, b| a.0.total_cmp(&b.0));
        let low_weight = weight(low);
        if below + low_weight >= half {
            rest = low;
            continue;
        }
        below += low_weight + weight(std::slice::from_ref(pivot));
        if below >= half {
            return Some(pivot.0);
        }
        rest = high;
    }
    rest.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let mut counted = rest.iter().filter(counts);
    counted
        .find(|pair| {
            below += pair.1;
            below >= half
        })
        .map(|pair| pair.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// By definition, on the sorted values: less than half of the weight lies below, and half or more up to it.
        #[test]
        fn half_of_the_weight_lies_at_or_below(
            mut pairs in proptest::collection::vec((prop_oneof![0.0..2.0f64, Just(1.0)], 0.0..3.0f64), 1..200)
        ) {
            let all: f64 = pairs.iter().map(|pair| pair.1).sum();
            let given = pairs.clone();
            match weighted_median(&mut pairs) {
                None => prop_assert!(all <= 0.0),
                Some(median) => {
                    let up_to = |low: bool| -> f64 {
                        given.iter().filter(|pair| if low { pair.0 < median } else { pair.0 <= median }).map(|pair| pair.1).sum()
                    };
                    prop_assert!(up_to(true) < 0.5 * all * (1.0 + 1e-9) && up_to(false) >= 0.5 * all * (1.0 - 1e-9));
                }
            }
        }
    }

    #[test]
    fn what_is_no_number_and_what_weighs_nothing_is_passed_over() {
        let mut pairs: Vec<(f64, f64)> = (0..40).map(|i| (f64::from(i % 3), f64::from(u8::from(i % 3 == 1)))).collect();
        pairs.extend([(f64::NAN, 100.0), (f64::INFINITY, 100.0), (5.0, f64::NAN), (5.0, -100.0)]);
        assert_eq!(weighted_median(&mut pairs), Some(1.0));
    }

    /// Two that weigh the same: the lower one has half of the weight at or below it.
    #[test]
    fn of_two_alike_the_lower_is_taken() {
        assert_eq!(weighted_median(&mut [(2.0, 0.1), (1.0, 0.1)]), Some(1.0));
        let mut many: Vec<(f64, f64)> = (0..100).rev().map(|i| (f64::from(i), 0.1)).collect();
        assert_eq!(weighted_median(&mut many), Some(49.0));
    }
}
