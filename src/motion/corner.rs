//! How fast a corner may be taken.
//!
//! Directions have four components: x, y, z of the unit vector along the path, and the filament fed for each
//! millimetre of path.

use crate::profile::Corner;

/// Below this a difference of direction is rounding, not a corner.
const SAME_DIRECTION: f64 = 1e-9;

/// The highest speed, mm/s, through the corner from direction `before` to direction `after`; infinite when there is none.
///
/// By deviation: the circle of radius r = d s/(1 - s) with s = sin(half the angle between the edges) touches both
/// edges and passes the corner at distance d; v = sqrt(a r). (S. K. Jeon, article on an improved cornering algorithm,
/// 24 September 2011.) By steps: every axis may jump by its own speed (common practice, no source).
pub(super) fn speed(rule: Corner, accel_mm_s2: f64, before: &[f64; 4], after: &[f64; 4]) -> f64 {
    match rule {
        Corner::DeviationMm(deviation) => {
            let cosine = before[0] * after[0] + before[1] * after[1] + before[2] * after[2];
            // The angle between the edges is 180 degrees less the turn.
            let sine = ((1.0 + cosine) / 2.0).clamp(0.0, 1.0).sqrt();
            if 1.0 - sine < SAME_DIRECTION * SAME_DIRECTION {
                f64::INFINITY
            } else {
                (accel_mm_s2 * deviation * sine / (1.0 - sine)).sqrt()
            }
        }
        Corner::StepMmS(step) => {
            let mut speed = f64::INFINITY;
            for axis in 0..4 {
                let jump = (after[axis] - before[axis]).abs();
                if jump > SAME_DIRECTION {
                    speed = speed.min(step[axis] / jump);
                }
            }
            speed
        }
    }
}
