//! Area, centroid and second moments of plane figures, as sums of parts.
//!
//! Each part is kept about its own centroid and put together by the parallel-axis theorem
//! (Steiner): no large terms cancel, however far from the origin the part lies. Which integral is
//! meant is always written out, since "about x" is read both ways:
//!
//! ```text
//! ixx = integral of y² dA     (resists bending about the x axis)
//! iyy = integral of x² dA     (resists bending about the y axis)
//! ixy = integral of x y dA
//! ```

use super::{Point, Polygon};
use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub};

/// Area of a figure and its second moments about its own centroid.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Moments {
    /// Area, mm²; negative for a hole that is to be added to what it is cut from.
    pub area_mm2: f64,
    /// Centroid, mm; the origin where there is no area.
    pub centroid: Point,
    /// Integral of y² dA about the centroid, mm⁴.
    pub ixx_mm4: f64,
    /// Integral of x² dA about the centroid, mm⁴.
    pub iyy_mm4: f64,
    /// Integral of x y dA about the centroid, mm⁴.
    pub ixy_mm4: f64,
}

/// Principal second moments.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Principal {
    /// The largest second moment about any axis through the centroid, mm⁴.
    pub max_mm4: f64,
    /// The least, mm⁴.
    pub min_mm4: f64,
    /// Angle from x to the axis about which the moment is largest, degrees in -90..=90.
    pub max_axis_deg: f64,
}

impl Moments {
    /// Nothing at all.
    pub const ZERO: Self =
        Self { area_mm2: 0.0, centroid: Point::new(0.0, 0.0), ixx_mm4: 0.0, iyy_mm4: 0.0, ixy_mm4: 0.0 };

    /// Of a ring, signed: positive when it runs counter-clockwise.
    ///
    /// Sums over the triangles from the first corner to each edge; exact for straight edges. The
    /// triangle's moment is Green's theorem written out (C. Steger, "On the calculation of moments
    /// of polygons", 1996; from memory, checked against the sections in the tests).
    #[must_use]
    pub fn of_ring(ring: &[Point]) -> Self {
        let Some(&origin) = ring.first() else { return Self::ZERO };
        let (mut area, mut sx, mut sy, mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        for pair in ring.windows(2) {
            let (a, b) = (pair[0] - origin, pair[1] - origin);
            let double = a.cross(b);
            area += double / 2.0;
            sx += double * (a.x + b.x) / 6.0;
            sy += double * (a.y + b.y) / 6.0;
            xx += double * (a.x * a.x + a.x * b.x + b.x * b.x) / 12.0;
            yy += double * (a.y * a.y + a.y * b.y + b.y * b.y) / 12.0;
            xy += double * (2.0 * a.x * a.y + a.x * b.y + b.x * a.y + 2.0 * b.x * b.y) / 24.0;
        }
        // An edge back to the origin spans no triangle, so the ring need not repeat its first corner.
        if area == 0.0 {
            return Self::ZERO;
        }
        let c = Point::new(sx / area, sy / area);
        Self {
            area_mm2: area,
            centroid: origin + c,
            ixx_mm4: yy - area * c.y * c.y,
            iyy_mm4: xx - area * c.x * c.x,
            ixy_mm4: xy - area * c.x * c.y,
        }
    }

    /// Of a polygon: its outer ring less its holes, whichever way round they run.
    #[must_use]
    pub fn of_polygon(polygon: &Polygon) -> Self {
        let unsigned = |ring: &[Point]| {
            let m = Self::of_ring(ring);
            if m.area_mm2 < 0.0 { m.scaled(-1.0) } else { m }
        };
        polygon.holes.iter().fold(unsigned(&polygon.outer), |sum, hole| sum - unsigned(hole))
    }

    /// Of a straight strip of even width: a rectangle laid along a line.
    ///
    /// Along the strip l²/12, across it w²/12 of its area, turned to x and y.
    #[must_use]
    pub fn of_strip(from: Point, to: Point, width_mm: f64) -> Self {
        let along = to - from;
        let length = along.length();
        let Some(unit) = along.unit() else { return Self::ZERO };
        let area = length * width_mm;
        let (l2, w2) = (length * length / 12.0, width_mm * width_mm / 12.0);
        let (c, s) = (unit.x, unit.y);
        Self {
            area_mm2: area,
            centroid: from.lerp(to, 0.5),
            ixx_mm4: area * (l2 * s * s + w2 * c * c),
            iyy_mm4: area * (l2 * c * c + w2 * s * s),
            ixy_mm4: area * (l2 - w2) * s * c,
        }
    }

    /// The same figure with its density multiplied: areas and moments alike.
    #[must_use]
    pub fn scaled(self, by: f64) -> Self {
        Self {
            area_mm2: self.area_mm2 * by,
            ixx_mm4: self.ixx_mm4 * by,
            iyy_mm4: self.iyy_mm4 * by,
            ixy_mm4: self.ixy_mm4 * by,
            ..self
        }
    }

    /// Principal moments and axes (Mohr's circle).
    #[must_use]
    pub fn principal(self) -> Principal {
        let mean = 0.5 * (self.ixx_mm4 + self.iyy_mm4);
        let half = 0.5 * (self.ixx_mm4 - self.iyy_mm4);
        let radius = half.hypot(self.ixy_mm4);
        Principal {
            max_mm4: mean + radius,
            min_mm4: mean - radius,
            max_axis_deg: 0.5 * (-self.ixy_mm4).atan2(half).to_degrees(),
        }
    }
}

impl Add for Moments {
    type Output = Self;

    /// Both figures together, about their common centroid.
    fn add(self, other: Self) -> Self {
        let area = self.area_mm2 + other.area_mm2;
        if self.area_mm2 == 0.0 {
            return other;
        }
        if other.area_mm2 == 0.0 {
            return self;
        }
        if area == 0.0 {
            return Self::ZERO;
        }
        let d = other.centroid - self.centroid;
        let share = other.area_mm2 / area;
        let steiner = self.area_mm2 * share;
        Self {
            area_mm2: area,
            centroid: self.centroid + d * share,
            ixx_mm4: self.ixx_mm4 + other.ixx_mm4 + steiner * d.y * d.y,
            iyy_mm4: self.iyy_mm4 + other.iyy_mm4 + steiner * d.x * d.x,
            ixy_mm4: self.ixy_mm4 + other.ixy_mm4 + steiner * d.x * d.y,
        }
    }
}

impl AddAssign for Moments {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Moments {
    type Output = Self;

    /// The first figure with the second cut out of it.
    fn sub(self, other: Self) -> Self {
        self + other.scaled(-1.0)
    }
}

impl Sum for Moments {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq as near;
    use proptest::prelude::*;

    fn ring(points: &[(f64, f64)]) -> Vec<Point> {
        points.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    fn polygon(points: &[(f64, f64)]) -> Polygon {
        Polygon { outer: ring(points), holes: Vec::new() }
    }

    fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Point> {
        ring(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    }

    // Rectangle 50 x 100: b d³/12, first principles (also PyPI sectionproperties 3.10.2, validation tests).
    #[test]
    fn rectangle_by_first_principles() {
        let m = Moments::of_polygon(&Polygon { outer: rectangle(200.0, -30.0, 250.0, 70.0), holes: Vec::new() });
        near!(m.area_mm2, 5000.0, max_relative = 1e-12);
        near!(m.centroid.x, 225.0, max_relative = 1e-12);
        near!(m.centroid.y, 20.0, max_relative = 1e-12);
        near!(m.ixx_mm4, 4.166_666_666_7e6, max_relative = 1e-9);
        near!(m.iyy_mm4, 1.041_666_666_7e6, max_relative = 1e-9);
        assert!(m.ixy_mm4.abs() < 1e-6);
    }

    // L section: Pilkey, Analysis and Design of Elastic Beams, Wiley 2002, example 1.1, p. 18
    // (a = 1, t = 0.1), digits recomputed from the polygon.
    #[test]
    fn l_section_by_pilkey() {
        let m = Moments::of_polygon(&polygon(&[
            (-0.05, -2.0),
            (0.05, -2.0),
            (0.05, -0.05),
            (1.0, -0.05),
            (1.0, 0.05),
            (-0.05, 0.05),
        ]));
        near!(m.area_mm2, 0.3, max_relative = 1e-9);
        near!(m.centroid.x, 0.16625, max_relative = 1e-9);
        near!(m.centroid.y, -0.66625, max_relative = 1e-9);
        near!(m.ixx_mm4, 0.133_583, max_relative = 1e-5);
        near!(m.iyy_mm4, 0.025_208, max_relative = 2e-5);
        near!(m.ixy_mm4, 0.033_229, max_relative = 2e-5);
        let p = m.principal();
        near!(p.max_mm4, 0.142_960, max_relative = 1e-5);
        near!(p.min_mm4, 0.015_831, max_relative = 3e-5);
        near!(p.max_axis_deg, -15.758_87, max_relative = 1e-6);
    }

    // I section: Peery, Aircraft Structures, McGraw-Hill 1950, example 6.2.1: I = 43.33 in⁴.
    #[test]
    fn i_section_by_peery_as_a_sum_of_parts() {
        let parts = [rectangle(-1.5, 2.0, 1.5, 3.0), rectangle(-0.5, -2.0, 0.5, 2.0), rectangle(-1.5, -3.0, 1.5, -2.0)];
        let m: Moments = parts.iter().map(|r| Moments::of_ring(r)).sum();
        near!(m.ixx_mm4, 43.333_333, max_relative = 1e-7);
        // Not in the book: 2 x 1 x 3³/12 + 4 x 1³/12, first principles; tells x from y.
        near!(m.iyy_mm4, 4.833_333, max_relative = 1e-6);
    }

    // Pilkey's L again, turned, as a sum of two strips: the product of inertia comes along.
    #[test]
    fn a_turned_l_section_is_the_sum_of_its_strips() {
        let turned = |x: f64, y: f64| {
            let (s, c) = 0.5f64.sin_cos();
            Point::new(7.0 + x * c - y * s, -3.0 + x * s + y * c)
        };
        let upright = Moments::of_strip(turned(0.0, -2.0), turned(0.0, 0.05), 0.1);
        let across = Moments::of_strip(turned(0.05, 0.0), turned(1.0, 0.0), 0.1);
        let mut grown = upright;
        grown += across;
        for m in [upright + across, across + upright, grown] {
            near!(m.area_mm2, 0.3, max_relative = 1e-9);
            let (p, centroid) = (m.principal(), turned(0.16625, -0.66625));
            near!(m.centroid.distance(centroid), 0.0, epsilon = 1e-12);
            near!(p.max_mm4, 0.142_960, max_relative = 1e-5);
            near!(p.min_mm4, 0.015_831, max_relative = 3e-5);
            near!(p.max_axis_deg, 0.5f64.to_degrees() - 15.758_87, max_relative = 1e-6);
        }
        // Twice as dense, everything counts twice; where it lies does not change.
        let dense = grown.scaled(2.0);
        near!(dense.ixx_mm4 + dense.iyy_mm4, 2.0 * (0.133_583 + 0.025_208), max_relative = 1e-5);
        near!(dense.principal().max_axis_deg, grown.principal().max_axis_deg, max_relative = 1e-12);
        assert_eq!((dense.area_mm2, dense.centroid), (2.0 * grown.area_mm2, grown.centroid));
    }

    // Z section: Peery, example 7.2.1: Ixx 693.3, Iyy 173.3, Ixy -240, I1 787, I2 79.5 in⁴.
    #[test]
    fn z_section_by_peery() {
        let m = Moments::of_polygon(&polygon(&[
            (1.0, -4.0),
            (1.0, 6.0),
            (-5.0, 6.0),
            (-5.0, 4.0),
            (-1.0, 4.0),
            (-1.0, -6.0),
            (5.0, -6.0),
            (5.0, -4.0),
        ]));
        near!(m.ixx_mm4, 693.333, max_relative = 1e-5);
        near!(m.iyy_mm4, 173.333, max_relative = 1e-5);
        near!(m.ixy_mm4, -240.0, max_relative = 1e-9);
        let p = m.principal();
        near!(p.max_mm4, 787.0, max_relative = 1e-3);
        near!(p.min_mm4, 79.5, max_relative = 1e-3);
    }

    // Polygon of 14 points: PyPI sectionproperties 3.10.2, validation tests; recomputed to all digits.
    #[test]
    fn polygon_of_fourteen_points() {
        let m = Moments::of_polygon(&polygon(&[
            (-10.0, 0.0),
            (110.0, 0.0),
            (100.0, 10.0),
            (55.0, 10.0),
            (55.0, 90.0),
            (100.0, 90.0),
            (110.0, 100.0),
            (110.0, 110.0),
            (-10.0, 110.0),
            (-10.0, 100.0),
            (0.0, 90.0),
            (45.0, 90.0),
            (45.0, 10.0),
            (-10.0, 10.0),
        ]));
        near!(m.area_mm2, 4250.0, max_relative = 1e-12);
        near!(m.centroid.x, 49.333_33, max_relative = 1e-6);
        near!(m.centroid.y, 65.019_61, max_relative = 1e-6);
        near!(m.ixx_mm4, 7.705_415e6, max_relative = 1e-6);
        near!(m.iyy_mm4, 3.842_278e6, max_relative = 1e-6);
        near!(m.ixy_mm4, 1.654_722e5, max_relative = 1e-6);
        let p = m.principal();
        near!(p.max_mm4, 7.712_490e6, max_relative = 1e-6);
        near!(p.min_mm4, 3.835_203e6, max_relative = 1e-6);
        near!(p.max_axis_deg, -2.448_209, max_relative = 1e-6);
    }

    // Hollow rectangle 20 x 10, wall 1.2: A 66.24, I 1022.835 (geometry, first principles).
    #[test]
    fn hollow_rectangle() {
        let mut hole = rectangle(1.2, 1.2, 18.8, 8.8);
        for turned in [false, true] {
            if turned {
                hole.reverse();
            }
            let m = Moments::of_polygon(&Polygon { outer: rectangle(0.0, 0.0, 20.0, 10.0), holes: vec![hole.clone()] });
            near!(m.area_mm2, 66.24, max_relative = 1e-9);
            near!(m.ixx_mm4, 1022.835, max_relative = 1e-6);
            near!(m.iyy_mm4, (10.0 * 8000.0 - 7.6 * 5451.776) / 12.0, max_relative = 1e-9);
        }
    }

    #[test]
    fn a_strip_is_a_turned_rectangle() {
        let (from, to, width) = (Point::new(3.0, -2.0), Point::new(7.0, 1.0), 0.8);
        let side = (to - from).unit().unwrap().left() * (width / 2.0);
        let strip = Moments::of_strip(from, to, width);
        let same = Moments::of_ring(&[from - side, to - side, to + side, from + side]);
        near!(strip.area_mm2, same.area_mm2, max_relative = 1e-12);
        near!(strip.ixx_mm4, same.ixx_mm4, max_relative = 1e-9);
        near!(strip.iyy_mm4, same.iyy_mm4, max_relative = 1e-9);
        near!(strip.ixy_mm4, same.ixy_mm4, max_relative = 1e-9);
    }

    #[test]
    fn nothing_is_zero() {
        assert_eq!(Moments::of_ring(&[]), Moments::ZERO);
        assert_eq!(Moments::of_strip(Point::new(1.0, 2.0), Point::new(1.0, 2.0), 0.4), Moments::ZERO);
        let m = Moments::of_ring(&rectangle(0.0, 0.0, 3.0, 2.0));
        assert_eq!(m - m, Moments::ZERO);
    }

    fn lopsided(angle: f64, shift: Point) -> Vec<Point> {
        let (s, c) = angle.sin_cos();
        ring(&[(0.0, 0.0), (7.0, 0.0), (7.0, 2.0), (3.0, 5.0), (1.0, 4.0)])
            .into_iter()
            .map(|p| Point::new(p.x * c - p.y * s, p.x * s + p.y * c) + shift)
            .collect()
    }

    proptest! {
        #[test]
        fn moving_and_turning_keep_the_principal_moments(angle in -3.0..3.0f64, x in -300.0..300.0f64, y in -300.0..300.0f64) {
            let still = Moments::of_ring(&lopsided(0.0, Point::default()));
            let moved = Moments::of_ring(&lopsided(angle, Point::new(x, y)));
            prop_assert!((still.area_mm2 - moved.area_mm2).abs() < 1e-9);
            let (a, b) = (still.principal(), moved.principal());
            prop_assert!((a.max_mm4 - b.max_mm4).abs() < 1e-7 * a.max_mm4);
            prop_assert!((a.min_mm4 - b.min_mm4).abs() < 1e-7 * a.max_mm4);
            let turned = (b.max_axis_deg - a.max_axis_deg - angle.to_degrees()).rem_euclid(180.0);
            prop_assert!(turned.min(180.0 - turned) < 1e-5, "turned {turned}");
        }

        #[test]
        fn a_figure_is_the_sum_of_its_halves(cut in 0.5..6.5f64) {
            let whole = Moments::of_ring(&rectangle(0.0, 1.0, 7.0, 3.5));
            let sum = Moments::of_ring(&rectangle(0.0, 1.0, cut, 3.5)) + Moments::of_ring(&rectangle(cut, 1.0, 7.0, 3.5));
            prop_assert!((whole.iyy_mm4 - sum.iyy_mm4).abs() < 1e-9);
            prop_assert!((whole.ixx_mm4 - sum.ixx_mm4).abs() < 1e-9);
            prop_assert!((whole.centroid.x - sum.centroid.x).abs() < 1e-12);
        }
    }
}
