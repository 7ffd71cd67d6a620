//! The outer walls of a layer as a closed tube, for twisting.

use super::LayerShape;
use crate::geom::{Polygon, offset, ring_length_mm, signed_area};
use std::f64::consts::FRAC_PI_4;

/// The walls along the outer edge of a layer's largest piece, as plastic of even thickness about a middle line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tube {
    /// Area within the middle line, mm².
    pub enclosed_mm2: f64,
    /// Length of the middle line, mm.
    pub middle_mm: f64,
    /// Thickness as deposited, mm: beads side by side at the pitch A/h, so without the outer round of the first.
    pub thickness_mm: f64,
}

/// The tube of a layer; `None` where it has no walls, nothing within them, or is too narrow to be hollow.
#[must_use]
pub fn tube(shape: &LayerShape) -> Option<Tube> {
    shape.core.as_ref()?;
    let thickness = shape.walls.thickness_p05_mm.or(shape.walls.thickness_median_mm)?;
    let largest = shape.outline.iter().max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()))?;
    // A bead's width passes its pitch by h (1 - π/4): half of that on each flank is air.
    let round_mm = shape.height_mm * (1.0 - FRAC_PI_4);
    let thickness_mm = thickness - round_mm;
    let whole = Polygon { outer: largest.outer.clone(), holes: Vec::new() };
    let middle = offset(&[whole], -0.5 * (round_mm + thickness_mm));
    let ring = middle.iter().max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()))?;
    let enclosed_mm2 = signed_area(&ring.outer).abs();
    let found = Tube { enclosed_mm2, middle_mm: ring_length_mm(&ring.outer), thickness_mm };
    (thickness_mm > 0.0 && enclosed_mm2 > 0.0).then_some(found)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::geom::Point;
    use crate::shape::{Core, Walls};
    use approx::assert_relative_eq;

    // Hollow rectangle 20 x 10, wall 1.2: middle line encloses 18.8 x 8.8 = 165.44 mm² (geometry; Bredt's example).
    #[test]
    fn a_hollow_rectangle() {
        let (height_mm, pitch, width) = (0.2, 0.4, 0.4 + 0.2 * (1.0 - FRAC_PI_4));
        let round = 0.5 * (width - pitch);
        let corner = |x, y| Point::new(x, y);
        // The outline goes out to the outer flank of the bead, half a round beyond the plastic.
        let outer = vec![
            corner(-round, -round),
            corner(20.0 + round, -round),
            corner(20.0 + round, 10.0 + round),
            corner(-round, 10.0 + round),
        ];
        let walls = Walls { thickness_p05_mm: Some(width + 2.0 * pitch), ..Walls::default() };
        let shape = LayerShape {
            height_mm,
            outline: vec![Polygon { outer, holes: Vec::new() }],
            core: Some(Core::default()),
            walls,
            ..LayerShape::default()
        };
        let found = tube(&shape).unwrap();
        assert_relative_eq!(found.thickness_mm, 1.2, max_relative = 1e-9);
        assert_relative_eq!(found.enclosed_mm2, 165.44, max_relative = 1e-6);
        assert_relative_eq!(found.middle_mm, 55.2, max_relative = 1e-6);
        assert_eq!(tube(&LayerShape::default()), None);
        assert_eq!(tube(&LayerShape { core: None, ..shape.clone() }), None);
        // Walls that are all round and no plastic make no tube, nor does a part too narrow to be hollow.
        let walls = |thickness| Walls { thickness_p05_mm: Some(thickness), ..Walls::default() };
        assert_eq!(tube(&LayerShape { walls: walls(round), ..shape.clone() }), None);
        assert_eq!(tube(&LayerShape { walls: walls(10.5), ..shape }), None);
    }

    #[test]
    fn the_largest_piece_is_the_tube_with_its_usual_thickness_where_none_other_is_known() {
        let square = |x: f64, side: f64| Polygon {
            outer: [(x, 0.0), (x + side, 0.0), (x + side, side), (x, side)].map(|(x, y)| Point::new(x, y)).to_vec(),
            holes: Vec::new(),
        };
        let thickness = |p05, median| Walls { thickness_p05_mm: p05, thickness_median_mm: median, ..Walls::default() };
        let shape = |walls| LayerShape {
            outline: vec![square(0.0, 6.0), square(20.0, 10.0), square(40.0, 8.0)],
            core: Some(Core::default()),
            walls,
            ..LayerShape::default()
        };
        // Without a layer height there is no round of a bead to leave out: the middle line lies half the thickness within.
        assert_relative_eq!(tube(&shape(thickness(Some(1.0), Some(2.0)))).unwrap().enclosed_mm2, 81.0, epsilon = 1e-6);
        assert_relative_eq!(tube(&shape(thickness(None, Some(2.0)))).unwrap().enclosed_mm2, 64.0, epsilon = 1e-6);
        assert_eq!(tube(&shape(thickness(None, None))), None);
    }
}
