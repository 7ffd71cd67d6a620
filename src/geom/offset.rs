//! Growing and shrinking polygons by a distance.

use super::boolean::{contours, polygons};
use super::{Polygon, union};
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};
use i_overlay::mesh::math::MathMode;

/// Corners sharper than this are cut off instead of drawn out to a spike, radians (about 20 degrees).
const SHARPEST: f64 = 0.35;

/// Turns smaller than this are not worth a mitre, radians (0.06 degrees).
const STRAIGHT: f64 = 0.001;

/// Distances smaller than this change nothing, mm.
const NOTHING_MM: f64 = 1e-9;

/// Moves every edge outwards by `by_mm` (inwards when negative), with mitred corners: exact between straight
/// edges. Parts that grow together are joined, parts that vanish are gone.
///
/// ```
/// use beadwise::geom::{Point, Polygon, offset};
/// let plate = Polygon {
///     outer: vec![Point::new(0.0, 0.0), Point::new(30.0, 0.0), Point::new(30.0, 10.0), Point::new(0.0, 10.0)],
///     holes: vec![],
/// };
/// let smaller = offset(&[plate], -2.0);
/// assert!((smaller[0].area_mm2() - 26.0 * 6.0).abs() < 1e-4);
/// ```
#[must_use]
pub fn offset(of: &[Polygon], by_mm: f64) -> Vec<Polygon> {
    grow(of, by_mm, LineJoin::Miter(SHARPEST))
}

/// Like [`offset`], but outward corners are rounded: every point within `by_mm` of the polygons.
#[must_use]
pub fn offset_round(of: &[Polygon], by_mm: f64) -> Vec<Polygon> {
    grow(of, by_mm, LineJoin::Round(0.1))
}

fn grow(of: &[Polygon], by_mm: f64, join: LineJoin<f64>) -> Vec<Polygon> {
    if !(by_mm.is_finite() && by_mm.abs() > NOTHING_MM) {
        return if by_mm.is_finite() { of.to_vec() } else { Vec::new() };
    }
    // The offset needs rings in the right directions that do not cross.
    let clean: Vec<_> = union(of, &[]).iter().map(|p| contours(p.rings())).collect();
    if clean.is_empty() {
        return Vec::new();
    }
    let style = OutlineStyle::new(by_mm).line_join(join).miter_min_turn(STRAIGHT).math(MathMode::Float);
    polygons(clean.outline(&style))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Point;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn ring(corners: &[(f64, f64)]) -> Vec<Point> {
        corners.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    fn area(of: &[Polygon]) -> f64 {
        of.iter().map(Polygon::area_mm2).sum()
    }

    fn plate_with_hole() -> Polygon {
        Polygon {
            outer: ring(&[(0.0, 0.0), (30.0, 0.0), (30.0, 12.0), (0.0, 12.0)]),
            holes: vec![ring(&[(5.0, 4.0), (5.0, 8.0), (11.0, 8.0), (11.0, 4.0)])],
        }
    }

    #[test]
    fn outside_shrinks_and_hole_grows() {
        let smaller = offset(&[plate_with_hole()], -1.0);
        assert_relative_eq!(area(&smaller), 28.0 * 10.0 - 8.0 * 6.0, epsilon = 1e-4);
        let larger = offset(&[plate_with_hole()], 1.0);
        assert_relative_eq!(area(&larger), 32.0 * 14.0 - 4.0 * 2.0, epsilon = 1e-4);
    }

    #[test]
    fn an_inward_offset_of_a_notch_keeps_its_corner() {
        let l_shape = Polygon {
            outer: ring(&[(0.0, 0.0), (20.0, 0.0), (20.0, 8.0), (6.0, 8.0), (6.0, 14.0), (0.0, 14.0)]),
            holes: vec![],
        };
        // By hand: 18 x 6 at the foot, 4 x 6 above it.
        assert_relative_eq!(area(&offset(&[l_shape], -1.0)), 18.0 * 6.0 + 4.0 * 6.0, epsilon = 1e-4);
    }

    #[test]
    fn a_neck_parts_and_a_gap_closes() {
        let dumbbell = union(
            &[Polygon { outer: ring(&[(0.0, 0.0), (6.0, 0.0), (6.0, 6.0), (0.0, 6.0)]), holes: vec![] }],
            &[
                Polygon { outer: ring(&[(5.0, 2.6), (11.0, 2.6), (11.0, 3.4), (5.0, 3.4)]), holes: vec![] },
                Polygon { outer: ring(&[(10.0, 0.0), (17.0, 0.0), (17.0, 6.0), (10.0, 6.0)]), holes: vec![] },
            ],
        );
        assert_eq!(dumbbell.len(), 1);
        assert_eq!(offset(&dumbbell, -0.5).len(), 2);
        assert_eq!(offset(&offset(&dumbbell, -0.5), 2.6).len(), 1);
    }

    #[test]
    fn a_round_stays_round() {
        let circle = |r: f64| -> Polygon {
            let corners = (0..96).map(|i| f64::from(i) * std::f64::consts::TAU / 96.0);
            Polygon { outer: corners.map(|a| Point::new(3.0 + r * a.cos(), r * a.sin())).collect(), holes: vec![] }
        };
        let smaller = offset(&[circle(10.0)], -0.45);
        // The inscribed radius shrinks by the offset, so the circumscribed one by offset / cos(pi/96).
        let expected = circle(10.0 - 0.45 / (std::f64::consts::PI / 96.0).cos());
        assert_eq!(smaller[0].outer.len(), 96);
        assert_relative_eq!(area(&smaller), expected.area_mm2(), epsilon = 1e-4);
    }

    #[test]
    fn too_much_leaves_nothing() {
        assert!(offset(&[plate_with_hole()], -6.1).is_empty());
        assert!(offset(&[plate_with_hole()], f64::NAN).is_empty());
        assert!(offset(&[], 1.0).is_empty());
    }

    proptest! {
        #[test]
        fn growing_undoes_shrinking_of_a_rectangle(w in 5.0..80.0_f64, d in 5.0..40.0_f64, by in 0.1..2.0_f64) {
            let plate = Polygon { outer: ring(&[(1.0, 2.0), (1.0 + w, 2.0), (1.0 + w, 2.0 + d), (1.0, 2.0 + d)]), holes: vec![] };
            let back = offset(&offset(&[plate], -by), by);
            prop_assert!((area(&back) - w * d).abs() < 1e-3);
        }
    }
}
