//! How much room an insert has in an opening, sideways.
//!
//! The insert stands at the pocket's middle and is turned until it has the most room. A nut in a hexagon or a bar
//! in a box is measured by the pocket's fitted size, which is exact to a few hundredths of a millimetre; every
//! other pair by the distances between the two outlines.

use crate::geom::Point;
use crate::geom::Polygon;
use crate::geom::Segment;
use crate::geom::ring_contains;
use crate::profile::Insert;
use crate::profile::InsertShape;
use crate::shape::Pocket;
use crate::shape::PocketShape;
use std::f64::consts::{FRAC_PI_2, PI};

/// Turns tried beside those along the opening's own edges.
const TURNS: u32 = 36;
/// Edges shorter than this say nothing about how an insert lies, mm.
const EDGE_MM: f64 = 1.0;

/// How much wider the pocket is than the insert, mm: the sum of the gaps on both sides. Negative: it does not go
/// in. `None` for an insert without sizes.
pub(super) fn pocket_room_mm(insert: &Insert, pocket: &Pocket) -> Option<f64> {
    let flats = insert.across_flats_mm;
    match (pocket.shape, insert.shape) {
        (PocketShape::Round, _) => insert.turning_circle_mm().map(|circle| pocket.size_mm - circle),
        (PocketShape::Hex | PocketShape::Box, InsertShape::Disc | InsertShape::Ring) => {
            insert.diameter_mm.map(|d| pocket.size_mm - d)
        }
        (PocketShape::Hex, InsertShape::Hex) => flats.map(|s| pocket.size_mm - s),
        (PocketShape::Box, InsertShape::Square) => flats.map(|s| pocket.size_mm - s),
        (PocketShape::Box, InsertShape::Bar) => {
            let (long, short) = (insert.length_mm?, insert.width_mm?);
            Some((pocket.size_mm - short).min(pocket.length_mm.unwrap_or(pocket.size_mm) - long))
        }
        _ => pocket.layers.first().and_then(|layer| opening_room_mm(insert, &layer.opening, pocket.centre)),
    }
}

/// The same in one opening, by the distances between the outlines.
pub(super) fn opening_room_mm(insert: &Insert, opening: &Polygon, centre: Point) -> Option<f64> {
    let edges: Vec<Segment> = opening.rings().flat_map(|ring| segments(ring)).collect();
    if let (InsertShape::Disc | InsertShape::Ring, Some(diameter)) = (insert.shape, insert.diameter_mm) {
        let nearest = nearest_mm(&edges, centre);
        let inside = if opening.contains(centre) { nearest } else { -nearest };
        return Some(2.0 * inside - diameter);
    }
    let corners = corners(insert)?;
    let along = edges.iter().filter(|e| e.length_mm() >= EDGE_MM).filter_map(|e| e.direction());
    // Sides may lie along an edge of the opening either way.
    let along = along.map(|d| d.y.atan2(d.x)).flat_map(|angle| [angle, angle + FRAC_PI_2]);
    let around = (0..TURNS).map(|turn| f64::from(turn) * PI / f64::from(TURNS));
    let room = |angle: f64| {
        let placed: Vec<Point> = corners.iter().map(|corner| turned(*corner, angle, centre)).collect();
        2.0 * gap_mm(&placed, opening, &edges)
    };
    along.chain(around).map(room).reduce(f64::max)
}

/// The least distance between an insert's outline and the opening's; negative where the insert pokes out.
fn gap_mm(insert: &[Point], opening: &Polygon, edges: &[Segment]) -> f64 {
    let sides = segments(insert);
    let signed = |inside: bool, distance: f64| if inside { distance } else { -distance };
    let to_opening = insert.iter().map(|&corner| {
        let nearest = nearest_mm(edges, corner);
        signed(opening.contains(corner), nearest)
    });
    let to_insert = edges.iter().map(|edge| {
        let nearest = nearest_mm(&sides, edge.from);
        signed(!ring_contains(insert, edge.from), nearest)
    });
    to_opening.chain(to_insert).fold(f64::INFINITY, f64::min)
}

fn nearest_mm(edges: &[Segment], point: Point) -> f64 {
    edges.iter().map(|edge| edge.nearest(point).0.distance(point)).fold(f64::INFINITY, f64::min)
}

fn segments(ring: &[Point]) -> Vec<Segment> {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(&from, &to)| Segment { from, to }).collect()
}

fn turned(corner: Point, angle: f64, centre: Point) -> Point {
    let (sin, cos) = angle.sin_cos();
    Point::new(centre.x + corner.x * cos - corner.y * sin, centre.y + corner.x * sin + corner.y * cos)
}

/// Corners of an insert about its own middle, one side along x.
fn corners(insert: &Insert) -> Option<Vec<Point>> {
    let box_of = |long: f64, short: f64| {
        [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)]
            .map(|(x, y)| Point::new(x * long / 2.0, y * short / 2.0))
            .to_vec()
    };
    match insert.shape {
        InsertShape::Square => insert.across_flats_mm.map(|s| box_of(s, s)),
        InsertShape::Bar => Some(box_of(insert.length_mm?, insert.width_mm?)),
        InsertShape::Hex => {
            let radius = insert.turning_circle_mm()? / 2.0;
            let corner = |i: u32| {
                let (sin, cos) = (f64::from(i) * PI / 3.0).sin_cos();
                Point::new(radius * cos, radius * sin)
            };
            Some((0..6).map(corner).collect())
        }
        InsertShape::Disc | InsertShape::Ring => None,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::rebead::drawing::{circle, hexagon, rectangle};

    fn room(insert: &str, opening: &Polygon, centre: Point) -> f64 {
        opening_room_mm(&Insert::describe(insert).unwrap(), opening, centre).unwrap()
    }

    fn close(got: f64, want: f64) {
        assert!((got - want).abs() < 0.02, "{got} is not {want}");
    }

    #[test]
    fn like_shapes_have_the_difference_of_their_sizes() {
        let at = Point::new(31.0, -7.0);
        close(room("disc 6x2", &circle(at, 6.2), at), 0.2);
        close(room("hex 10x5", &hexagon(at, 10.3), at), 0.3);
        let slot = rectangle(Point::new(20.0, -9.7), Point::new(42.0, -4.3));
        close(room("bar 20x5x3", &slot, at), 0.4);
        close(room("bar 20x5.6x3", &slot, at), -0.2);
    }

    #[test]
    fn a_pocket_of_known_sizes_is_measured_by_them() {
        // Without any opening, so that nothing else can be measured.
        let pocket = |shape, size_mm, length_mm| Pocket {
            shape,
            centre: Point::new(31.0, -7.0),
            size_mm,
            length_mm,
            floor_z_mm: 1.0,
            roof_z_mm: Some(6.0),
            depth_mm: 5.0,
            access: crate::shape::Access::Closed,
            stop_after_layer: Some(29),
            layers: vec![],
        };
        use PocketShape::{Box, Hex, Other, Round};
        let room = |insert: &str, shape, size_mm, length_mm| {
            pocket_room_mm(&Insert::describe(insert).unwrap(), &pocket(shape, size_mm, length_mm))
        };
        let cases = [
            ("disc 6x2", Round, 6.2, None, 0.2),
            // What turns in a round hole needs its corners' circle: 10/cos 30°, 5 sqrt 2, and a 3-4-5 triangle.
            ("hex 10x5", Round, 12.0, None, 12.0 - 20.0 / 3f64.sqrt()),
            ("square 5x2", Round, 8.0, None, 8.0 - 50f64.sqrt()),
            ("bar 8x6x3", Round, 10.3, None, 0.3),
            ("hex 10x5", Hex, 10.3, None, 0.3),
            ("disc 9x2", Hex, 10.3, None, 1.3),
            ("ring 9x4x2", Box, 10.0, Some(12.0), 1.0),
            ("square 9.5x3", Box, 10.0, Some(12.0), 0.5),
            ("square 10.5x3", Box, 10.0, Some(12.0), -0.5),
            // A bar has less room either across or along.
            ("bar 20x5x3", Box, 5.4, Some(22.0), 0.4),
            ("bar 21.9x5x3", Box, 5.4, Some(22.0), 0.1),
            ("bar 22.3x5x3", Box, 5.4, Some(22.0), -0.3),
        ];
        for (insert, shape, size_mm, length_mm, want) in cases {
            let got = room(insert, shape, size_mm, length_mm).unwrap();
            assert!((got - want).abs() < 1e-9, "{insert} in {shape:?} {size_mm}: {got} is not {want}");
        }
        assert_eq!(room("disc 6x2", Other, 6.2, None), None);
    }

    #[test]
    fn however_the_part_lies_on_the_bed_the_room_is_the_same() {
        let at = Point::new(31.0, -7.0);
        let turn = |ring: &Polygon, degrees: f64| {
            let (sin, cos) = f64::to_radians(degrees).sin_cos();
            let turned = |p: &Point| {
                let (x, y) = (p.x - at.x, p.y - at.y);
                Point::new(at.x + x * cos - y * sin, at.y + x * sin + y * cos)
            };
            Polygon { outer: ring.outer.iter().map(turned).collect(), holes: vec![] }
        };
        // Straight sides give the way, whatever their angle.
        let slot = rectangle(Point::new(20.0, -9.7), Point::new(42.0, -4.3));
        for degrees in [0.0, 17.3, 62.6, 107.3, 161.9] {
            close(room("bar 20x5x3", &turn(&slot, degrees), at), 0.4);
        }
        // An oval has none: the bar is turned until it goes in. Half axes 13 and 5 mm round a bar of 20 by 5 mm.
        let oval = |i: u32| {
            let (sin, cos) = (f64::from(i) * PI / 60.0).sin_cos();
            Point::new(at.x + 13.0 * cos, at.y + 5.0 * sin)
        };
        let oval = Polygon { outer: (0..120).map(oval).collect(), holes: vec![] };
        let straight = room("bar 20x5x3", &oval, at);
        assert!(straight > 0.5);
        for degrees in [30.0, 75.0, 125.0] {
            close(room("bar 20x5x3", &turn(&oval, degrees), at), straight);
        }
    }

    #[test]
    fn unlike_shapes_are_turned_until_they_have_the_most_room() {
        let at = Point::new(31.0, -7.0);
        // Across the corners a hexagon is 2/sqrt(3) times as wide as across its flats.
        close(room("hex 10x5", &circle(at, 12.0), at), 12.0 - 20.0 / 3f64.sqrt());
        close(room("disc 9x2", &hexagon(at, 10.0), at), 1.0);
        let square = rectangle(Point::new(26.0, -12.0), Point::new(36.0, -2.0));
        close(room("square 9.5x3", &square, at), 0.5);
        assert!(room("square 10.5x3", &square, at) < -0.3);
        // A hexagon 10 mm across its flats needs least of a square at 15°: 20/sqrt(3) cos 15° each way.
        close(room("hex 10x5", &square, at), 10.0 - 20.0 / 3f64.sqrt() * (PI / 12.0).cos());
    }

    #[test]
    fn a_pin_in_the_opening_takes_room() {
        let at = Point::new(31.0, -7.0);
        let mut ring = circle(at, 12.0);
        ring.holes = vec![circle(Point::new(35.0, -7.0), 1.0).outer];
        close(room("disc 5x2", &ring, at), 2.0);
        // Where the pin stands in the middle, its half millimetre is missing as well.
        let mut pinned = circle(at, 12.0);
        pinned.holes = vec![circle(at, 1.0).outer];
        close(room("disc 5x2", &pinned, at), -6.0);
        assert!(room("square 8.4x2", &ring, at) < -0.1);
    }
}
