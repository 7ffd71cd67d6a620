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
