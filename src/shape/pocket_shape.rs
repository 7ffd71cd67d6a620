//! What an opening looks like from above: round, hexagonal, a box, or something else.

use crate::geom::{Moments, Point, Polygon, convex_hull, find_arcs, spans, widest_circle, width_along};
use std::f64::consts::{FRAC_PI_3, PI};

/// The plan of a pocket.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PocketShape {
    /// For discs, bearings, pins.
    Round,
    /// For nuts.
    Hex,
    /// For bars and square nuts.
    Box,
    /// None of these.
    Other,
}

impl PocketShape {
    /// The word used in JSON and reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Round => "round",
            Self::Hex => "hex",
            Self::Box => "box",
            Self::Other => "other",
        }
    }
}

/// An opening as a shape with a size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PlanFit {
    pub shape: PocketShape,
    pub centre: Point,
    /// Diameter, distance across flats, or short side; of the widest circle inside for other shapes.
    pub size_mm: f64,
    /// Long side of a box.
    pub length_mm: Option<f64>,
}

/// Share of the area by which a shape may miss its ideal.
const AREA_OFF: f64 = 0.04;

/// A circle is all there when its arcs span this much: a seam may hide some of it.
const FULL_SPAN_DEG: f64 = 300.0;

/// How far an edge may lie off a circle fitted by area, mm, when it is too rough for an arc.
const ROUGH_MM: f64 = 0.12;

/// Fits a shape to an opening; `None` for one without area.
pub(super) fn fit_plan(opening: &Polygon) -> Option<PlanFit> {
    let moments = Moments::of_polygon(opening);
    if moments.area_mm2 <= 0.0 {
        return None;
    }
    let hull = convex_hull(&opening.outer);
    let hull_mm2 = Moments::of_ring(&hull).area_mm2;
    // An opening with a pin in it, or with a bay, is none of the simple shapes.
    if opening.holes.is_empty() && near(moments.area_mm2, hull_mm2) {
        let fit = fit_circle_plan(opening, moments)
            .or_else(|| fit_hex(&hull, moments))
            .or_else(|| fit_box(&hull, moments))
            .or_else(|| fit_rough_circle(opening, moments));
        if fit.is_some() {
            return fit;
        }
    }
    let circle = widest_circle(opening, 0.01)?;
    Some(PlanFit {
        shape: PocketShape::Other,
        centre: moments.centroid,
        size_mm: 2.0 * circle.radius_mm,
        length_mm: None,
    })
}

fn near(area: f64, ideal: f64) -> bool {
    (area / ideal - 1.0).abs() <= AREA_OFF
}

/// The circle through the corners: the one that was drawn.
fn fit_circle_plan(opening: &Polygon, moments: Moments) -> Option<PlanFit> {
    let arc = find_arcs(&opening.outer, FULL_SPAN_DEG)
        .into_iter()
        .filter(|a| a.convex)
        .max_by(|a, b| a.span_deg.total_cmp(&b.span_deg))?;
    let radius = arc.circle.radius_mm;
    // Chords take up to 6 % of the area at ten to the circle.
    let round = (0.93..=1.02).contains(&(moments.area_mm2 / (PI * radius * radius)));
    round.then_some(PlanFit {
        shape: PocketShape::Round,
        centre: arc.circle.centre,
        size_mm: 2.0 * radius,
        length_mm: None,
    })
}

/// A regular hexagon has area 0.866 s² across flats s, and the same width every 60 degrees.
fn fit_hex(hull: &[Point], moments: Moments) -> Option<PlanFit> {
    let narrow = spans(hull).min_by(|a, b| a.across_mm.total_cmp(&b.across_mm))?;
    let widths = [0.0, 1.0, 2.0].map(|k| width_along(hull, narrow.across_rad + k * FRAC_PI_3));
    let corners = [0.5, 1.5, 2.5].map(|k| width_along(hull, narrow.across_rad + k * FRAC_PI_3));
    let flats = widths.iter().sum::<f64>() / 3.0;
    let even = widths.iter().all(|w| (w / flats - 1.0).abs() <= 0.04);
    // Corners may be rounded off: 1.155 s when sharp, 1.07 at the least; a circle has 1.
    let pointed = corners.iter().all(|c| (1.07..=1.18).contains(&(c / flats)));
    let full = near(moments.area_mm2, 0.75_f64.sqrt() * flats * flats);
    (even && pointed && full).then_some(PlanFit {
        shape: PocketShape::Hex,
        centre: moments.centroid,
        size_mm: flats,
        length_mm: None,
    })
}

fn fit_box(hull: &[Point], moments: Moments) -> Option<PlanFit> {
    let area = |s: &crate::geom::Span| s.across_mm * s.along_mm;
    let best = spans(hull).min_by(|a, b| area(a).total_cmp(&area(b)))?;
    near(moments.area_mm2, area(&best)).then_some(PlanFit {
        shape: PocketShape::Box,
        centre: moments.centroid,
        size_mm: best.across_mm.min(best.along_mm),
        length_mm: Some(best.across_mm.max(best.along_mm)),
    })
}

/// A round edge with a seam or a notch: the circle of the same area.
fn fit_rough_circle(opening: &Polygon, moments: Moments) -> Option<PlanFit> {
    let radius = (moments.area_mm2 / PI).sqrt();
    let off = |p: &Point| (p.distance(moments.centroid) - radius).abs();
    let rough = ROUGH_MM.min(0.05 * radius);
    let round = opening.outer.len() >= 10 && opening.outer.iter().all(|p| off(p) <= rough);
    round.then_some(PlanFit {
        shape: PocketShape::Round,
        centre: moments.centroid,
        size_mm: 2.0 * radius,
        length_mm: None,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    fn regular(sides: usize, radius: f64, turn: f64, at: Point) -> Polygon {
        let outer = (0..sides)
            .map(|i| {
                let angle = turn + std::f64::consts::TAU * i as f64 / sides as f64;
                at + Point::new(angle.cos(), angle.sin()) * radius
            })
            .collect();
        Polygon { outer, holes: Vec::new() }
    }

    #[test]
    fn other_shapes_are_not_forced() {
        let at = Point::new(5.0, 9.0);
        for sides in [3, 5, 8] {
            let fit = fit_plan(&regular(sides, 6.0, 0.3, at)).unwrap();
            assert_eq!(fit.shape, PocketShape::Other, "{sides} sides");
        }
        let mut ring = regular(48, 6.0, 0.0, at);
        ring.holes.push(regular(24, 2.0, 0.0, at).outer.into_iter().rev().collect());
        let fit = fit_plan(&ring).unwrap();
        assert_eq!(fit.shape, PocketShape::Other);
        assert!((fit.size_mm - 4.0).abs() < 0.05, "{fit:?}");
    }

    // Across flats of a hexagon of corner radius r: r sqrt 3 (ISO 4032 calls it s).
    proptest! {
        #[test]
        fn hexagons_circles_and_boxes_come_back(turn in 0.0..3.2f64, size in 2.5..30.0f64, x in -150.0..150.0f64, chords in 16..90usize, slim in 1.0..6.0f64) {
            let at = Point::new(x, 0.4 * x - 3.0);
            let hex = fit_plan(&regular(6, size / 3.0_f64.sqrt(), turn, at)).unwrap();
            prop_assert_eq!(hex.shape, PocketShape::Hex);
            prop_assert!((hex.size_mm - size).abs() < 1e-6 && hex.centre.distance(at) < 1e-6);
            let round = fit_plan(&regular(chords, 0.5 * size, turn, at)).unwrap();
            prop_assert_eq!(round.shape, PocketShape::Round);
            prop_assert!((round.size_mm - size).abs() < 0.02 && round.centre.distance(at) < 0.01);
            let (s, c) = turn.sin_cos();
            let corner = |u: f64, v: f64| at + Point::new(u * c - v * s, u * s + v * c) * (0.5 * size);
            let ring = vec![corner(-slim, -1.0), corner(slim, -1.0), corner(slim, 1.0), corner(-slim, 1.0)];
            let bar = fit_plan(&Polygon { outer: ring, holes: Vec::new() }).unwrap();
            prop_assert_eq!(bar.shape, PocketShape::Box);
            prop_assert!((bar.size_mm - size).abs() < 1e-6 && (bar.length_mm.unwrap() - slim * size).abs() < 1e-6);
            prop_assert!(bar.centre.distance(at) < 1e-6);
        }
    }

    fn shape_of(outer: Vec<Point>) -> PocketShape {
        fit_plan(&Polygon { outer, holes: Vec::new() }).unwrap().shape
    }

    /// An oval of sixty corners: so far off a circle at most.
    fn oval(radius: f64, off: f64) -> Vec<Point> {
        let at = |i: i32| f64::to_radians(6.0 * f64::from(i)).sin_cos();
        (0..60).map(|i| Point::new((radius + off) * at(i).1, (radius - off) * at(i).0)).collect()
    }

    #[test]
    fn an_edge_that_is_not_quite_round_is_round_while_it_stays_near_a_circle() {
        for (radius, off, shape) in [
            (5.0, 0.11, PocketShape::Round),
            (5.0, 0.14, PocketShape::Other),
            // A twentieth of a small radius is less.
            (1.6, 0.07, PocketShape::Round),
            (1.6, 0.09, PocketShape::Other),
        ] {
            assert_eq!(shape_of(oval(radius, off)), shape, "{radius} {off}");
        }
        let fit = fit_plan(&Polygon { outer: oval(5.0, 0.1), holes: Vec::new() }).unwrap();
        assert!((fit.size_mm - 10.0).abs() < 0.03 && fit.centre.length() < 1e-6, "{fit:?}");
        // Nine corners are no edge of a circle, however near they lie to it.
        assert_eq!(shape_of(regular(9, 2.0, 0.1, Point::default()).outer), PocketShape::Other);
        assert_eq!(shape_of(regular(10, 2.0, 0.1, Point::default()).outer), PocketShape::Round);
    }

    /// The hexagon with its corners cut off square, so that it is this much wide from one to the other, in flats.
    fn blunt(across: f64) -> Vec<Point> {
        // Across flats 10: corners at 5.7735.
        let cut = 5.0 * across;
        let corner = |i: i32| f64::to_radians(60.0 * f64::from(i)).sin_cos();
        let pair = |i: i32| {
            let (s, c) = corner(i);
            let half = (10.0 / 3.0_f64.sqrt() - cut) * 3.0_f64.sqrt();
            let along = Point::new(c, s);
            [-half, half].map(|aside| along * cut + along.left() * aside)
        };
        (0..6).flat_map(pair).collect()
    }

    #[test]
    fn a_nut_seat_has_flats_as_wide_and_corners_as_far_as_a_hexagon() {
        assert_eq!(shape_of(blunt(1.15)), PocketShape::Hex);
        assert_eq!(shape_of(blunt(1.08)), PocketShape::Hex);
        assert_ne!(shape_of(blunt(1.06)), PocketShape::Hex);
        // Drawn out one way.
        let stretched =
            |by: f64| regular(6, 6.0, 0.0, Point::default()).outer.iter().map(|p| Point::new(p.x, by * p.y)).collect();
        assert_eq!(shape_of(stretched(1.03)), PocketShape::Hex);
        assert_ne!(shape_of(stretched(1.09)), PocketShape::Hex);
        let fit = fit_plan(&Polygon { outer: blunt(1.1), holes: Vec::new() }).unwrap();
        assert!((fit.size_mm - 10.0).abs() < 1e-6 && fit.length_mm.is_none(), "{fit:?}");
    }

    /// A box of 10 x 5 mm, with its corners cut off by so much along both sides: 4 % of its 50 mm² are four corners of 1 mm.
    #[test]
    fn a_box_may_lack_its_corners() {
        let box_without = |cut: f64| {
            let corners = [
                (0.0, cut),
                (cut, 0.0),
                (10.0 - cut, 0.0),
                (10.0, cut),
                (10.0, 5.0 - cut),
                (10.0 - cut, 5.0),
                (cut, 5.0),
                (0.0, 5.0 - cut),
            ];
            corners.map(|(x, y)| Point::new(x, y)).to_vec()
        };
        assert_eq!(shape_of(box_without(0.95)), PocketShape::Box);
        assert_eq!(shape_of(box_without(1.05)), PocketShape::Other);
        // And have a bay as large as that, but no larger.
        let with_bay = |deep: f64| {
            let corners =
                [(0.0, 0.0), (4.0, 0.0), (4.0, deep), (5.0, deep), (5.0, 0.0), (10.0, 0.0), (10.0, 5.0), (0.0, 5.0)];
            corners.map(|(x, y)| Point::new(x, y)).to_vec()
        };
        assert_eq!(shape_of(with_bay(1.8)), PocketShape::Box);
        assert_eq!(shape_of(with_bay(2.2)), PocketShape::Other);
        let fit = fit_plan(&Polygon { outer: box_without(0.5), holes: Vec::new() }).unwrap();
        assert!((fit.size_mm - 5.0).abs() < 1e-6 && (fit.length_mm.unwrap() - 10.0).abs() < 1e-6, "{fit:?}");
    }

    /// Three quarters of a circle and more, closed by a flat: what is there decides.
    #[test]
    fn a_circle_with_a_flat_is_round_while_most_of_it_is_there() {
        let flattened = |degrees: f64| {
            let at = |i: i32| f64::to_radians(degrees * f64::from(i) / 60.0).sin_cos();
            (0..=60).map(|i| Point::new(at(i).1, at(i).0) * 5.0).collect::<Vec<_>>()
        };
        let of = |degrees: f64| fit_plan(&Polygon { outer: flattened(degrees), holes: Vec::new() }).unwrap();
        assert_eq!(of(310.0).shape, PocketShape::Round);
        assert!((of(310.0).size_mm - 10.0).abs() < 1e-6 && of(310.0).centre.length() < 1e-6);
        assert_eq!(of(280.0).shape, PocketShape::Other);
        assert_eq!(fit_plan(&Polygon { outer: vec![Point::default(); 3], holes: Vec::new() }), None);
    }
}
