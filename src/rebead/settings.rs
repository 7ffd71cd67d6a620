//! How a part is to be laid: walls, skins, core, order, speeds.

use crate::deposit::section_mm2;
use crate::geom::Point;
use crate::profile::Role;
use std::ops::RangeInclusive;

/// Everything that decides how outlines become beads.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Width of a bead, flank to flank, mm.
    pub bead_width_mm: f64,
    /// Beads along every edge.
    pub walls: u32,
    /// Solid layers above every floor.
    pub bottom_skins: u32,
    /// Solid layers below every roof.
    pub top_skins: u32,
    /// How far skins reach on under what stands beside or above them, mm.
    pub skin_reach_mm: f64,
    /// Direction of the lines of solid fill in even layers, degrees from x; odd layers lie across.
    pub skin_angle_deg: f64,
    /// What fills the inside.
    pub core: CoreFill,
    /// Plastic of solid fill over the room it is laid in: 1 fills it exactly.
    pub solid_flow: f64,
    /// Plastic of the whole first layer over its room, for those who press it onto the bed.
    pub first_layer_flow: f64,
    /// Places narrower than two beads get one bead as wide as they are; else they stay empty.
    pub thin_ribs: bool,
    /// In what order the strands of a fill are laid.
    pub fill_order: FillOrder,
    /// Which wall comes first.
    pub wall_order: WallOrder,
    /// Which way loops run.
    pub turn: Turn,
    /// Where loops begin.
    pub seam: Seam,
    /// The flow stops this far before a loop is closed, mm.
    pub loop_gap_mm: f64,
    /// One wall that climbs all the time above the bottom skins, no core.
    pub spiral: bool,
    /// Speeds by role.
    pub speeds: Speeds,
    /// Pulling filament back before long travels.
    pub retraction: Retraction,
    /// Loops round the part on the first layer, clear of it.
    pub skirt_loops: u32,
    /// Distance from the part to the skirt, mm.
    pub skirt_gap_mm: f64,
    /// Loops against the part on the first layer.
    pub brim_loops: u32,
    /// A priming line at the front of the bed.
    pub purge_line: bool,
    /// Filament diameter of each tool, mm; the last one holds for all further tools.
    pub filament_mm: Vec<f64>,
    /// Deliberate faults, for tests and samples.
    pub flaws: Vec<Flaw>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            bead_width_mm: 0.45,
            walls: 3,
            bottom_skins: 4,
            top_skins: 4,
            skin_reach_mm: 0.0,
            skin_angle_deg: 45.0,
            core: CoreFill::default(),
            solid_flow: 1.0,
            first_layer_flow: 1.0,
            thin_ribs: true,
            fill_order: FillOrder::Nearest,
            wall_order: WallOrder::InnerFirst,
            turn: Turn::CounterClockwise,
            seam: Seam::Near(Point::new(0.0, 1e3)),
            loop_gap_mm: 0.0,
            spiral: false,
            speeds: Speeds::default(),
            retraction: Retraction::default(),
            skirt_loops: 0,
            skirt_gap_mm: 3.0,
            brim_loops: 0,
            purge_line: false,
            filament_mm: vec![1.75],
            flaws: Vec::new(),
        }
    }
}

impl Settings {
    /// Section of a full-width bead in a layer of this height, mm².
    #[must_use]
    pub fn bead_area_mm2(&self, height_mm: f64) -> f64 {
        section_mm2(self.bead_width_mm, height_mm)
    }

    /// Distance between neighbouring beads that fills a layer of this height completely, mm.
    #[must_use]
    pub fn pitch_mm(&self, height_mm: f64) -> f64 {
        self.bead_area_mm2(height_mm) / height_mm
    }

    /// Section of the filament of a tool, mm².
    #[must_use]
    pub fn filament_area_mm2(&self, tool: u16) -> f64 {
        let diameter = self.filament_mm.get(usize::from(tool)).or(self.filament_mm.last()).copied().unwrap_or(1.75);
        std::f64::consts::FRAC_PI_4 * diameter * diameter
    }

    /// Walls wanted in a layer, with the flaws that change their number.
    #[must_use]
    pub fn walls_in(&self, layer: usize) -> u32 {
        let fewer = self.flaws.iter().find_map(|flaw| match flaw {
            Flaw::FewWalls { layers, walls } if layers.contains(&layer) => Some(*walls),
            _ => None,
        });
        fewer.unwrap_or(self.walls)
    }
}

/// What fills the inside of a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoreFill {
    /// How its lines run.
    pub pattern: Pattern,
    /// Share of the volume that is filled, 0 to 1.
    pub density: f64,
    /// Successive layers lie on each other, or cross.
    pub lie: Lie,
    /// Direction of the first family of lines, degrees from x.
    pub angle_deg: f64,
    /// Line ends are joined along the walls, so that the flow need not stop.
    pub joined: bool,
    /// How far beside the middle of the part a line of each straight family passes, mm to the left as seen along it: in
    /// even and in odd layers.
    pub beside_mm: [[f64; 3]; 2],
}

impl Default for CoreFill {
    fn default() -> Self {
        let beside_mm = [[0.0; 3]; 2];
        Self { pattern: Pattern::Straight, density: 0.2, lie: Lie::Crossed, angle_deg: 45.0, joined: false, beside_mm }
    }
}

impl CoreFill {
    /// Directions of the families of straight lines in even or in odd layers, degrees from x; none where no line is
    /// straight.
    #[must_use]
    pub fn family_angles_deg(&self, odd: bool) -> Vec<f64> {
        let turned = |by_deg: f64| self.angle_deg + if self.lie == Lie::Crossed && odd { by_deg } else { 0.0 };
        match self.pattern {
            Pattern::Straight => vec![turned(90.0)],
            Pattern::Grid => [0.0, 90.0].map(|more| turned(45.0) + more).to_vec(),
            Pattern::Triangles => [0.0, 60.0, 120.0].map(|more| turned(30.0) + more).to_vec(),
            Pattern::Concentric | Pattern::Wavy => Vec::new(),
        }
    }
}

/// How the lines of a core run within one layer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// One family of straight lines.
    Straight,
    /// Two families at a right angle.
    Grid,
    /// Three families at 60 degrees.
    Triangles,
    /// Loops that follow the walls.
    Concentric,
    /// One family of waves.
    Wavy,
}

/// How the core of one layer lies on that of the layer below.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lie {
    /// Line on line.
    Aligned,
    /// Turned from layer to layer (concentric: shifted by half a pitch).
    Crossed,
}

/// In what order the strands of a fill are laid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FillOrder {
    /// Always the one whose end is nearest.
    Nearest,
    /// Line after line of one family, then the next family.
    InTurn,
}

/// Which wall of an edge is laid first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WallOrder {
    /// From the core outwards.
    InnerFirst,
    /// From the outside in.
    OuterFirst,
}

/// Which way loops run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// All counter-clockwise, seen from above.
    CounterClockwise,
    /// All clockwise.
    Clockwise,
    /// Outsides counter-clockwise, holes clockwise.
    HolesOther,
}

/// Where a loop begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Seam {
    /// At the corner nearest to this point.
    Near(Point),
    /// Anywhere, by a seeded draw.
    Scattered(u64),
}

/// Speeds by role, mm/s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speeds {
    /// Outer walls.
    pub outer_wall: f64,
    /// Inner walls.
    pub inner_wall: f64,
    /// Sparse core.
    pub sparse: f64,
    /// Solid fill.
    pub solid: f64,
    /// Beads over empty space, and narrow places.
    pub slow: f64,
    /// Everything on the first layer.
    pub first_layer: f64,
    /// Travel.
    pub travel: f64,
    /// Up and down.
    pub lift: f64,
}

impl Default for Speeds {
    fn default() -> Self {
        Self {
            outer_wall: 35.0,
            inner_wall: 50.0,
            sparse: 60.0,
            solid: 50.0,
            slow: 25.0,
            first_layer: 20.0,
            travel: 150.0,
            lift: 10.0,
        }
    }
}

impl Speeds {
    /// Speed for a role in a layer of the part, mm/s.
    #[must_use]
    pub fn of(&self, role: Role, first_layer: bool) -> f64 {
        if first_layer {
            return self.first_layer;
        }
        match role {
            Role::OuterWall => self.outer_wall,
            Role::SparseInfill | Role::Support => self.sparse,
            Role::SolidInfill => self.solid,
            Role::Bridge | Role::GapFill => self.slow,
            Role::InnerWall | Role::Adhesion | Role::Purge | Role::Unknown => self.inner_wall,
        }
    }
}

/// Pulling filament back before a travel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Retraction {
    /// How far, mm of filament.
    pub length_mm: f64,
    /// How fast, mm/s.
    pub speed_mm_s: f64,
    /// Shorter travels than this do without, mm.
    pub least_travel_mm: f64,
    /// How far the nozzle is lifted meanwhile, mm.
    pub hop_mm: f64,
}

impl Default for Retraction {
    fn default() -> Self {
        Self { length_mm: 0.8, speed_mm_s: 35.0, least_travel_mm: 2.0, hop_mm: 0.0 }
    }
}

/// A deliberate fault.
#[derive(Debug, Clone, PartialEq)]
pub enum Flaw {
    /// Fewer walls in a band of layers.
    FewWalls {
        /// Which layers.
        layers: RangeInclusive<usize>,
        /// Walls laid there.
        walls: u32,
    },
    /// Less (or more) plastic in a band of layers.
    Flow {
        /// Which layers.
        layers: RangeInclusive<usize>,
        /// Share of what it should be.
        share: f64,
        /// By the machine's flow override (M221) instead of the lengths fed.
        by_override: bool,
    },
    /// All walls are broken at a place in a band of layers.
    WallGap {
        /// Which layers.
        layers: RangeInclusive<usize>,
        /// Where.
        at: Point,
        /// Width of the gap, mm.
        size_mm: f64,
    },
    /// The topmost layers have no skin, only core.
    OpenTop {
        /// How many of the topmost layers of the part.
        layers: usize,
    },
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn section_of_a_usual_bead() {
        // By hand: 0.25 x 0.2 + pi x 0.01 = 0.081416.
        assert_relative_eq!(Settings::default().bead_area_mm2(0.2), 0.081_415_926, epsilon = 1e-8);
        assert_relative_eq!(Settings::default().pitch_mm(0.2), 0.407_079_63, epsilon = 1e-7);
    }
}
