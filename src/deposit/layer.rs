//! Layers, strands and beads.

use crate::geom::Point;
use crate::profile::Role;
use std::ops::Range;

/// One extruded straight piece of path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bead {
    /// Where it starts, mm.
    pub from: Point,
    /// Where it ends, mm.
    pub to: Point,
    /// Nozzle height at its end, mm.
    pub z_mm: f64,
    /// Length along the path, mm.
    pub length_mm: f64,
    /// Cross-section from flow, mm²: volume over length.
    pub area_mm2: f64,
    /// Width for the layer's height, mm; of a round thread where the bead is thinner than tall; never over 25 mm.
    pub width_mm: f64,
    /// How long it takes, s.
    pub time_s: f64,
    /// Line of the file, counted from 1.
    pub line: u64,
}

impl Bead {
    /// Plastic in it, mm³.
    #[must_use]
    pub fn volume_mm3(&self) -> f64 {
        self.area_mm2 * self.length_mm
    }

    /// Distance from its centreline to `p`, mm.
    #[must_use]
    pub fn distance_mm(&self, p: Point) -> f64 {
        segment_distance_mm(self.from, self.to, p)
    }
}

/// Distance from the straight piece `a` to `b` to `p`, mm.
pub(super) fn segment_distance_mm(a: Point, b: Point, p: Point) -> f64 {
    let along = b - a;
    let length2 = along.dot(along);
    let t = if length2 > 0.0 { ((p - a).dot(along) / length2).clamp(0.0, 1.0) } else { 0.0 };
    a.lerp(b, t).distance(p)
}

/// A run of beads laid without stopping the flow.
#[derive(Debug, Clone, PartialEq)]
pub struct Strand {
    /// Its beads in [`Layer::beads`].
    pub beads: Range<usize>,
    /// Tool that laid it.
    pub tool: u16,
    /// It closes on itself: a loop.
    pub closed: bool,
    /// Role that the comments name, if any do.
    pub label: Option<Role>,
    /// Role by geometry, as far as the deposit room can tell: adhesion and purge always, walls and fill where they
    /// were asked for ([`Depositor::with_first_roles`](super::Depositor::with_first_roles)). The shape room knows more.
    pub role: Role,
    /// Laid over another strand (a lap retraced) or nearly without flow: no wall of its own.
    pub ghost: bool,
}

/// What a layer belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LayerKind {
    /// The part (perhaps with support or a skirt beside it).
    Part,
    /// A raft below the part.
    Raft,
    /// Nothing but priming or cleaning lines.
    Purge,
}

/// All beads whose tops share a height, in the order they are laid.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// Counted from 0 at the bed over layers of the part; `None` for raft and purge.
    pub index: Option<usize>,
    /// What it belongs to.
    pub kind: LayerKind,
    /// Top of the layer: the nozzle's height, mm.
    pub z_mm: f64,
    /// Thickness, mm.
    pub height_mm: f64,
    /// Nozzle height rises along the layer (spiral printing) or varies within it.
    pub rising: bool,
    /// Beads in print order.
    pub beads: Vec<Bead>,
    /// Strands in print order; they cover every bead once.
    pub strands: Vec<Strand>,
    /// From the end of the layer below's last bead to the end of its own, s.
    pub time_s: f64,
    /// First and last line of the file with a bead of this layer.
    pub lines: (u64, u64),
    /// Plastic that came out in this layer with no path to lie on, mm³.
    pub blob_mm3: f64,
    /// Least and greatest set nozzle temperature while laying it, °C, if any was ever set.
    pub nozzle_c: Option<(f64, f64)>,
    /// Layers with one number are bead for bead alike, but for the rounding of the file; `None` where nobody looked.
    pub number: Option<usize>,
}

impl Layer {
    /// The beads of one strand.
    #[must_use]
    pub fn strand_beads(&self, strand: &Strand) -> &[Bead] {
        &self.beads[strand.beads.clone()]
    }

    /// Plastic in all its beads, mm³.
    #[must_use]
    pub fn volume_mm3(&self) -> f64 {
        self.beads.iter().map(Bead::volume_mm3).sum()
    }
}
