//! One straight piece at constant acceleration, cruise, constant deceleration.
//!
//! ```text
//! v |    ______
//!   |   /      \
//!   |  /        \ v1
//!   | / v0       |
//!   +--------------> t
//! ```

/// The speed reached after `length_mm` from `entry_mm_s` at `accel_mm_s2`: v² = u² + 2as.
pub(super) fn reached(entry_mm_s: f64, accel_mm_s2: f64, length_mm: f64) -> f64 {
    (entry_mm_s * entry_mm_s + 2.0 * accel_mm_s2 * length_mm).sqrt()
}

/// Seconds for `length_mm`, entered at `entry_mm_s` and left at `exit_mm_s`, never above `speed_mm_s`.
///
/// The peak is min(v, sqrt(a d + (v0² + v1²)/2)), from v² = u² + 2as on both flanks.
pub(super) fn seconds(length_mm: f64, entry_mm_s: f64, exit_mm_s: f64, speed_mm_s: f64, accel_mm_s2: f64) -> f64 {
    let ends = entry_mm_s * entry_mm_s + exit_mm_s * exit_mm_s;
    let top = (accel_mm_s2 * length_mm + ends / 2.0).sqrt();
    // Rounding may leave the peak a hair under an end speed; a flank never has negative time.
    let peak = top.min(speed_mm_s).max(entry_mm_s).max(exit_mm_s);
    let flanks = (2.0 * peak - entry_mm_s - exit_mm_s) / accel_mm_s2;
    let flank_mm = (2.0 * peak * peak - ends) / (2.0 * accel_mm_s2);
    let cruise_mm = (length_mm - flank_mm).max(0.0);
    flanks + if cruise_mm > 0.0 { cruise_mm / peak } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn rest_to_rest_long_short_and_at_the_switch() {
        // d >= v²/a: t = d/v + v/a, else t = 2 sqrt(d/a) (motion-control texts; triangular form read, rest from memory).
        assert_relative_eq!(seconds(100.0, 0.0, 0.0, 50.0, 1000.0), 2.050, epsilon = 1e-12);
        assert_relative_eq!(seconds(1.0, 0.0, 0.0, 50.0, 1000.0), 0.063_245_553, epsilon = 1e-9);
        assert_relative_eq!(seconds(2.5, 0.0, 0.0, 50.0, 1000.0), 0.100, epsilon = 1e-12);
    }

    #[test]
    fn entry_and_exit_speeds_differ() {
        // v_peak = min(v, sqrt(a d + (v0² + v1²)/2)): kinematics, from memory, numbers computed.
        assert_relative_eq!(seconds(20.0, 5.0, 10.0, 60.0, 1000.0), 0.379_375, epsilon = 1e-9);
        assert_relative_eq!(seconds(2.0, 5.0, 10.0, 60.0, 1000.0), 0.075_829_5, epsilon = 1e-7);
    }

    #[test]
    fn speed_after_a_length() {
        // v² = u² + 2as with u = 3, a = 8, s = 1: 5 (kinematics).
        assert_relative_eq!(reached(3.0, 8.0, 1.0), 5.0, epsilon = 1e-12);
    }

    proptest! {
        #[test]
        fn never_faster_than_the_speed_and_the_same_both_ways(
            length in 1e-6..1e4f64, speed in 0.1..500.0f64, accel in 1.0..1e4f64, a in 0.0..1.0f64, b in 0.0..1.0f64,
        ) {
            let entry = a * speed;
            // An exit that can be reached from the entry.
            let low = (entry * entry - 2.0 * accel * length).max(0.0).sqrt();
            let high = reached(entry, accel, length).min(speed);
            let exit = low + b * (high - low);
            let there = seconds(length, entry, exit, speed, accel);
            let back = seconds(length, exit, entry, speed, accel);
            prop_assert!(there >= length / speed * (1.0 - 1e-9));
            prop_assert!((there - back).abs() <= 1e-9 * there);
        }
    }
}
