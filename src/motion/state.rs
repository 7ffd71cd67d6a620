//! What the machine remembers from line to line.

use super::filament::Filament;
use crate::profile::{Limits, Machine};

/// The motion that a line with only axis words repeats.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Modal {
    /// G0.
    Rapid,
    /// G1.
    Straight,
    /// G2.
    Clockwise,
    /// G3.
    Anticlockwise,
}

/// The plane of arcs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Plane {
    /// G17.
    Xy,
    /// G18.
    Zx,
    /// G19.
    Yz,
}

impl Plane {
    /// Indexes of its first axis, its second axis and the axis across it.
    pub(super) const fn axes(self) -> [usize; 3] {
        match self {
            Self::Xy => [0, 1, 2],
            Self::Zx => [2, 0, 1],
            Self::Yz => [1, 2, 0],
        }
    }
}

/// How the machine itself pulls filament back (G10, G11).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FirmwareRetract {
    /// How much is pulled back, mm.
    pub length_mm: f64,
    /// How fast, mm/s.
    pub speed_mm_s: f64,
    /// How far the nozzle is lifted, mm.
    pub lift_mm: f64,
    /// How much more is fed when it comes forward again, mm.
    pub extra_mm: f64,
    /// How fast it comes forward, mm/s, if not as fast as back.
    pub return_mm_s: Option<f64>,
}

impl Default for FirmwareRetract {
    /// Where a file uses G10 without M207: common practice, no source.
    fn default() -> Self {
        Self { length_mm: 1.0, speed_mm_s: 40.0, lift_mm: 0.0, extra_mm: 0.0, return_mm_s: None }
    }
}

/// What is kept for each tool.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToolState {
    /// Set nozzle temperature, °C, if any was ever set.
    pub nozzle_c: Option<f64>,
    /// Nozzle temperature that was waited for, °C.
    pub reached_c: Option<f64>,
    /// Flow override, 1 = as written.
    pub flow: f64,
    /// The machine itself holds the filament back (G10 without G11).
    pub held_back: bool,
    /// Filament diameter, mm.
    pub filament_mm: f64,
    /// E counts mm³ instead of mm (M200).
    pub volumetric: bool,
    /// What was fed and pulled back.
    pub filament: Filament,
}

impl ToolState {
    /// Section of the filament, mm².
    #[must_use]
    pub fn filament_mm2(&self) -> f64 {
        std::f64::consts::PI * self.filament_mm * self.filament_mm / 4.0
    }
}

/// What the machine remembers from line to line.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// Where the nozzle is in the machine's own frame, mm; the lift of a machine-made retraction not counted.
    pub position_mm: [f64; 3],
    /// Machine's frame less the program's (G92), mm.
    pub offset_mm: [f64; 3],
    /// Whether the place along each axis is known (homed, set or moved to).
    pub known: [bool; 3],
    /// How far a machine-made retraction has lifted the nozzle, mm.
    pub lift_mm: f64,
    /// Where the extruder axis stands in the program's frame, mm (mm³ in volumetric mode); over `unit_mm` it is what an
    /// absolute E word would say.
    pub extruder: f64,
    /// Millimetres for each unit of length: 1 (G21) or 25.4 (G20).
    pub unit_mm: f64,
    /// G91: axis words count from where the nozzle is.
    pub relative: bool,
    /// M83: E words count from where the extruder is.
    pub relative_extruder: bool,
    /// G90.1: arc centres are places, not distances from the start.
    pub absolute_centres: bool,
    /// The plane of arcs.
    pub plane: Plane,
    /// What a line with only axis words does.
    pub modal: Modal,
    /// Speed asked for, mm/s, before overrides, if any was given.
    pub feed_mm_s: Option<f64>,
    /// Speed override, 1 = as written.
    pub speed_override: f64,
    /// The tool in use.
    pub tool: u16,
    /// What is kept for each tool; grows with the highest tool met.
    pub tools: Vec<ToolState>,
    /// Set bed temperature, °C, if any was ever set.
    pub bed_c: Option<f64>,
    /// Bed temperature that was waited for, °C.
    pub bed_reached_c: Option<f64>,
    /// Set chamber temperature, °C, if any was ever set.
    pub chamber_c: Option<f64>,
    /// Chamber temperature that was waited for, °C.
    pub chamber_reached_c: Option<f64>,
    /// Part fan, 0 to 1.
    pub fan: f64,
    /// How the machine itself pulls filament back.
    pub firmware_retract: FirmwareRetract,
    /// Speeds, accelerations and corner rule in force.
    pub limits: Limits,
    /// M101 (on) or M103 (off), if either was ever met.
    pub flow_switch: Option<bool>,
    /// The program has ended; nothing more is run.
    pub ended: bool,
    fresh: ToolState,
}

impl State {
    pub(super) fn new(machine: &Machine) -> Self {
        let fresh = ToolState {
            nozzle_c: None,
            reached_c: None,
            flow: 1.0,
            held_back: false,
            filament_mm: machine.filament_mm,
            volumetric: false,
            filament: Filament::default(),
        };
        Self {
            position_mm: [0.0; 3],
            offset_mm: [0.0; 3],
            known: [false; 3],
            lift_mm: 0.0,
            extruder: 0.0,
            unit_mm: 1.0,
            relative: false,
            relative_extruder: false,
            absolute_centres: false,
            plane: Plane::Xy,
            modal: Modal::Rapid,
            feed_mm_s: None,
            speed_override: 1.0,
            tool: 0,
            tools: vec![fresh],
            bed_c: None,
            bed_reached_c: None,
            chamber_c: None,
            chamber_reached_c: None,
            fan: 0.0,
            firmware_retract: FirmwareRetract::default(),
            limits: machine.limits.clone(),
            flow_switch: None,
            ended: false,
            fresh,
        }
    }

    /// Where the nozzle is in the program's own frame, mm.
    #[must_use]
    pub fn program_mm(&self) -> [f64; 3] {
        std::array::from_fn(|axis| self.position_mm[axis] - self.offset_mm[axis])
    }

    /// Where the nozzle is in the machine's frame, mm, lift included.
    #[must_use]
    pub fn nozzle_mm(&self) -> [f64; 3] {
        let [x, y, z] = self.position_mm;
        [x, y, z + self.lift_mm]
    }

    /// What is kept for the tool in use.
    #[must_use]
    pub fn current(&self) -> ToolState {
        self.tools.get(usize::from(self.tool)).copied().unwrap_or(self.fresh)
    }

    /// What is kept for `tool`.
    pub(super) fn tool_mut(&mut self, tool: u16) -> &mut ToolState {
        let index = usize::from(tool);
        if self.tools.len() <= index {
            self.tools.resize(index + 1, self.fresh);
        }
        &mut self.tools[index]
    }
}
