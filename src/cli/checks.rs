//! What the user wants checked: a strength profile and load cases.

use super::outcome::Trouble;
use super::shop::ShopDefaults;
use beadwise::profile::{LoadCases, StrengthProfile, read_profile};
use clap::Args;

/// Options that ask for a check; the same for every command that judges a print.
#[derive(Debug, Clone, Args)]
pub struct CheckArguments {
    /// Check a strength profile: a built-in name (press-tool, clamp-jaw, holder ...) or a TOML file.
    #[arg(long = "for", value_name = "PROFILE")]
    pub strength_profile: Option<String>,
    /// Check a load: a TOML file, - for standard input (`beadwise load KIND ... --format case |`), or a line such as
    /// "press; force = 6.8 kN; face = top; ring = 25.8 x 29.8".
    #[arg(long = "load", value_name = "FILE|CASE")]
    pub loads: Vec<String>,
    /// Reserve wanted on low values; the strength profile's, or 3.
    #[arg(long, value_name = "NUMBER")]
    pub reserve: Option<f64>,
}

/// Cases by name, path or line; `-` reads TOML from standard input, as `beadwise load --format case` writes it.
fn load_cases(text: &str, shop: &ShopDefaults) -> Result<LoadCases, Trouble> {
    if text != "-" {
        return Ok(LoadCases::load_in(text, &shop.folders)?);
    }
    let toml = std::io::read_to_string(std::io::stdin())
        .map_err(|error| Trouble::Arguments(format!("cannot read the load case from standard input: {error}")))?;
    Ok(read_profile(&toml, "standard input")?)
}

/// Factor 3 to 4 on a mean strength for a jig (common practice).
const USUAL_RESERVE: f64 = 3.0;

/// What is to be checked.
#[derive(Debug, Clone)]
pub struct Checks {
    /// The strength profile.
    pub strength: Option<StrengthProfile>,
    /// The load cases.
    pub cases: LoadCases,
    /// Reserve wanted for them.
    pub reserve: f64,
}

impl CheckArguments {
    /// Loads what was named.
    pub fn load(&self, shop: &ShopDefaults) -> Result<Checks, Trouble> {
        let strength = shop.strength_profile(self.strength_profile.as_deref())?;
        let mut cases = LoadCases { case: Vec::new() };
        for text in &self.loads {
            cases.case.extend(load_cases(text, shop)?.case);
        }
        let reserve = self.reserve.or(strength.as_ref().map(|s| s.reserve)).unwrap_or(USUAL_RESERVE);
        if !(reserve >= 1.0 && reserve.is_finite()) {
            return Err(Trouble::Arguments(format!(
                "--reserve {reserve}: 1 is the edge of failure; ask for at least 1"
            )));
        }
        Ok(Checks { strength, cases, reserve })
    }
}
