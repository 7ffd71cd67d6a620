//! What a filament is: density, price, strengths, stiffness, temperatures and needs.

use super::error::ProfileError;
use super::library::{Kind, find_profile};
use super::read::{Checked, Impossible, ensure, read_profile};
use serde::de::{self, Deserialize, Deserializer, IgnoredAny, MapAccess, Visitor};
use std::fmt;
use std::path::PathBuf;

/// A value that is known as a range: verdicts use the low one.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Pair {
    /// What nearly every good print reaches.
    pub low: f64,
    /// What a usual good print reaches.
    pub typical: f64,
}

impl Pair {
    /// The same value as low and typical.
    #[must_use]
    pub const fn both(value: f64) -> Self {
        Self { low: value, typical: value }
    }

    /// Both values by one factor.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self { low: self.low * factor, typical: self.typical * factor }
    }

    fn check(self, key: &str, most: f64) -> Result<(), Impossible> {
        ensure(self.low > 0.0, &format!("{key}.low"), "must be greater than 0")?;
        ensure(self.typical >= self.low, &format!("{key}.typical"), "must be at least the low value")?;
        ensure(self.typical <= most, &format!("{key}.typical"), &format!("is more than {most}; is the unit right?"))
    }
}

impl<'de> Deserialize<'de> for Pair {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(PairVisitor)
    }
}

/// Takes a bare number for both, or a table with `low`, `typical` and perhaps `source`.
struct PairVisitor;

impl<'de> Visitor<'de> for PairVisitor {
    type Value = Pair;

    fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(to, "a number, or a table such as {{ low = 30, typical = 44 }}")
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Pair, E> {
        Ok(Pair::both(value))
    }

    fn visit_i64<E: de::Error>(self, value: i64) -> Result<Pair, E> {
        Ok(Pair::both(value as f64))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Pair, A::Error> {
        let (mut low, mut typical) = (None, None);
        while let Some(key) = map.next_key::<String>()? {
            match key.as_str() {
                "low" => low = Some(map.next_value::<f64>()?),
                "typical" => typical = Some(map.next_value::<f64>()?),
                "source" => drop(map.next_value::<IgnoredAny>()?),
                other => return Err(de::Error::unknown_field(other, &["low", "typical", "source"])),
            }
        }
        let low = low.ok_or_else(|| de::Error::missing_field("low"))?;
        let typical = typical.ok_or_else(|| de::Error::missing_field("typical"))?;
        Ok(Pair { low, typical })
    }
}

/// Strengths of printed, well bonded material, MPa.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Strengths {
    /// Tension along the bead.
    pub along: Pair,
    /// Tension across beads that lie side by side in one layer; [`Strengths::beside`] has the fallback.
    #[serde(default)]
    pub beside: Option<Pair>,
    /// Tension from layer to layer.
    pub across: Pair,
    /// Compression across layers.
    pub compression: Pair,
    /// Sliding between layers, punching, pull-out.
    pub shear: Pair,
    /// Where these numbers come from.
    #[serde(default)]
    pub source: Option<String>,
}

impl Strengths {
    /// Side strength in a layer; where the card has none, the strength across layers, which is safe.
    #[must_use]
    pub fn beside(&self) -> Pair {
        self.beside.unwrap_or(self.across)
    }
}

/// Stiffness of printed material (modulus of elasticity), MPa.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stiffness {
    /// Along the bead.
    pub along: Pair,
    /// From layer to layer.
    pub across: Pair,
    /// Poisson's ratio.
    #[serde(default = "poisson")]
    pub poisson: f64,
    /// Where these numbers come from.
    #[serde(default)]
    pub source: Option<String>,
}

/// Poisson's ratio of the common filaments is 0.33 to 0.40 (PLA 0.33: Wang et al., Polymers 11 (2019) 1154).
const fn poisson() -> f64 {
    0.35
}

/// Temperatures, °C.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Temperatures {
    /// Coldest and hottest nozzle it prints well with.
    #[serde(default)]
    pub nozzle: Option<[f64; 2]>,
    /// Coldest and hottest bed.
    #[serde(default)]
    pub bed: Option<[f64; 2]>,
    /// Where it loses its stiffness (glass transition or heat deflection, whichever is lower).
    #[serde(default)]
    pub softening: Option<f64>,
    /// Where these numbers come from.
    #[serde(default)]
    pub source: Option<String>,
}

/// What it needs of a machine.
#[derive(Debug, Clone, PartialEq, Eq, Default, serde::Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Needs {
    /// A closed, warm build space.
    pub enclosure: bool,
    /// It wears soft nozzles.
    pub hardened_nozzle: bool,
    /// It is soft: a changer cannot feed it.
    pub own_feed: bool,
    /// Dry it before printing.
    pub drying: bool,
}

/// What lowers the allowed strength, as shares of it.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lowering {
    /// Under load for weeks.
    #[serde(default)]
    pub lasting: Option<Pair>,
    /// Across a layer at which the print was stopped.
    #[serde(default)]
    pub stop: Option<Pair>,
    /// Soaked with water from the air.
    #[serde(default)]
    pub wet: Option<Pair>,
    /// Where these numbers come from.
    #[serde(default)]
    pub source: Option<String>,
}

/// A filament.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// What the shop calls it.
    pub name: String,
    /// Density, g/cm³.
    pub density_g_cm3: f64,
    /// Filament diameter, mm; overrides the machine's.
    #[serde(default)]
    pub filament_mm: Option<f64>,
    /// Price of 1 kg, in the shop's money.
    #[serde(default)]
    pub price_per_kg: Option<f64>,
    /// Strengths, MPa.
    #[serde(default)]
    pub strength_mpa: Option<Strengths>,
    /// Stiffness, MPa.
    #[serde(default)]
    pub stiffness_mpa: Option<Stiffness>,
    /// Temperatures, °C.
    #[serde(default)]
    pub temperature_c: Option<Temperatures>,
    /// Least time for a layer to cool, s.
    #[serde(default)]
    pub min_layer_s: Option<f64>,
    /// A layer time beyond which the layer below is too cold to bond well, s.
    #[serde(default)]
    pub max_layer_s: Option<f64>,
    /// What it melts at most through a 0.4 mm nozzle of an ordinary hot end, mm³/s.
    #[serde(default)]
    pub max_flow_mm3_s: Option<f64>,
    /// What it needs of a machine.
    #[serde(default)]
    pub needs: Needs,
    /// What lowers its strength.
    #[serde(default)]
    pub lowering: Option<Lowering>,
    /// A caution of this material alone.
    #[serde(default)]
    pub note: Option<String>,
    /// Where the numbers without one of their own come from.
    #[serde(default)]
    pub source: Option<String>,
}

impl Material {
    /// A built-in material, or one from a file.
    ///
    /// # Errors
    /// Where there is none, or its file is wrong.
    pub fn load(name_or_path: &str) -> Result<Self, ProfileError> {
        Self::load_in(name_or_path, &[])
    }

    /// As [`Material::load`]; profiles in `folders` come before the built-in ones.
    ///
    /// # Errors
    /// As [`Material::load`].
    pub fn load_in(name_or_path: &str, folders: &[PathBuf]) -> Result<Self, ProfileError> {
        let found = find_profile(Kind::Material, name_or_path, folders)?;
        read_profile(&found.text, &found.origin)
    }

    /// Names of the built-in materials.
    pub fn built_in_names() -> impl Iterator<Item = &'static str> {
        Kind::Material.names()
    }

    /// Mass of a volume of it, g.
    #[must_use]
    pub fn mass_g(&self, volume_mm3: f64) -> f64 {
        volume_mm3 * self.density_g_cm3 / 1000.0
    }

    /// Cost of a volume of it, if its price is known.
    #[must_use]
    pub fn cost(&self, volume_mm3: f64) -> Option<f64> {
        self.price_per_kg.map(|price| self.mass_g(volume_mm3) / 1000.0 * price)
    }
}

fn check_span(span: Option<[f64; 2]>, key: &str) -> Result<(), Impossible> {
    let Some([from, to]) = span else { return Ok(()) };
    ensure(from <= to && from >= 0.0 && to < 600.0, key, "must be the lowest and the highest in °C, such as [220, 250]")
}

impl Checked for Material {
    fn check(&self) -> Result<(), Impossible> {
        ensure(!self.name.trim().is_empty(), "name", "must not be empty")?;
        ensure(self.density_g_cm3 > 0.1 && self.density_g_cm3 < 10.0, "density_g_cm3", "must be between 0.1 and 10")?;
        ensure(self.filament_mm.is_none_or(|d| d > 0.5 && d < 10.0), "filament_mm", "must be between 0.5 and 10")?;
        ensure(self.price_per_kg.is_none_or(|p| p >= 0.0), "price_per_kg", "must not be negative")?;
        ensure(self.max_flow_mm3_s.is_none_or(|f| f > 0.0), "max_flow_mm3_s", "must be greater than 0")?;
        ensure(self.min_layer_s.is_none_or(|t| t >= 0.0), "min_layer_s", "must not be negative")?;
        ensure(self.max_layer_s.is_none_or(|t| t > 0.0), "max_layer_s", "must be greater than 0")?;
        if let Some(strength) = &self.strength_mpa {
            let pairs = [
                ("along", Some(strength.along)),
                ("beside", strength.beside),
                ("across", Some(strength.across)),
                ("compression", Some(strength.compression)),
                ("shear", Some(strength.shear)),
            ];
            for (key, pair) in pairs {
                pair.map_or(Ok(()), |p| p.check(&format!("strength_mpa.{key}"), 2000.0))?;
            }
        }
        if let Some(stiffness) = &self.stiffness_mpa {
            stiffness.along.check("stiffness_mpa.along", 500_000.0)?;
            stiffness.across.check("stiffness_mpa.across", 500_000.0)?;
            let poisson = stiffness.poisson;
            ensure((0.0..0.5).contains(&poisson), "stiffness_mpa.poisson", "must be from 0 to under 0.5")?;
        }
        if let Some(temperature) = &self.temperature_c {
            check_span(temperature.nozzle, "temperature_c.nozzle")?;
            check_span(temperature.bed, "temperature_c.bed")?;
        }
        let Some(lowering) = &self.lowering else { return Ok(()) };
        for (key, pair) in [("lasting", lowering.lasting), ("stop", lowering.stop), ("wet", lowering.wet)] {
            pair.map_or(Ok(()), |p| p.check(&format!("lowering.{key}"), 1.0))?;
        }
        Ok(())
    }
}
