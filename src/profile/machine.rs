//! What a machine can do, and how it reads commands that dialects disagree about.

use super::StopRules;
use super::error::ProfileError;
use super::library::{Kind, find_profile};
use super::read::{Checked, Impossible, ensure, read_profile};
use serde::Deserialize;
use std::path::PathBuf;

/// A machine class, never a brand.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Machine {
    /// What the shop calls it.
    pub name: String,
    /// The build space is closed and stays warm.
    #[serde(default)]
    pub enclosed: bool,
    /// Filament diameter, mm.
    #[serde(default = "defaults::filament_mm")]
    pub filament_mm: f64,
    /// Nozzle bore, mm.
    #[serde(default = "defaults::nozzle_mm")]
    pub nozzle_mm: f64,
    /// The nozzle stands abrasive filament.
    #[serde(default)]
    pub nozzle_hardened: bool,
    /// Bed size in x and y, mm.
    #[serde(default = "defaults::bed_mm")]
    pub bed_mm: [f64; 2],
    /// Height it can build, mm.
    #[serde(default = "defaults::height_mm")]
    pub height_mm: f64,
    /// Number of tools (nozzles or filaments that T selects).
    #[serde(default = "defaults::tools")]
    pub tools: u16,
    /// G90 and G91 also set the extruder's mode.
    #[serde(default)]
    pub g90_sets_extruder: bool,
    /// The unit of P in G4.
    #[serde(default)]
    pub dwell_p: DwellUnit,
    /// What the hot end melts at most, mm³/s.
    #[serde(default)]
    pub max_flow_mm3_s: Option<f64>,
    /// Hottest the nozzle may be set, °C.
    #[serde(default)]
    pub nozzle_max_c: Option<f64>,
    /// Hottest the bed may be set, °C.
    #[serde(default)]
    pub bed_max_c: Option<f64>,
    /// Several filaments reach the nozzle through a changer, which cannot push soft filament.
    #[serde(default)]
    pub changer: bool,
    /// Commands at which the machine waits for a person, such as `M0`.
    #[serde(default = "defaults::stop_codes")]
    pub stop_codes: Vec<String>,
    /// Speeds, accelerations and the corner rule.
    #[serde(default)]
    pub limits: Limits,
    /// How a stop is written into a file.
    #[serde(default)]
    pub stop: StopRules,
    /// What waiting costs.
    #[serde(default)]
    pub waits: Waits,
    /// Where the numbers come from.
    #[serde(default)]
    pub source: Option<String>,
}

/// What waiting costs, s; reported apart from moving time.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Waits {
    /// From cold until the nozzle is hot.
    pub nozzle_s: f64,
    /// From cold until the bed is hot.
    pub bed_s: f64,
    /// From cold until the chamber is warm.
    pub chamber_s: f64,
    /// Finding the ends of the axes.
    pub home_s: f64,
    /// Changing the tool.
    pub tool_change_s: f64,
    /// A person at a stop.
    pub person_s: f64,
    /// Where these numbers come from.
    pub source: Option<String>,
}

/// The unit of P in G4: RS-274 says seconds, most printing machines milliseconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum DwellUnit {
    /// P counts milliseconds.
    #[default]
    #[serde(rename = "ms")]
    Milliseconds,
    /// P counts seconds.
    #[serde(rename = "s")]
    Seconds,
}

/// How fast the machine may go. Axis order is x, y, z, e.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Limits {
    /// Highest speed of each axis, mm/s.
    pub speed_mm_s: [f64; 4],
    /// Highest acceleration of each axis, mm/s².
    pub accel_mm_s2: [f64; 4],
    /// Acceleration of extruding moves, mm/s².
    pub accel_print_mm_s2: f64,
    /// Acceleration of travel, mm/s².
    pub accel_travel_mm_s2: f64,
    /// Acceleration of moves of the filament alone, mm/s².
    pub accel_retract_mm_s2: f64,
    /// Corner rule by deviation, mm; [`Limits::corner`] says which rule holds.
    pub corner_deviation_mm: Option<f64>,
    /// Corner rule by speed step of each axis, mm/s.
    pub corner_step_mm_s: Option<[f64; 4]>,
    /// Where these numbers come from.
    pub source: Option<String>,
}

/// How fast a corner may be taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Corner {
    /// The path could be rounded by this much, mm.
    DeviationMm(f64),
    /// Each axis may jump by this speed, mm/s (x, y, z, e).
    StepMmS([f64; 4]),
}

impl Limits {
    /// The corner rule in force; the deviation where both are given.
    #[must_use]
    pub fn corner(&self) -> Corner {
        match (self.corner_deviation_mm, self.corner_step_mm_s) {
            (Some(deviation), _) => Corner::DeviationMm(deviation),
            (None, Some(step)) => Corner::StepMmS(step),
            (None, None) => Corner::DeviationMm(0.02),
        }
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            speed_mm_s: [300.0, 300.0, 12.0, 60.0],
            accel_mm_s2: [3000.0, 3000.0, 120.0, 5000.0],
            accel_print_mm_s2: 1200.0,
            accel_travel_mm_s2: 2000.0,
            accel_retract_mm_s2: 2500.0,
            corner_deviation_mm: None,
            corner_step_mm_s: None,
            source: None,
        }
    }
}

impl Machine {
    /// A built-in machine class, or a machine from a file.
    ///
    /// # Errors
    /// Where there is none, or its file is wrong.
    pub fn load(name_or_path: &str) -> Result<Self, ProfileError> {
        Self::load_in(name_or_path, &[])
    }

    /// As [`Machine::load`]; profiles in `folders` come before the built-in ones.
    ///
    /// # Errors
    /// As [`Machine::load`].
    pub fn load_in(name_or_path: &str, folders: &[PathBuf]) -> Result<Self, ProfileError> {
        let found = find_profile(Kind::Machine, name_or_path, folders)?;
        read_profile(&found.text, &found.origin)
    }

    /// Names of the built-in machine classes.
    pub fn built_in_names() -> impl Iterator<Item = &'static str> {
        Kind::Machine.names()
    }
}

impl Checked for Machine {
    fn check(&self) -> Result<(), Impossible> {
        ensure(!self.name.trim().is_empty(), "name", "must not be empty")?;
        ensure(self.filament_mm > 0.5 && self.filament_mm < 10.0, "filament_mm", "must be between 0.5 and 10")?;
        ensure(self.nozzle_mm > 0.05 && self.nozzle_mm < 10.0, "nozzle_mm", "must be between 0.05 and 10")?;
        let positive = |all: &[f64]| all.iter().all(|v| *v > 0.0 && v.is_finite());
        ensure(positive(&self.bed_mm), "bed_mm", "must be two lengths greater than 0")?;
        ensure(positive(&[self.height_mm]), "height_mm", "must be greater than 0")?;
        ensure(self.tools > 0 && self.tools <= 256, "tools", "must be from 1 to 256")?;
        let set = |v: Option<f64>| v.is_none_or(|v| v > 0.0);
        ensure(set(self.max_flow_mm3_s), "max_flow_mm3_s", "must be greater than 0")?;
        ensure(set(self.nozzle_max_c), "nozzle_max_c", "must be greater than 0")?;
        ensure(set(self.bed_max_c), "bed_max_c", "must be greater than 0")?;
        let named = self.stop_codes.iter().all(|code| !code.trim().is_empty());
        ensure(named, "stop_codes", "must not hold an empty command")?;
        self.limits.check()?;
        self.stop.check(&self.stop_codes)?;
        self.waits.check()
    }
}

impl Limits {
    fn check(&self) -> Result<(), Impossible> {
        let positive = |all: &[f64]| all.iter().all(|v| *v > 0.0 && v.is_finite());
        let four = "must be four numbers greater than 0, for x, y, z and e";
        ensure(positive(&self.speed_mm_s), "limits.speed_mm_s", four)?;
        ensure(positive(&self.accel_mm_s2), "limits.accel_mm_s2", four)?;
        for (key, value) in [
            ("limits.accel_print_mm_s2", self.accel_print_mm_s2),
            ("limits.accel_travel_mm_s2", self.accel_travel_mm_s2),
            ("limits.accel_retract_mm_s2", self.accel_retract_mm_s2),
        ] {
            ensure(positive(&[value]), key, "must be greater than 0")?;
        }
        let both = self.corner_deviation_mm.is_some() && self.corner_step_mm_s.is_some();
        ensure(!both, "limits.corner_step_mm_s", "stands beside corner_deviation_mm; a machine has one corner rule")?;
        let deviation = self.corner_deviation_mm.is_none_or(|v| v > 0.0);
        ensure(deviation, "limits.corner_deviation_mm", "must be greater than 0")?;
        ensure(self.corner_step_mm_s.is_none_or(|v| positive(&v)), "limits.corner_step_mm_s", four)
    }
}

impl Waits {
    fn check(&self) -> Result<(), Impossible> {
        for (key, value) in [
            ("waits.nozzle_s", self.nozzle_s),
            ("waits.bed_s", self.bed_s),
            ("waits.chamber_s", self.chamber_s),
            ("waits.home_s", self.home_s),
            ("waits.tool_change_s", self.tool_change_s),
            ("waits.person_s", self.person_s),
        ] {
            ensure(value >= 0.0 && value.is_finite(), key, "must not be negative")?;
        }
        Ok(())
    }
}

mod defaults {
    pub const fn filament_mm() -> f64 {
        1.75
    }
    pub const fn nozzle_mm() -> f64 {
        0.4
    }
    pub const fn bed_mm() -> [f64; 2] {
        [220.0, 220.0]
    }
    pub const fn height_mm() -> f64 {
        250.0
    }
    pub const fn tools() -> u16 {
        1
    }
    pub fn stop_codes() -> Vec<String> {
        ["M0", "M1", "M25", "M226", "M600", "M601"].map(str::to_owned).to_vec()
    }
}
