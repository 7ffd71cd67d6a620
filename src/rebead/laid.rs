//! What has been laid: layers of strands, and the same as the other rooms' layers of beads.

use super::settings::Settings;
use crate::deposit::{Bead, Layer, LayerKind, Strand, width_mm};
use crate::geom::{Point, Polygon};
use crate::profile::Role;

/// One strand, with the role it was laid for.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidStrand {
    /// What it is for.
    pub role: Role,
    /// Tool that lays it.
    pub tool: u16,
    /// Its corners; a closed one repeats its first corner at the end.
    pub points: Vec<Point>,
    /// Section of each piece between two corners, mm².
    pub areas_mm2: Vec<f64>,
    /// It closes on itself.
    pub closed: bool,
    /// It climbs from the layer below to its own height (spiral printing).
    pub climbs: bool,
    /// Speed, mm/s.
    pub speed_mm_s: f64,
    /// Share of the machine's usual flow (the machine's override, not the length fed).
    pub flow: f64,
}

impl LaidStrand {
    /// Length of the path, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.points.windows(2).map(|p| p[0].distance(p[1])).sum()
    }

    /// Plastic in it, mm³.
    #[must_use]
    pub fn volume_mm3(&self) -> f64 {
        self.points.windows(2).zip(&self.areas_mm2).map(|(p, area)| p[0].distance(p[1]) * area).sum()
    }
}

/// One layer as laid.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidLayer {
    /// Counted from 0 at the bed.
    pub index: usize,
    /// The first layer that was laid bead for bead like this one; itself where there is none before it.
    pub alike: usize,
    /// Top of the layer, mm.
    pub z_mm: f64,
    /// Thickness, mm.
    pub height_mm: f64,
    /// Strands in print order.
    pub strands: Vec<LaidStrand>,
    /// Outline of all tools together.
    pub outline: Vec<Polygon>,
    /// Walls asked for.
    pub walls: u32,
    /// Area of the sparse core, mm².
    pub core_mm2: f64,
    /// Area of skins and other solid fill within the walls, mm².
    pub solid_mm2: f64,
}

impl LaidLayer {
    /// Plastic of one role, mm³.
    #[must_use]
    pub fn volume_of_mm3(&self, role: Role) -> f64 {
        self.strands.iter().filter(|s| s.role == role).map(LaidStrand::volume_mm3).sum()
    }

    /// Plastic of the part: without skirt, brim and purge, mm³.
    #[must_use]
    pub fn part_mm3(&self) -> f64 {
        self.strands.iter().filter(|s| s.role.is_part()).map(LaidStrand::volume_mm3).sum()
    }

    /// Share of the sparse core that is filled, if there is any.
    #[must_use]
    pub fn core_density(&self) -> Option<f64> {
        let laid = self.volume_of_mm3(Role::SparseInfill);
        (self.core_mm2 > 0.0).then(|| laid / (self.core_mm2 * self.height_mm))
    }
}

/// A part as laid.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// Its layers, from the bed up.
    pub layers: Vec<LaidLayer>,
    /// What it was laid with.
    pub settings: Settings,
}

impl Laid {
    /// Plastic of one role, mm³.
    #[must_use]
    pub fn volume_of_mm3(&self, role: Role) -> f64 {
        self.layers.iter().map(|l| l.volume_of_mm3(role)).sum()
    }

    /// All plastic of one tool, mm³.
    #[must_use]
    pub fn volume_of_tool_mm3(&self, tool: u16) -> f64 {
        let strands = self.layers.iter().flat_map(|l| &l.strands);
        strands.filter(|s| s.tool == tool).map(LaidStrand::volume_mm3).sum()
    }

    /// Filament of one tool, mm.
    #[must_use]
    pub fn filament_mm(&self, tool: u16) -> f64 {
        self.volume_of_tool_mm3(tool) / self.settings.filament_area_mm2(tool)
    }

    /// Tools in use, in order.
    #[must_use]
    pub fn tools(&self) -> Vec<u16> {
        let mut tools: Vec<u16> = self.layers.iter().flat_map(|l| &l.strands).map(|s| s.tool).collect();
        tools.sort_unstable();
        tools.dedup();
        tools
    }

    /// Share of the sparse core that is filled, over all layers.
    #[must_use]
    pub fn core_density(&self) -> Option<f64> {
        let room: f64 = self.layers.iter().map(|l| l.core_mm2 * l.height_mm).sum();
        (room > 0.0).then(|| self.volume_of_mm3(Role::SparseInfill) / room)
    }

    /// The layers as the other rooms know them, with true roles and labels.
    ///
    /// Times are length over speed, without acceleration or travel; where times matter, write the G-code
    /// ([`write`](super::write)) and let the motion room plan it. Lines are counted as if every bead were one.
    #[must_use]
    pub fn layers_of_beads(&self) -> Vec<Layer> {
        let mut line = 0;
        self.layers.iter().map(|layer| layer_of_beads(layer, &mut line)).collect()
    }
}

fn layer_of_beads(laid: &LaidLayer, line: &mut u64) -> Layer {
    let first_line = *line + 1;
    let (mut beads, mut strands) = (Vec::new(), Vec::new());
    for strand in &laid.strands {
        let start = beads.len();
        let whole = strand.length_mm();
        let mut gone = 0.0;
        for (ends, &area_mm2) in strand.points.windows(2).zip(&strand.areas_mm2) {
            *line += 1;
            let length_mm = ends[0].distance(ends[1]);
            gone += length_mm;
            let below = if strand.climbs { laid.height_mm * (1.0 - gone / whole) } else { 0.0 };
            beads.push(Bead {
                from: ends[0],
                to: ends[1],
                z_mm: laid.z_mm - below,
                length_mm,
                area_mm2,
                width_mm: width_mm(area_mm2, laid.height_mm),
                time_s: length_mm / strand.speed_mm_s,
                line: *line,
            });
        }
        strands.push(Strand {
            beads: start..beads.len(),
            tool: strand.tool,
            closed: strand.closed,
            label: Some(strand.role),
            role: strand.role,
            ghost: false,
        });
    }
    Layer {
        index: Some(laid.index),
        kind: LayerKind::Part,
        z_mm: laid.z_mm,
        height_mm: laid.height_mm,
        rising: laid.strands.iter().any(|s| s.climbs),
        time_s: beads.iter().map(|b| b.time_s).sum(),
        lines: (first_line, *line),
        beads,
        strands,
        blob_mm3: 0.0,
        nozzle_c: None,
        number: None,
    }
}
