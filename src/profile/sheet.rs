//! Sheet metal: gauge numbers and metals.
//!
//! The same gauge number is five thicknesses in five metals, so a gauge is never read without its metal.

use super::error::ProfileError;
use super::library::{Kind, find_profile, not_found, plain_name};
use super::read::{Checked, Impossible, ensure, read_profile};
use std::collections::BTreeMap;

/// A value with its range.
#[derive(Debug, Clone, Copy, PartialEq, serde::Deserialize, serde::Serialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spread {
    /// Least it will be.
    pub low: f64,
    /// What to reckon with.
    pub likely: f64,
    /// Most it may be.
    pub high: f64,
}

impl Spread {
    /// One value without a range.
    #[must_use]
    pub const fn exactly(value: f64) -> Self {
        Self { low: value, likely: value, high: value }
    }

    /// The product of two ranges of positive values.
    #[must_use]
    pub fn times(self, other: Self) -> Self {
        Self { low: self.low * other.low, likely: self.likely * other.likely, high: self.high * other.high }
    }

    /// All three by one factor.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        self.times(Self::exactly(factor))
    }

    fn holds(self) -> bool {
        self.low > 0.0 && self.likely >= self.low && self.high >= self.likely && self.high.is_finite()
    }
}

/// A metal of sheet, bar or plate.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Metal {
    /// What it is called.
    pub name: String,
    /// Other names for it.
    #[serde(default)]
    pub also: Vec<String>,
    /// The gauge table its sheet is sold by.
    pub gauge_table: String,
    /// Yield strength, MPa.
    pub yield_mpa: Spread,
    /// Tensile strength, MPa.
    pub tensile_mpa: Spread,
    /// Shear strength as a share of tensile strength.
    pub shear_share: Spread,
    /// Clearance of a punch on each side, as a share of the thickness.
    #[serde(default)]
    pub clearance_share: Option<f64>,
    /// What to mind with it.
    #[serde(default)]
    pub note: Option<String>,
    /// Where the numbers come from.
    #[serde(default)]
    pub source: Option<String>,
}

/// Gauge numbers of one kind of sheet.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GaugeTable {
    /// What it is called.
    pub name: String,
    /// What to mind with it.
    #[serde(default)]
    pub note: Option<String>,
    /// Weight of an inch of thickness, lb/ft².
    #[serde(default)]
    pub lb_ft2_per_in: Option<f64>,
    /// Weight of each gauge, lb/ft².
    #[serde(default)]
    pub lb_ft2: BTreeMap<String, f64>,
    /// Thickness of each gauge, in.
    #[serde(default)]
    pub inches: BTreeMap<String, f64>,
    /// The wire gauge's rule.
    #[serde(default)]
    pub wire: Option<WireRule>,
    /// Where the numbers come from.
    #[serde(default)]
    pub source: Option<String>,
}

/// Thicknesses in even steps: t = `first_in` x `ratio` ^ ((`first_gauge` - n) / `steps`).
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WireRule {
    /// Thickness of the first gauge, in.
    pub first_in: f64,
    /// Its number.
    pub first_gauge: u32,
    /// Thickness ratio over all steps.
    pub ratio: f64,
    /// Number of steps.
    pub steps: u32,
    /// Thickest gauge that sheet is sold in.
    pub thickest: u32,
}

/// No gauge of wire or sheet has a higher number (common practice, no source).
const MOST_GAUGE: u32 = 100;

impl GaugeTable {
    /// Thickness of a gauge, mm; `None` where the table has no such gauge.
    ///
    /// Weight over weight of an inch, or the listed inches, or the wire gauge's rule; sources in
    /// `profiles/sheet/gauges.toml`.
    #[must_use]
    pub fn thickness_mm(&self, gauge: u32) -> Option<f64> {
        let number = gauge.to_string();
        // Sheet is sold by the listed thickness, which is the weight's rounded to a ten-thousandth of an inch.
        let by_weight = || Some((self.lb_ft2.get(&number)? / self.lb_ft2_per_in? * 1e4).round() / 1e4);
        let by_rule = || {
            let wire = self.wire.as_ref().filter(|w| (w.thickest..=w.first_gauge).contains(&gauge))?;
            let steps = f64::from(wire.first_gauge.saturating_sub(gauge)) / f64::from(wire.steps);
            Some(wire.first_in * wire.ratio.powf(steps))
        };
        self.inches.get(&number).copied().or_else(by_weight).or_else(by_rule).map(|inches| inches * 25.4)
    }

    /// The gauges it lists.
    #[must_use]
    pub fn gauges(&self) -> Vec<u32> {
        let mut all: Vec<u32> = self.lb_ft2.keys().chain(self.inches.keys()).filter_map(|n| n.parse().ok()).collect();
        all.extend(self.wire.iter().flat_map(|w| w.thickest..=w.first_gauge));
        all.sort_unstable();
        all
    }
}

/// Why a gauge has no thickness.
#[derive(Debug, thiserror::Error)]
pub enum GaugeError {
    /// A gauge that the table does not list.
    #[error("{metal} sheet has no gauge {gauge}; listed are {listed}; give the thickness instead")]
    NotListed {
        /// The metal.
        metal: String,
        /// The gauge that was asked for.
        gauge: u32,
        /// The gauges there are.
        listed: String,
    },
    /// The metal or its table is wrong.
    #[error(transparent)]
    Profile(#[from] ProfileError),
}

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MetalFile {
    metal: Vec<Metal>,
}

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct GaugeFile {
    table: Vec<GaugeTable>,
}

impl Checked for MetalFile {
    fn check(&self) -> Result<(), Impossible> {
        for (i, metal) in self.metal.iter().enumerate() {
            let spreads = [
                ("yield_mpa", metal.yield_mpa),
                ("tensile_mpa", metal.tensile_mpa),
                ("shear_share", metal.shear_share),
            ];
            for (key, spread) in spreads {
                ensure(spread.holds(), &format!("metal.{i}.{key}"), "must have 0 < low <= likely <= high")?;
            }
            let below = metal.yield_mpa.likely < metal.tensile_mpa.likely;
            ensure(below, &format!("metal.{i}.yield_mpa"), "must be less than the tensile strength")?;
        }
        Ok(())
    }
}

impl Checked for GaugeFile {
    fn check(&self) -> Result<(), Impossible> {
        for (i, table) in self.table.iter().enumerate() {
            let values = table.lb_ft2.values().chain(table.inches.values()).chain(&table.lb_ft2_per_in);
            ensure(values.copied().all(|v| v > 0.0), &format!("table.{i}"), "must hold numbers greater than 0")?;
            // Before anybody lists them: a gauge of nine digits is a slip, and a list of so many never ends.
            let few = table.wire.as_ref().is_none_or(|wire| wire.first_gauge <= MOST_GAUGE);
            ensure(few, &format!("table.{i}.wire.first_gauge"), &format!("must be at most {MOST_GAUGE}"))?;
            ensure(!table.gauges().is_empty(), &format!("table.{i}"), "must list at least one gauge")?;
            let weighed = table.lb_ft2.is_empty() || table.lb_ft2_per_in.is_some();
            ensure(weighed, &format!("table.{i}.lb_ft2"), "needs lb_ft2_per_in beside it")?;
        }
        Ok(())
    }
}

fn gauge_tables() -> Result<Vec<GaugeTable>, ProfileError> {
    let found = find_profile(Kind::Sheet, "gauges", &[])?;
    Ok(read_profile::<GaugeFile>(&found.text, &found.origin)?.table)
}

impl Metal {
    /// Every built-in metal.
    ///
    /// # Errors
    /// Where the built-in file is wrong, which a test excludes.
    pub fn built_in() -> Result<Vec<Self>, ProfileError> {
        let found = find_profile(Kind::Sheet, "metals", &[])?;
        Ok(read_profile::<MetalFile>(&found.text, &found.origin)?.metal)
    }

    /// A built-in metal by name.
    ///
    /// # Errors
    /// Where there is none of that name.
    pub fn load(name: &str) -> Result<Self, ProfileError> {
        let wanted = plain_name(name);
        let all = Self::built_in()?;
        let names: Vec<&str> = all.iter().map(|m| m.name.as_str()).collect();
        let missing = not_found("metal", name, &names);
        all.into_iter().find(|m| m.name == wanted || m.also.contains(&wanted)).ok_or(missing)
    }

    /// Thickness of its sheet by gauge, mm.
    ///
    /// # Errors
    /// Where its table has no such gauge.
    pub fn gauge_mm(&self, gauge: u32) -> Result<f64, GaugeError> {
        let tables = gauge_tables()?;
        let table = tables.iter().find(|t| t.name == self.gauge_table);
        let Some(table) = table else {
            let names: Vec<&str> = tables.iter().map(|t| t.name.as_str()).collect();
            return Err(not_found("gauge table", &self.gauge_table, &names).into());
        };
        table.thickness_mm(gauge).ok_or_else(|| {
            let listed = table.gauges().iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
            GaugeError::NotListed { metal: self.name.clone(), gauge, listed }
        })
    }

    /// Shear strength, MPa.
    #[must_use]
    pub fn shear_mpa(&self) -> Spread {
        self.tensile_mpa.times(self.shear_share)
    }
}

/// A built-in gauge table by name.
///
/// # Errors
/// Where there is none of that name.
pub fn gauge_table(name: &str) -> Result<GaugeTable, ProfileError> {
    let tables = gauge_tables()?;
    let names: Vec<&str> = tables.iter().map(|t| t.name.as_str()).collect();
    let missing = not_found("gauge table", name, &names);
    let wanted = plain_name(name);
    tables.into_iter().find(|t| t.name == wanted).ok_or(missing)
}

#[cfg(test)]
mod tests {
    use super::super::check_profile;

    #[test]
    fn a_wire_gauge_ends_somewhere() {
        let with = |first_gauge: u32| {
            let wire = format!("first_in = 0.005, first_gauge = {first_gauge}, ratio = 92, steps = 39, thickest = 6");
            check_profile(&format!("[[table]]\nname = \"wire\"\nwire = {{ {wire} }}\n"), "gauges.toml")
        };
        assert!(with(36).is_ok() && with(100).is_ok());
        let refused = with(101).expect_err("no gauge is as high").to_string();
        assert!(refused.contains("first_gauge") && refused.contains("at most 100"), "{refused}");
    }
}
