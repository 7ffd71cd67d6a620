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

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn heading(degrees: f64) -> [f64; 4] {
        let (sine, cosine) = degrees.to_radians().sin_cos();
        [cosine, sine, 0.0, 0.0]
    }

    #[test]
    fn deviation_table() {
        // S. K. Jeon, article on an improved cornering algorithm, 24 September 2011; M. Widmann's note: 0.01 mm, 1000 mm/s².
        let table =
            [(15.0, 34.04), (30.0, 16.84), (45.0, 11.02), (60.0, 8.040), (90.0, 4.913), (120.0, 3.162), (135.0, 2.490)];
        for (turn, want) in table {
            let got = speed(Corner::DeviationMm(0.01), 1000.0, &heading(20.0), &heading(20.0 + turn));
            assert_relative_eq!(got, want, max_relative = 5e-4);
        }
    }

    #[test]
    fn at_120_degrees_the_radius_is_the_deviation() {
        // sin(30°) = 1/2, so r = d and v² = a d: same article.
        let got = speed(Corner::DeviationMm(0.037), 900.0, &heading(-10.0), &heading(110.0));
        assert_relative_eq!(got * got / 900.0, 0.037, max_relative = 1e-9);
    }

    #[test]
    fn straight_on_is_no_corner_and_back_is_a_stop() {
        let rules = [Corner::DeviationMm(0.02), Corner::StepMmS([8.0, 8.0, 0.4, 5.0])];
        for rule in rules {
            assert!(speed(rule, 1000.0, &heading(33.0), &heading(33.0)).is_infinite());
        }
        assert!(speed(rules[0], 1000.0, &heading(33.0), &heading(213.0)) < 1e-3);
    }

    #[test]
    fn a_corner_into_the_height_is_one_as_well() {
        let rule = Corner::DeviationMm(0.02);
        let into_z = |degrees: f64| {
            let [along, up, ..] = heading(degrees);
            [along, 0.0, up, 0.0]
        };
        for (from, turn) in [(0.0, 40.0), (25.0, 60.0), (70.0, 90.0)] {
            let flat = speed(rule, 1000.0, &heading(from), &heading(from + turn));
            let rising = speed(rule, 1000.0, &into_z(from), &into_z(from + turn));
            assert_relative_eq!(rising, flat, max_relative = 1e-9);
        }
        // Without room to deviate there is no speed but straight on.
        assert_eq!(speed(Corner::DeviationMm(0.0), 1000.0, &heading(0.0), &heading(90.0)), 0.0);
        assert!(speed(Corner::DeviationMm(0.0), 1000.0, &heading(0.0), &heading(0.0)).is_infinite());
    }

    #[test]
    fn step_table() {
        // v = J / max(|1 - cos|, |sin|) for a corner that starts along an axis: community practice, from memory.
        let rule = Corner::StepMmS([8.0, 8.0, 0.4, 5.0]);
        for (turn, want) in [(90.0, 8.0), (45.0, 11.314), (30.0, 16.0), (180.0, 4.0)] {
            assert_relative_eq!(speed(rule, 1000.0, &heading(0.0), &heading(turn)), want, max_relative = 5e-5);
        }
    }

    #[test]
    fn every_axis_has_its_own_step() {
        // Along x 8 mm/s may jump, along y 3: a corner from x into y is held by y. Filament likewise.
        let rule = Corner::StepMmS([8.0, 3.0, 0.4, 0.5]);
        assert_relative_eq!(speed(rule, 1.0, &heading(0.0), &heading(90.0)), 3.0, max_relative = 1e-9);
        let feeding = [1.0, 0.0, 0.0, 0.05];
        assert_relative_eq!(speed(rule, 1.0, &heading(0.0), &feeding), 10.0, max_relative = 1e-9);
    }

    #[test]
    fn the_two_rules_agree_at_90_degrees() {
        // d = (sqrt 2 - 1) J²/a: algebra from the two rules; J 8, a 1000 gives 0.02651 mm.
        let deviation = (2f64.sqrt() - 1.0) * 64.0 / 1000.0;
        assert_relative_eq!(deviation, 0.02651, max_relative = 2e-4);
        let by_deviation = speed(Corner::DeviationMm(deviation), 1000.0, &heading(0.0), &heading(90.0));
        assert_relative_eq!(by_deviation, 8.0, max_relative = 1e-9);
    }

    proptest! {
        #[test]
        fn turning_the_part_changes_the_step_rule_only(start in 0.0..360.0f64, turn in 1.0..179.0f64) {
            let deviation = Corner::DeviationMm(0.02);
            let there = speed(deviation, 1200.0, &heading(0.0), &heading(turn));
            let turned = speed(deviation, 1200.0, &heading(start), &heading(start + turn));
            prop_assert!((there - turned).abs() <= 1e-6 * there);
        }
    }

    #[test]
    fn the_step_rule_depends_on_how_the_corner_lies() {
        let rule = Corner::StepMmS([8.0, 8.0, 0.4, 5.0]);
        let along = speed(rule, 1000.0, &heading(0.0), &heading(90.0));
        let askew = speed(rule, 1000.0, &heading(45.0), &heading(135.0));
        // From 45° to 135° all of the jump, sqrt 2 v, is along x.
        assert_relative_eq!(askew, along / 2f64.sqrt(), max_relative = 1e-9);
    }
}
