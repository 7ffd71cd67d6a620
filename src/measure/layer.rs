//! The numbers of one layer.

use super::totals::WordsAgreement;
use crate::geom::{Moments, Point, Reach};
use crate::profile::Role;
use crate::shape::{FlowPlace, Rib, ThinPlace, Tube, WallGap, WallSample};

/// The numbers of one layer of the part.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LayerMeasure {
    /// From 0 at the bed.
    pub index: usize,
    /// Top, mm.
    pub z_mm: f64,
    /// Thickness, mm.
    pub height_mm: f64,
    /// From the end of the layer below's last bead to the end of its own, s.
    pub time_s: f64,
    /// Plastic of the part in it, mm³.
    pub volume_mm3: f64,
    /// Area of the part's outline, mm².
    pub outline_area_mm2: Option<f64>,
    /// Least wall count over a stretch, and where.
    pub walls_min: Option<(u32, Point)>,
    /// 5th percentile of the wall count.
    pub walls_p05: Option<u32>,
    /// Median wall count.
    pub walls_median: Option<u32>,
    /// Least wall thickness over a stretch, mm, and where.
    pub wall_thickness_min: Option<(f64, Point)>,
    /// 5th percentile of the wall thickness, mm.
    pub wall_thickness_p05_mm: Option<f64>,
    /// Median wall thickness, mm.
    pub wall_thickness_median_mm: Option<f64>,
    /// Share of the core that is filled.
    pub core_density: Option<f64>,
    /// Area of the core, mm².
    pub core_area_mm2: f64,
    /// Its core leaves no gaps (or it has none).
    pub solid: bool,
    /// Area over which it rests on and fuses to the layer below, mm²; `None` on the first.
    pub bond_area_mm2: Option<f64>,
    /// The same area with its moments; `None` on the first.
    pub bond: Option<Moments>,
    /// How far its plastic reaches, laid as strips of the full height: a hair within the outline.
    pub reach: Option<Reach>,
    /// Its outer walls as a closed tube.
    pub tube: Option<Tube>,
    /// Directions in which its core's lines run: 1 for parallel lines, 2 for a grid, 0 without a core.
    pub core_families: usize,
    /// Area and moments of what is deposited.
    pub section: Option<Moments>,
    /// First and last line of the file with a bead of this layer.
    pub lines: (u64, u64),
    /// Length-weighted median width of its wall beads, mm.
    pub bead_width_mm: Option<f64>,
    /// Volume and path length by role, for the rules that look at flow.
    pub role_flow: Vec<RoleFlow>,
    /// Flow laid over the flow that the distance of the walls asks for; `None` where too few walls lie side by side.
    pub flow_ratio: Option<f64>,
    /// Stretches of walls without plastic.
    pub gaps: Vec<WallGap>,
    /// Places where the part is one bead wide.
    pub ribs: Vec<Rib>,
    /// Stretches of an edge with fewer beads than elsewhere in the layer.
    pub thin_places: Vec<ThinPlace>,
    /// Places with less or more plastic than elsewhere in the layer.
    pub flow_places: Vec<FlowPlace>,
    /// How far comments and motion agree on what is wall and what is not.
    pub words_on_walls: WordsAgreement,
    /// Points on the outline with what was counted there; kept only when detail is asked for.
    pub wall_samples: Vec<WallSample>,
}

/// A core of less than this share of its outline is a speck between walls: how full it is says nothing.
pub(super) const SPECK: f64 = 0.01;

impl LayerMeasure {
    /// Whether walls fill its outline, with no core within them to speak of.
    #[must_use]
    pub fn is_all_walls(&self) -> bool {
        self.outline_area_mm2.is_some_and(|area_mm2| self.core_area_mm2 < SPECK * area_mm2)
    }
}

/// Plastic laid in one role within one layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoleFlow {
    /// What it is for.
    pub role: Role,
    /// Plastic, mm³.
    pub volume_mm3: f64,
    /// Path, mm.
    pub length_mm: f64,
}
