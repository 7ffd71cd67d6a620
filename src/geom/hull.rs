//! Convex hulls, and how wide a figure is from each side.

use super::Point;

/// The convex hull, counter-clockwise, without corners on its sides (Andrew's monotone chain, 1979; from memory).
#[must_use]
pub fn convex_hull(points: &[Point]) -> Vec<Point> {
    let mut sorted: Vec<Point> = points.to_vec();
    sorted.sort_unstable_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup();
    if sorted.len() < 3 {
        return sorted;
    }
    let mut lower = half_hull(sorted.iter());
    let mut upper = half_hull(sorted.iter().rev());
    lower.pop();
    upper.pop();
    lower.append(&mut upper);
    lower
}

fn half_hull<'a>(points: impl Iterator<Item = &'a Point>) -> Vec<Point> {
    let mut hull: Vec<Point> = Vec::new();
    for &p in points {
        while let [.., a, b] = hull[..] {
            if (b - a).cross(p - a) > 0.0 {
                break;
            }
            hull.pop();
        }
        hull.push(p);
    }
    hull
}

/// Extent of the points in the direction at `angle_rad` from x, mm; 0 for none.
#[must_use]
pub fn width_along(points: &[Point], angle_rad: f64) -> f64 {
    let along = Point::new(angle_rad.cos(), angle_rad.sin());
    let ends = points.iter().map(|p| p.dot(along));
    let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
    (high - low).max(0.0)
}

/// A rectangle round some points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Extent across, mm.
    pub across_mm: f64,
    /// Extent along, mm.
    pub along_mm: f64,
    /// Direction in which `across_mm` is measured, radians from x.
    pub across_rad: f64,
}

/// Spans of a hull square to each of its sides; the narrowest width and the smallest rectangle are among them
/// (H. Freeman and R. Shapira, 1975; from memory).
pub fn spans(hull: &[Point]) -> impl Iterator<Item = Span> {
    (0..hull.len()).filter_map(move |i| {
        let side = (hull[(i + 1) % hull.len()] - hull[i]).unit()?;
        let across_rad = side.left().y.atan2(side.left().x);
        Some(Span {
            across_mm: width_along(hull, across_rad),
            along_mm: width_along(hull, across_rad - std::f64::consts::FRAC_PI_2),
            across_rad,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_notch_and_points_on_a_side_do_not_count() {
        let points = [
            (0.0, 0.0),
            (4.0, 0.0),
            (8.0, 0.0),
            (8.0, 3.0),
            (5.0, 3.0),
            (5.0, 1.0),
            (3.0, 1.0),
            (3.0, 3.0),
            (0.0, 3.0),
        ]
        .map(|(x, y)| Point::new(x, y));
        let hull = convex_hull(&points);
        assert_eq!(hull, [(0.0, 0.0), (8.0, 0.0), (8.0, 3.0), (0.0, 3.0)].map(|(x, y)| Point::new(x, y)));
        let narrow = spans(&hull).map(|s| s.across_mm).fold(f64::INFINITY, f64::min);
        assert!((narrow - 3.0).abs() < 1e-12);
    }

    #[test]
    fn too_few_points_have_no_inside() {
        assert!(convex_hull(&[]).is_empty());
        assert_eq!(convex_hull(&[Point::new(1.0, 2.0); 3]).len(), 1);
    }

    proptest! {
        #[test]
        fn a_turned_rectangle_is_found(angle in 0.0..3.0f64, long in 5.0..40.0f64, short in 1.0..4.9f64) {
            let (s, c) = angle.sin_cos();
            let ring: Vec<Point> = [(0.0, 0.0), (long, 0.0), (long, short), (0.0, short)]
                .iter().map(|&(x, y)| Point::new(x * c - y * s, x * s + y * c)).collect();
            let hull = convex_hull(&ring);
            let best = spans(&hull).min_by(|a, b| a.across_mm.total_cmp(&b.across_mm)).map(|s| (s.across_mm, s.along_mm));
            let (across, along) = best.unwrap_or_default();
            prop_assert!((across - short).abs() < 1e-9 && (along - long).abs() < 1e-9);
        }
    }
}
