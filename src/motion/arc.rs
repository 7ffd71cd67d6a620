//! Arcs: from the words of G2 and G3 to a centre, a radius and a sweep.
//!
//! All in the plane of the arc, with `u` and `v` its first and second axis (G17: x, y; G18: z, x; G19: y, z), so
//! that anticlockwise is from u to v.

use std::f64::consts::TAU;

/// Chords stay this close to the arc, mm: a tenth of a thin bead's height.
const TOLERANCE_MM: f64 = 0.01;
/// No arc is cut into more chords than this.
const MOST_CHORDS: f64 = 4096.0;
/// Radii at both ends may differ by this much, mm (NISTIR 6556, 3.5.3.2).
pub(super) const RADIUS_MISMATCH_MM: f64 = 0.002;

/// Why an arc cannot be drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ArcError {
    /// R is given and the end is the start, or neither R nor a centre is given.
    NoCentre,
    /// The end is further away than twice the radius.
    RadiusTooSmall,
}

/// An arc in its plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Arc {
    pub(super) centre: [f64; 2],
    /// Radius at the start and at the end, mm; they differ by rounding.
    pub(super) radius_mm: [f64; 2],
    /// Angle of the start seen from the centre, rad.
    pub(super) start_rad: f64,
    /// Signed sweep, rad; anticlockwise is positive.
    pub(super) sweep_rad: f64,
}

impl Arc {
    /// From `from` to `to` round `centre`; a full turn when they are the same place.
    pub(super) fn round_centre(
        from: [f64; 2],
        to: [f64; 2],
        centre: [f64; 2],
        clockwise: bool,
    ) -> Result<Self, ArcError> {
        let radius_mm = [distance(from, centre), distance(to, centre)];
        if radius_mm[0] == 0.0 {
            return Err(ArcError::NoCentre);
        }
        let start_rad = (from[1] - centre[1]).atan2(from[0] - centre[0]);
        let end_rad = (to[1] - centre[1]).atan2(to[0] - centre[0]);
        let mut sweep_rad = (if clockwise { start_rad - end_rad } else { end_rad - start_rad }).rem_euclid(TAU);
        // A full circle is written with the end at the start; rounding must not turn it into nothing.
        if from == to || sweep_rad == 0.0 {
            sweep_rad = TAU;
        }
        Ok(Self { centre, radius_mm, start_rad, sweep_rad: if clockwise { -sweep_rad } else { sweep_rad } })
    }

    /// From `from` to `to` with a radius: up to half a turn when it is positive, else more.
    pub(super) fn with_radius(from: [f64; 2], to: [f64; 2], radius_mm: f64, clockwise: bool) -> Result<Self, ArcError> {
        let chord = distance(from, to);
        let radius = radius_mm.abs();
        if chord == 0.0 || radius == 0.0 {
            return Err(ArcError::NoCentre);
        }
        let half = chord / 2.0;
        if half > radius + RADIUS_MISMATCH_MM {
            return Err(ArcError::RadiusTooSmall);
        }
        let height = (radius * radius - half * half).max(0.0).sqrt();
        // The centre lies left of the chord for a short anticlockwise arc and for a long clockwise one.
        let side = if clockwise == (radius_mm < 0.0) { 1.0 } else { -1.0 };
        let along = [(to[0] - from[0]) / chord, (to[1] - from[1]) / chord];
        let centre = [
            f64::midpoint(from[0], to[0]) - side * height * along[1],
            f64::midpoint(from[1], to[1]) + side * height * along[0],
        ];
        Self::round_centre(from, to, centre, clockwise)
    }

    /// Length in the plane, mm.
    pub(super) fn length_mm(&self) -> f64 {
        self.sweep_rad.abs() * f64::midpoint(self.radius_mm[0], self.radius_mm[1])
    }

    /// The point at `share` (0 to 1) of the sweep.
    pub(super) fn point(&self, share: f64) -> [f64; 2] {
        let radius = self.radius_mm[0] + (self.radius_mm[1] - self.radius_mm[0]) * share;
        let angle = self.start_rad + self.sweep_rad * share;
        [self.centre[0] + radius * angle.cos(), self.centre[1] + radius * angle.sin()]
    }

    /// The unit tangent at `share` of the sweep.
    pub(super) fn tangent(&self, share: f64) -> [f64; 2] {
        let angle = self.start_rad + self.sweep_rad * share;
        let sign = self.sweep_rad.signum();
        [-sign * angle.sin(), sign * angle.cos()]
    }

    /// How many chords keep within the tolerance: a chord of angle p leaves r (1 - cos(p/2)) to the arc.
    pub(super) fn chords(&self) -> u32 {
        let radius = self.radius_mm[0].max(self.radius_mm[1]).max(TOLERANCE_MM);
        let widest = 2.0 * (1.0 - TOLERANCE_MM / radius).acos();
        // A circle is never less than an octagon.
        let count = (self.sweep_rad.abs() / widest.min(TAU / 8.0)).ceil();
        count.clamp(1.0, MOST_CHORDS) as u32
    }
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn centre_arc_of_the_standard() {
        // NISTIR 6556, 3.5.3.2: from (7, 7) `G17 G2 x 10 y 16 i 3 j 4`; figures computed.
        let arc = Arc::round_centre([7.0, 7.0], [10.0, 16.0], [10.0, 11.0], true).unwrap();
        assert_relative_eq!(arc.radius_mm[0], 5.0, epsilon = 1e-12);
        assert_relative_eq!(arc.radius_mm[1], 5.0, epsilon = 1e-12);
        assert_relative_eq!(-arc.sweep_rad.to_degrees(), 143.1301, epsilon = 1e-4);
        assert_relative_eq!(arc.length_mm(), 12.49046, epsilon = 1e-5);
    }

    #[test]
    fn radius_arc_of_the_standard() {
        // NISTIR 6556, 3.5.3.1: R > 0 turns 180° or less, R < 0 the rest of the circle, both with the same radius.
        let (from, to) = ([3.0, 1.0], [10.0, 15.0]);
        for clockwise in [true, false] {
            let short = Arc::with_radius(from, to, 20.0, clockwise).unwrap();
            let long = Arc::with_radius(from, to, -20.0, clockwise).unwrap();
            assert_relative_eq!(short.radius_mm[0], 20.0, epsilon = 1e-9);
            assert!(short.sweep_rad.abs() < std::f64::consts::PI);
            assert!(long.sweep_rad.abs() > std::f64::consts::PI);
            // Chord 15.652: the short sweep is 2 asin(chord / 2r).
            assert_relative_eq!(short.sweep_rad.abs(), 2.0 * (245f64.sqrt() / 40.0).asin(), epsilon = 1e-9);
            assert_eq!(short.sweep_rad < 0.0, clockwise);
            assert_eq!(long.sweep_rad < 0.0, clockwise);
        }
    }

    #[test]
    fn a_quarter_turn_goes_the_right_way() {
        // From (5, 0) anticlockwise round the origin to (0, 5): passes 45°, not 225°.
        let arc = Arc::round_centre([5.0, 0.0], [0.0, 5.0], [0.0, 0.0], false).unwrap();
        let [x, y] = arc.point(0.5);
        assert_relative_eq!(x, 12.5f64.sqrt(), epsilon = 1e-9);
        assert_relative_eq!(y, 12.5f64.sqrt(), epsilon = 1e-9);
        let [u, v] = arc.tangent(0.0);
        assert_relative_eq!(u, 0.0, epsilon = 1e-12);
        assert_relative_eq!(v, 1.0, epsilon = 1e-12);
    }

    #[test]
    fn a_radius_that_ends_otherwise_than_it_began_changes_evenly() {
        let arc = Arc::round_centre([5.0, 0.0], [0.0, 6.0], [0.0, 0.0], false).unwrap();
        for (share, radius_mm) in [(0.0, 5.0), (0.25, 5.25), (1.0, 6.0)] {
            assert_relative_eq!(distance(arc.point(share), arc.centre), radius_mm, epsilon = 1e-12);
        }
    }

    #[test]
    fn what_cannot_be_drawn() {
        // NISTIR 6556, 3.5.3.1: an end equal to the start is an error with a radius, a full circle with a centre.
        let place = [4.0, 2.0];
        assert_eq!(Arc::with_radius(place, place, 3.0, true), Err(ArcError::NoCentre));
        assert_eq!(Arc::with_radius(place, [14.0, 2.0], 4.9, true), Err(ArcError::RadiusTooSmall));
        // A radius too small by no more than rounding is half a turn.
        let short_mm = 5.0 - 0.5 * RADIUS_MISMATCH_MM;
        let half_turn = Arc::with_radius(place, [14.0, 2.0], short_mm, true).unwrap();
        assert_relative_eq!(half_turn.sweep_rad.abs(), TAU / 2.0, epsilon = 1e-9);
        let circle = Arc::round_centre(place, place, [4.0, 5.0], true).unwrap();
        assert_relative_eq!(circle.length_mm(), TAU * 3.0, epsilon = 1e-9);
        // The same where rounding has moved the end along the radius.
        let rounded = Arc::round_centre([5.0, 0.0], [5.001, 0.0], [0.0, 0.0], false).unwrap();
        assert_relative_eq!(rounded.sweep_rad, TAU, epsilon = 1e-12);
    }

    #[test]
    fn a_speck_of_a_circle_is_an_octagon() {
        let speck = Arc::round_centre([0.02, 0.0], [0.02, 0.0], [0.0, 0.0], false).unwrap();
        assert_eq!(speck.chords(), 8);
    }

    proptest! {
        #[test]
        fn the_tangent_points_to_where_the_arc_goes(
            start in -3.0..3.0f64, sweep in 0.1..6.0f64, share in 0.05..0.95f64, clockwise: bool,
        ) {
            let (centre, radius) = ([7.0, -3.0], 4.0);
            let at = |angle: f64| [centre[0] + radius * angle.cos(), centre[1] + radius * angle.sin()];
            let end = if clockwise { start - sweep } else { start + sweep };
            let arc = Arc::round_centre(at(start), at(end), centre, clockwise).unwrap();
            let (before, after) = (arc.point(share - 1e-5), arc.point(share + 1e-5));
            let (length, tangent) = (distance(before, after), arc.tangent(share));
            prop_assert!(((after[0] - before[0]) / length - tangent[0]).abs() < 1e-6);
            prop_assert!(((after[1] - before[1]) / length - tangent[1]).abs() < 1e-6);
        }

        #[test]
        fn chords_stay_close_and_few(radius in 0.05..500.0f64, sweep in 0.01..TAU) {
            let to = [radius * sweep.cos(), radius * sweep.sin()];
            let arc = Arc::round_centre([radius, 0.0], to, [0.0, 0.0], false).unwrap();
            let chords = arc.chords();
            let half = arc.sweep_rad / f64::from(chords) / 2.0;
            prop_assert!(radius * (1.0 - half.cos()) <= TOLERANCE_MM * 1.0001);
            // One fewer would be too few, or a circle less than an octagon.
            prop_assert!(f64::from(chords) <= 1.0 + arc.sweep_rad / (2.0 * (2.0 * TOLERANCE_MM / radius).sqrt()).min(TAU / 8.0));
        }

        #[test]
        fn both_ways_of_writing_an_arc_agree(x in -50.0..50.0f64, y in -50.0..50.0f64, more in 1.01..5.0f64, long: bool, clockwise: bool) {
            prop_assume!(x.hypot(y) > 0.1);
            let radius = x.hypot(y) / 2.0 * more;
            let by_radius = Arc::with_radius([1.0, 2.0], [1.0 + x, 2.0 + y], if long { -radius } else { radius }, clockwise).unwrap();
            prop_assert!((by_radius.radius_mm[0] - radius).abs() < 1e-9 * radius + 1e-9);
            let end = by_radius.point(1.0);
            prop_assert!((end[0] - 1.0 - x).abs() < 1e-7 && (end[1] - 2.0 - y).abs() < 1e-7);
        }
    }
}
