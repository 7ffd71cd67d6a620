//! Bending of a section that need not be symmetric to the force.
//!
//! ```text
//!    |  force down           an angle gives way downwards and aside: the stress is greatest
//!    v                       at the tip of a leg, and greater than the distance from the
//!   ||                       middle line alone would say
//!   ||____
//!   |_____|
//! ```

use crate::geom::{Moments, Point, Reach};

/// Slope of the stress over a section that a moment bends, for each unit of it: mm⁻⁴. `towards` is the direction, and how
/// far, the force that bends acts off the middle or aside.
///
/// A section that is not symmetric to that direction bends askew: σ = M (I⁻¹ d) · r with the second moments about the
/// middle in a matrix (unsymmetrical bending; Timoshenko, Strength of Materials, part I, 1955, § 42 ff; from memory).
/// `None` for a section without width.
pub(super) fn per_moment(section: &Moments, towards: Point) -> Option<Point> {
    let (xx, yy, xy) = (section.iyy_mm4, section.ixx_mm4, section.ixy_mm4);
    let det = xx * yy - xy * xy;
    let slope = Point::new(yy * towards.x - xy * towards.y, xx * towards.y - xy * towards.x) * (1.0 / det);
    (det > 1e-9 * xx * yy).then_some(slope)
}

/// A section as it bends one way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bent {
    /// Second moment I by which it gives way in the direction of the force, mm⁴: about the axis square to it for a section
    /// that is symmetric to it, less for any other.
    pub second_mm4: f64,
    /// Distance c of its outermost plastic, on whichever side, mm, counted so that the greatest stress is M c / I.
    pub outermost_mm: f64,
    /// It gives way aside as well.
    askew: bool,
}

/// Sections that give way aside by more than this share of what they give way to the force are said to bend askew.
const ASKEW: f64 = 0.02;

impl Bent {
    /// Bent by a force in a direction of length 1; `None` for a section without width.
    pub fn new(section: &Moments, reach: &Reach, towards: Point) -> Option<Self> {
        let slope = per_moment(section, towards)?;
        // On either side, since which one is pulled depends on the sense of the force.
        let furthest = |slope: Point| reach.furthest(slope, section.centroid);
        let second_mm4 = 1.0 / slope.dot(towards);
        let outermost_mm = furthest(slope).max(furthest(slope * -1.0)) * second_mm4;
        let askew = slope.cross(towards).abs() * second_mm4 > ASKEW;
        (outermost_mm > 0.0).then_some(Self { second_mm4, outermost_mm, askew })
    }

    /// What to add to the formula.
    pub const fn note(&self) -> &'static str {
        if self.askew {
            "; the section is not symmetric to the force and bends askew, which I and c allow for"
        } else {
            ""
        }
    }

    /// I / c, mm³.
    pub fn modulus_mm3(&self) -> f64 {
        self.second_mm4 / self.outermost_mm
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq as near;

    // Bar of 6 by 24: b h³ / 12 and h / 2 (first principles), whichever way it lies; along its short side h and b change places.
    #[test]
    fn a_turned_bar_bends_like_a_bar() {
        for degrees in [0.0_f64, 20.0, 45.0, 130.0] {
            let along = Point::new(degrees.to_radians().cos(), degrees.to_radians().sin());
            let corner = |x: f64, y: f64| Point::new(50.0, -8.0) + along.left() * (12.0 * y) - along * (3.0 * x);
            let ring = [corner(1.0, 1.0), corner(1.0, -1.0), corner(-1.0, -1.0), corner(-1.0, 1.0)];
            let section = Moments::of_ring(&ring);
            let reach = Reach::of(&ring, 0.0).unwrap();
            let high = Bent::new(&section, &reach, along.left()).unwrap();
            near!(high.second_mm4, 6.0 * 24f64.powi(3) / 12.0, max_relative = 1e-9);
            near!(high.outermost_mm, 12.0, max_relative = 1e-9);
            let flat = Bent::new(&section, &reach, along).unwrap();
            near!(flat.modulus_mm3(), 24.0 * 36.0 / 6.0, max_relative = 1e-9);
            assert_eq!((high.note(), flat.note()), ("", ""));
            // Two degrees from its stiff side a bar four times as high gives way aside by half of what it gives way.
            let beside = along.left() + along * 0.035;
            assert!(Bent::new(&section, &reach, beside * (1.0 / beside.length())).unwrap().note().contains("askew"));
        }
    }

    // A Z of equal flanges gives way aside as well: with web 2 a and flanges a, t thick (t small), Ixx = 8/3 t a³,
    // Iyy = 2/3 t a³ and Ixy = t a³, so that I = Ixx - Ixy² / Iyy = 7/6 t a³ (by hand).
    #[test]
    fn a_z_gives_way_more_than_its_height_says() {
        let (a, t) = (30.0, 0.01);
        let strip =
            |from: (f64, f64), to: (f64, f64)| Moments::of_strip(Point::new(from.0, from.1), Point::new(to.0, to.1), t);
        let section = strip((0.0, -a), (0.0, a)) + strip((0.0, a), (a, a)) + strip((-a, -a), (0.0, -a));
        let corners = [(0.0, a), (a, a), (-a, -a), (0.0, -a)].map(|(x, y)| Point::new(x, y));
        let bent = Bent::new(&section, &Reach::of(&corners, 0.0).unwrap(), Point::new(0.0, 1.0)).unwrap();
        near!(bent.second_mm4, 7.0 / 6.0 * t * a.powi(3), max_relative = 1e-3);
        // The slope is (-9/7, 6/7) / (t a³): 6/7 a where web and flange meet, 3/7 a at the tip.
        near!(bent.modulus_mm3(), 7.0 / 6.0 * t * a * a, max_relative = 1e-3);
    }

    #[test]
    fn a_line_has_no_width_to_bend() {
        let line = Moments { area_mm2: 1.0, centroid: Point::default(), ixx_mm4: 0.0, iyy_mm4: 3.0, ixy_mm4: 0.0 };
        let reach = Reach::of(&[Point::new(-3.0, 0.0), Point::new(3.0, 0.0)], 0.0).unwrap();
        assert_eq!(per_moment(&line, Point::new(0.0, 1.0)), None);
        assert_eq!(Bent::new(&line, &reach, Point::new(0.0, 1.0)), None);
    }
}
