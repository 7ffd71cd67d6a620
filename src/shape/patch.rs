//! A patch that something presses on, seen from above, and what lies under it layer by layer.
//!
//! ```text
//!      |  patch  |          grown by a skin's thickness, since a skin spreads the load
//!   ===|=========|===  layer
//!   ---|--  -----|---  layer below      bond: where both lie on each other, within the patch
//! ```

use super::{Footprint, LayerShape};
use crate::geom::{Point, Polygon};
use std::f64::consts::{PI, TAU};

/// Plan of a patch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PatchShape {
    /// Between two circles.
    Ring {
        /// Inner diameter, mm.
        inner_mm: f64,
        /// Outer diameter, mm.
        outer_mm: f64,
    },
    /// A circle.
    Disc {
        /// Diameter, mm.
        diameter_mm: f64,
    },
    /// A rectangle along the axes.
    Box {
        /// Size in x, mm.
        x_mm: f64,
        /// Size in y, mm.
        y_mm: f64,
    },
}

/// A patch at its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    /// Its plan.
    pub shape: PatchShape,
    /// Its middle, mm.
    pub centre: Point,
}

/// By how much the patch is grown for [`PatchLayer::bond_mm2`], mm.
pub const GROWTHS_MM: [f64; 7] = [0.0, 0.4, 0.8, 1.2, 1.6, 2.0, 3.0];

/// Corners of a circle; at 40 mm across its chords stray 0.02 mm.
const CORNERS: u32 = 96;

impl Patch {
    /// Its outline, grown on every side.
    #[must_use]
    pub fn polygons(&self, grown_mm: f64) -> Vec<Polygon> {
        let circle = |diameter: f64| -> Vec<Point> {
            // Chords cut a circle short: the radius is that of a polygon with the circle's area.
            let step = TAU / f64::from(CORNERS);
            let radius = 0.5 * diameter * (step / step.sin()).sqrt();
            let corner = |i: u32| {
                let (s, c) = (step * f64::from(i)).sin_cos();
                self.centre + Point::new(radius * c, radius * s)
            };
            (0..CORNERS).map(corner).collect()
        };
        let outer_and_holes = match self.shape {
            PatchShape::Ring { inner_mm, outer_mm } => {
                let inner = inner_mm - 2.0 * grown_mm;
                let hole: Vec<Point> = circle(inner).into_iter().rev().collect();
                (circle(outer_mm + 2.0 * grown_mm), if inner > 0.0 { vec![hole] } else { Vec::new() })
            }
            PatchShape::Disc { diameter_mm } => (circle(diameter_mm + 2.0 * grown_mm), Vec::new()),
            PatchShape::Box { x_mm, y_mm } => {
                let half = Point::new(0.5 * x_mm + grown_mm, 0.5 * y_mm + grown_mm);
                let corner = |sx: f64, sy: f64| self.centre + Point::new(sx * half.x, sy * half.y);
                (vec![corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)], Vec::new())
            }
        };
        vec![Polygon { outer: outer_and_holes.0, holes: outer_and_holes.1 }]
    }

    /// Its area, mm².
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        match self.shape {
            PatchShape::Ring { inner_mm, outer_mm } => PI / 4.0 * (outer_mm.powi(2) - inner_mm.powi(2)),
            PatchShape::Disc { diameter_mm } => PI / 4.0 * diameter_mm.powi(2),
            PatchShape::Box { x_mm, y_mm } => x_mm * y_mm,
        }
    }

    /// Its narrow measure, mm: how deep its stress goes before it spreads.
    #[must_use]
    pub fn width_mm(&self) -> f64 {
        match self.shape {
            PatchShape::Ring { inner_mm, outer_mm } => 0.5 * (outer_mm - inner_mm),
            PatchShape::Disc { diameter_mm } => diameter_mm,
            PatchShape::Box { x_mm, y_mm } => x_mm.min(y_mm),
        }
    }

    /// Length of its edge, mm.
    #[must_use]
    pub fn edge_mm(&self) -> f64 {
        match self.shape {
            PatchShape::Ring { inner_mm, outer_mm } => PI * (inner_mm + outer_mm),
            PatchShape::Disc { diameter_mm } => PI * diameter_mm,
            PatchShape::Box { x_mm, y_mm } => 2.0 * (x_mm + y_mm),
        }
    }
}

/// What lies under a patch in one layer.
#[derive(Debug, Clone, PartialEq)]
pub struct PatchLayer {
    /// Index of the layer.
    pub index: usize,
    /// Its top, mm.
    pub z_mm: f64,
    /// Its thickness, mm.
    pub height_mm: f64,
    /// Share of the patch that the part's outline fills.
    pub outlined: f64,
    /// Share of the patch that plastic of this layer covers.
    pub covered: f64,
    /// Area within the patch that rests on the layer below, mm², for each of [`GROWTHS_MM`]; on the bed, the
    /// area that rests on it.
    pub bond_mm2: [f64; GROWTHS_MM.len()],
}

impl PatchLayer {
    /// Bond area within the patch grown by a length between those measured, mm² (straight between them).
    #[must_use]
    pub fn bond_grown_mm2(&self, grown_mm: f64) -> f64 {
        let mut before = (GROWTHS_MM[0], self.bond_mm2[0]);
        for (growth, bond) in GROWTHS_MM.into_iter().zip(self.bond_mm2) {
            if grown_mm <= growth {
                let span = growth - before.0;
                let share = if span > 0.0 { (grown_mm - before.0) / span } else { 0.0 };
                return before.1 + (bond - before.1) * share.max(0.0);
            }
            before = (growth, bond);
        }
        before.1
    }
}

/// Follows a patch through the layers, fed in print order.
#[derive(Debug, Clone)]
pub struct PatchProbe {
    grown: Vec<Footprint>,
    area_mm2: f64,
}

impl PatchProbe {
    /// A probe for one patch.
    #[must_use]
    pub fn new(patch: &Patch) -> Self {
        let grown: Vec<Footprint> = GROWTHS_MM.iter().map(|g| Footprint::of_polygons(&patch.polygons(*g))).collect();
        // The scan lines' own area, so that a full patch is exactly full.
        let area_mm2 = grown.first().map_or(0.0, Footprint::area_mm2);
        Self { grown, area_mm2 }
    }

    /// What one layer has under the patch; `below` is the plan of the layer it rests on, `None` on the bed.
    #[must_use]
    pub fn layer(&self, shape: &LayerShape, plan: &Footprint, below: Option<&Footprint>) -> PatchLayer {
        let bond = below.map_or_else(|| plan.clone(), |below| plan.common(below));
        let within = |i: usize, of: &Footprint| self.grown.get(i).map_or(0.0, |patch| patch.common(of).area_mm2());
        let share = |of: &Footprint| if self.area_mm2 > 0.0 { within(0, of) / self.area_mm2 } else { 0.0 };
        let mut bond_mm2 = [0.0; GROWTHS_MM.len()];
        for (i, area) in bond_mm2.iter_mut().enumerate() {
            *area = within(i, &bond);
        }
        PatchLayer {
            index: shape.index,
            z_mm: shape.z_mm,
            height_mm: shape.height_mm,
            outlined: share(&Footprint::of_polygons(&shape.outline)),
            covered: share(plan),
            bond_mm2,
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::part_beads::tests::{hatch, layer};
    use super::*;
    use crate::profile::Role;
    use approx::assert_relative_eq;

    #[test]
    fn areas_of_grown_patches_are_plane_geometry() {
        let centre = Point::new(7.0, -3.0);
        for (shape, grown, area) in [
            (PatchShape::Disc { diameter_mm: 10.0 }, 1.0, PI * 36.0),
            (PatchShape::Ring { inner_mm: 6.0, outer_mm: 10.0 }, 0.5, PI / 4.0 * (121.0 - 25.0)),
            (PatchShape::Ring { inner_mm: 2.0, outer_mm: 10.0 }, 1.5, PI / 4.0 * 169.0),
            (PatchShape::Box { x_mm: 4.0, y_mm: 9.0 }, 0.5, 50.0),
        ] {
            let patch = Patch { shape, centre };
            let of: f64 = patch.polygons(grown).iter().map(Polygon::area_mm2).sum();
            assert_relative_eq!(of, area, max_relative = 1e-9);
            let ungrown: f64 = patch.polygons(0.0).iter().map(Polygon::area_mm2).sum();
            assert_relative_eq!(ungrown, patch.area_mm2(), max_relative = 1e-9);
        }
    }

    #[test]
    fn widths_and_edges_are_plane_geometry() {
        let of = |shape| {
            let patch = Patch { shape, centre: Point::new(7.0, -3.0) };
            (patch.width_mm(), patch.edge_mm())
        };
        assert_eq!(of(PatchShape::Disc { diameter_mm: 10.0 }), (10.0, PI * 10.0));
        // A ring is as wide as its two circles are apart, and has both for its edge.
        assert_eq!(of(PatchShape::Ring { inner_mm: 6.0, outer_mm: 10.0 }), (2.0, PI * 16.0));
        assert_eq!(of(PatchShape::Box { x_mm: 9.0, y_mm: 4.0 }), (4.0, 26.0));
        // A patch grows the same way on all sides.
        let boxed = Patch { shape: PatchShape::Box { x_mm: 4.0, y_mm: 9.0 }, centre: Point::new(7.0, -3.0) };
        let grown = boxed.polygons(0.5).remove(0).outer;
        assert_eq!(crate::geom::box_of(&grown), Some((Point::new(4.5, -8.0), Point::new(9.5, 2.0))));
    }

    #[test]
    fn a_solid_block_bonds_all_over_the_patch_and_only_there() {
        let lines = |angle| hatch(Role::SolidInfill, 0.4, 0.4, angle, Point::new(20.0, 12.0));
        let ((low, low_roles), (high, roles)) = (layer(0, 0.2, &lines(0.0)), layer(1, 0.2, &lines(90.0)));
        let (below, plan) = (Footprint::of_layer(&low, &low_roles), Footprint::of_layer(&high, &roles));
        let shape = LayerShape {
            index: 1,
            outline: vec![Polygon {
                outer: vec![Point::new(0.0, 0.0), Point::new(20.0, 0.0), Point::new(20.0, 12.0), Point::new(0.0, 12.0)],
                holes: Vec::new(),
            }],
            ..LayerShape::default()
        };
        let patch = Patch { shape: PatchShape::Box { x_mm: 6.0, y_mm: 4.0 }, centre: Point::new(8.0, 5.0) };
        let found = PatchProbe::new(&patch).layer(&shape, &plan, Some(&below));
        assert_relative_eq!(found.covered, 1.0, max_relative = 0.01);
        assert_relative_eq!(found.outlined, 1.0, max_relative = 0.01);
        assert_relative_eq!(found.bond_grown_mm2(0.0), 24.0, max_relative = 0.02);
        assert_relative_eq!(found.bond_grown_mm2(0.4), 6.8 * 4.8, max_relative = 0.02);
        assert_relative_eq!(found.bond_grown_mm2(0.6), 0.5 * (6.8 * 4.8 + 7.6 * 5.6), max_relative = 0.02);
        // Half of this one hangs over the edge.
        let edge = Patch { shape: PatchShape::Box { x_mm: 6.0, y_mm: 4.0 }, centre: Point::new(20.0, 5.0) };
        let found = PatchProbe::new(&edge).layer(&shape, &plan, None);
        assert_relative_eq!(found.outlined, 0.5, max_relative = 0.02);
        assert_relative_eq!(found.bond_mm2[0], 12.0, max_relative = 0.02);
    }
}
