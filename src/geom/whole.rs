//! The whole numbers next to a number, for places that are asked for millions of times: the plainest x86-64 has no
//! instruction for `floor` and `ceil`, which become calls there.

/// The greatest whole number that is not above `x`; the nearest `i64` where there is none, 0 for no number.
#[must_use]
pub fn whole_below(x: f64) -> i64 {
    let near = x as i64;
    near.saturating_sub(i64::from(near as f64 > x))
}

/// The least whole number that is not below `x`; the nearest `i64` where there is none, 0 for no number.
#[must_use]
pub fn whole_above(x: f64) -> i64 {
    let near = x as i64;
    near.saturating_add(i64::from((near as f64) < x))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Against the standard library.
        #[test]
        fn the_same_as_floor_and_ceil(x in prop_oneof![-1e3..1e3_f64, -1e19..1e19_f64, (-99..99_i32).prop_map(f64::from)]) {
            prop_assert_eq!((whole_below(x), whole_above(x)), (x.floor() as i64, x.ceil() as i64));
        }
    }

    #[test]
    fn what_is_no_number_is_nought_and_what_is_too_far_the_last_one() {
        assert_eq!((whole_below(f64::NAN), whole_above(f64::NAN)), (0, 0));
        assert_eq!((whole_below(f64::NEG_INFINITY), whole_above(f64::INFINITY)), (i64::MIN, i64::MAX));
    }
}
