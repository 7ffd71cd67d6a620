//! What a class of part must have to do its work.

use super::error::ProfileError;
use super::library::{Kind, find_profile};
use super::read::{Checked, Impossible, ensure, read_profile};
use std::path::PathBuf;

/// What a class of part must have; a missing key asks for nothing.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StrengthProfile {
    /// What it is called.
    pub name: String,
    /// Least number of walls.
    #[serde(default)]
    pub min_walls: Option<u32>,
    /// Least thickness of the walls together, mm.
    #[serde(default)]
    pub min_wall_thickness_mm: Option<f64>,
    /// Least number of solid layers under a roof.
    #[serde(default)]
    pub min_top_skin_layers: Option<u32>,
    /// Least number of solid layers on a floor.
    #[serde(default)]
    pub min_bottom_skin_layers: Option<u32>,
    /// Least thickness of a skin, mm.
    #[serde(default)]
    pub min_skin_mm: Option<f64>,
    /// Least share of the core that is filled, 0 to 1.
    #[serde(default)]
    pub min_core_density: Option<f64>,
    /// Tallest layer as a share of the nozzle's bore.
    #[serde(default)]
    pub max_layer_height_share: Option<f64>,
    /// How far a hole or pin may be off its nominal size, mm.
    #[serde(default)]
    pub max_off_size_mm: Option<f64>,
    /// Capacity over load that is wanted, on low values.
    #[serde(default = "three")]
    pub reserve: f64,
    /// Why so much and no less.
    pub reason: String,
    /// A caution of this class of part.
    #[serde(default)]
    pub caution: Option<String>,
    /// Where the numbers come from.
    #[serde(default)]
    pub source: Option<String>,
}

/// The reserve where a profile asks for no other: 3 to 4 on a mean strength for a jig (common practice).
const fn three() -> f64 {
    3.0
}

impl StrengthProfile {
    /// A built-in strength profile, or one from a file.
    ///
    /// # Errors
    /// Where there is none, or its file is wrong.
    pub fn load(name_or_path: &str) -> Result<Self, ProfileError> {
        Self::load_in(name_or_path, &[])
    }

    /// As [`StrengthProfile::load`]; profiles in `folders` come before the built-in ones.
    ///
    /// # Errors
    /// As [`StrengthProfile::load`].
    pub fn load_in(name_or_path: &str, folders: &[PathBuf]) -> Result<Self, ProfileError> {
        let found = find_profile(Kind::Strength, name_or_path, folders)?;
        read_profile(&found.text, &found.origin)
    }

    /// Names of the built-in strength profiles.
    pub fn built_in_names() -> impl Iterator<Item = &'static str> {
        Kind::Strength.names()
    }
}

impl Checked for StrengthProfile {
    fn check(&self) -> Result<(), Impossible> {
        ensure(!self.name.trim().is_empty(), "name", "must not be empty")?;
        ensure(!self.reason.trim().is_empty(), "reason", "must say why this much is wanted")?;
        ensure(
            self.reserve >= 1.0 && self.reserve <= 100.0,
            "reserve",
            "must be at least 1 (1 is the edge of failure)",
        )?;
        let share = |v: Option<f64>| v.is_none_or(|v| (0.0..=1.0).contains(&v));
        ensure(share(self.min_core_density), "min_core_density", "must be from 0 to 1")?;
        ensure(share(self.max_layer_height_share), "max_layer_height_share", "must be from 0 to 1")?;
        let length = |v: Option<f64>| v.is_none_or(|v| (0.0..1000.0).contains(&v));
        ensure(length(self.min_wall_thickness_mm), "min_wall_thickness_mm", "must not be negative")?;
        ensure(length(self.min_skin_mm), "min_skin_mm", "must not be negative")?;
        ensure(length(self.max_off_size_mm), "max_off_size_mm", "must not be negative")?;
        ensure(self.min_walls.is_none_or(|n| n < 1000), "min_walls", "is more than any part has")
    }
}
