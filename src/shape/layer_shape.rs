//! What the shape room finds in one layer.

use crate::deposit::Layer;
use crate::geom::{Arc, Point, Polygon};
use crate::profile::Role;
use std::borrow::Cow;

/// Walls at one point of an outline edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallSample {
    /// The point on the outline, mm.
    pub at: Point,
    /// Beads that run along the edge, from the outside in.
    pub count: u32,
    /// From the outline to the inner flank of the last wall, mm.
    pub thickness_mm: f64,
    /// The walls reach the far face (a thin rib): count and thickness go through to it.
    pub through: bool,
    /// The edge bends near here; the count may be disturbed.
    pub corner: bool,
}

impl WallSample {
    /// One bead is both faces here.
    #[must_use]
    pub fn is_single_bead(&self) -> bool {
        self.through && self.count <= 1
    }
}

/// A stretch of a wall without plastic, in the middle of its way round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallGap {
    /// Half-way along the missing stretch, mm.
    pub at: Point,
    /// From the last of the plastic to its next, mm.
    pub length_mm: f64,
    /// It is in an outer wall.
    pub outer: bool,
}

/// A place where the part is only one bead wide from face to face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rib {
    /// Half-way along its middle, mm.
    pub at: Point,
    /// How long it is, mm.
    pub length_mm: f64,
    /// From face to face, mm.
    pub thickness_mm: f64,
}

/// A stretch of an edge along which fewer beads hold than elsewhere in the layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThinPlace {
    /// Half-way along it, half-way through its beads, mm.
    pub at: Point,
    /// How long it is, mm.
    pub length_mm: f64,
    /// The least from the edge through the last bead, mm.
    pub thickness_mm: f64,
    /// The fewest beads along it.
    pub count: u32,
    /// Beads along most of the layer's edges.
    pub usual: u32,
}

/// A place where beads get less or more plastic than the same beads elsewhere in the layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowPlace {
    /// Its middle, mm.
    pub at: Point,
    /// How far it reaches from there, mm.
    pub radius_mm: f64,
    /// Plastic there over what is usual.
    pub share: f64,
}

/// The bead section that one role is laid with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoleFlow {
    /// Which role.
    pub role: Role,
    /// How long its beads are, mm.
    pub length_mm: f64,
    /// Section that half of that length is thinner than, mm².
    pub area_mm2: f64,
}

/// Walls of a layer over all its sample points.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Walls {
    /// Points along every edge, about a millimetre apart.
    pub samples: Vec<WallSample>,
    /// Least count over at least three neighbouring points, and where.
    pub min: Option<(u32, Point)>,
    /// 5th percentile of the count over straight points.
    pub p05: Option<u32>,
    /// Median count.
    pub median: Option<u32>,
    /// Least thickness over at least three neighbouring points, mm, and where.
    pub thickness_min: Option<(f64, Point)>,
    /// 5th percentile of the thickness over straight points, mm.
    pub thickness_p05_mm: Option<f64>,
    /// Median thickness, mm.
    pub thickness_median_mm: Option<f64>,
}

/// The inside of the outline, within its innermost walls.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Core {
    /// Its area, mm².
    pub area_mm2: f64,
    /// Share of it that is filled; `None` where too small to say.
    pub density: Option<f64>,
    /// The fill leaves no gaps.
    pub solid: bool,
    /// Angles of its line families, degrees from x in 0..180, with the share of its length along each.
    pub directions: Vec<(f64, f64)>,
}

/// What the shape room finds in one layer of the part.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LayerShape {
    /// Index of the layer, from 0 at the bed.
    pub index: usize,
    /// Top of the layer, mm.
    pub z_mm: f64,
    /// Thickness, mm.
    pub height_mm: f64,
    /// Outline of the part out to the outer edge of its outer walls, exact, with holes.
    pub outline: Vec<Polygon>,
    /// Its round edges and corners.
    pub arcs: Vec<Arc>,
    /// Outline of what each tool lays.
    pub outline_by_tool: Vec<(u16, Vec<Polygon>)>,
    /// Role by geometry of each strand of the layer.
    pub roles: Vec<Role>,
    /// Walls along every edge.
    pub walls: Walls,
    /// The most walls that lie one within the other.
    pub deepest_walls: usize,
    /// Stretches of walls without plastic.
    pub gaps: Vec<WallGap>,
    /// Places where the part is one bead wide.
    pub ribs: Vec<Rib>,
    /// Stretches of an edge with fewer beads than elsewhere.
    pub thin_places: Vec<ThinPlace>,
    /// Places with too little or too much plastic.
    pub flow_places: Vec<FlowPlace>,
    /// Bead section by role.
    pub flow: Vec<RoleFlow>,
    /// Flow laid over the flow that the distance of the walls asks for: 0.6 is starved, 1.2 excess. `None` where
    /// too few walls stand side by side to tell.
    pub flow_ratio: Option<f64>,
    /// Core, if there is any.
    pub core: Option<Core>,
}

impl LayerShape {
    /// The same shape as that of a layer that is bead for bead alike and stands at another height.
    #[must_use]
    pub fn standing_at(&self, layer: &Layer) -> Cow<'_, Self> {
        let (index, z_mm) = (layer.index.unwrap_or(self.index), layer.z_mm);
        if (index, z_mm) == (self.index, self.z_mm) {
            return Cow::Borrowed(self);
        }
        Cow::Owned(Self { index, z_mm, ..self.clone() })
    }
}
