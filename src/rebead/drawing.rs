//! Outlines drawn from a few numbers.

use crate::geom::{Point, Polygon, Ring, offset_round};
use std::f64::consts::TAU;

/// Corners of a regular ring about `centre`, on a circle of diameter `diameter_mm`, counter-clockwise; the
/// first lies at `start_deg` from x.
#[must_use]
pub fn regular_ring(centre: Point, diameter_mm: f64, corners: u32, start_deg: f64) -> Ring {
    (0..corners)
        .map(|i| {
            let angle = start_deg.to_radians() + TAU * f64::from(i) / f64::from(corners.max(1));
            centre + Point::new(angle.cos(), angle.sin()) * (0.5 * diameter_mm)
        })
        .collect()
}

/// A circle as a polygon whose corners lie on it, about one corner every 0.8 mm, at least 40.
#[must_use]
pub fn circle(centre: Point, diameter_mm: f64) -> Polygon {
    let corners = (std::f64::consts::PI * diameter_mm / 0.8 / 8.0).ceil().clamp(5.0, 24.0) as u32 * 8;
    Polygon { outer: regular_ring(centre, diameter_mm, corners, 0.0), holes: Vec::new() }
}

/// A hexagon by its distance across flats; two of its flats lie along x.
#[must_use]
pub fn hexagon(centre: Point, across_flats_mm: f64) -> Polygon {
    let across_corners = across_flats_mm / (std::f64::consts::PI / 6.0).cos();
    Polygon { outer: regular_ring(centre, across_corners, 6, 0.0), holes: Vec::new() }
}

/// A rectangle from corner to corner.
#[must_use]
pub fn rectangle(from: Point, to: Point) -> Polygon {
    let outer = vec![from, Point::new(to.x, from.y), to, Point::new(from.x, to.y)];
    Polygon { outer, holes: Vec::new() }
}

/// A rectangle with rounded corners.
#[must_use]
pub fn rounded_rectangle(from: Point, to: Point, radius_mm: f64) -> Polygon {
    let r = Point::new(radius_mm, radius_mm);
    let inner = rectangle(from + r, to - r);
    offset_round(std::slice::from_ref(&inner), radius_mm).into_iter().next().unwrap_or_default()
}

/// A polygon without holes from its corners.
#[must_use]
pub fn polygon(corners: &[(f64, f64)]) -> Polygon {
    Polygon { outer: corners.iter().map(|&(x, y)| Point::new(x, y)).collect(), holes: Vec::new() }
}
