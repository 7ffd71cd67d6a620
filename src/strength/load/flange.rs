//! Flanging (dimpling) a hole: a punch raises the rim of a hole into a collar.
//!
//! ```text
//!        ___        ___
//!   ____/   |  D   |   \____    D: mean diameter of the collar
//!           |<---->|            d: the hole before
//! ```

use super::{Acts, JobLoad, LoadError, force, n4, positive, positive_spread};
use crate::profile::Spread;
use std::f64::consts::PI;

/// Shape of the punch's nose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FlangePunch {
    /// A cylinder with a flat end.
    Flat,
    /// A cone or a ball.
    Cone,
}

/// A hole to be flanged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flange {
    /// Sheet thickness t, mm.
    pub thickness_mm: f64,
    /// Yield strength of the sheet, MPa.
    pub yield_mpa: Spread,
    /// Mean diameter D of the collar, mm.
    pub diameter_mm: f64,
    /// Diameter d of the hole before, mm; 0 where there is none.
    pub hole_mm: f64,
    /// The hole is made before; else the punch tears it open.
    pub pierced: bool,
    /// The punch.
    pub punch: FlangePunch,
}

/// Share of the load that a conical or spherical punch needs, by hole and collar; the lecture gives the range only.
const CONE_SHARE: Spread = Spread { low: 0.05, likely: 0.15, high: 0.25 };
/// How much more an unpierced sheet asks.
const UNPIERCED: Spread = Spread { low: 1.33, likely: 1.54, high: 1.75 };

const SOURCE: &str = "stamping lecture of Xihua University, section on flanging (read second-hand); the same form is credited to \
                      Romanovskii and stands in Lange and Schuler (from memory)";

impl Flange {
    /// The press force.
    ///
    /// Flat punch: F = 1.1 π t σ (D - d); conical or spherical: F = 1.2 π t D m σ with m from 0.05 to 0.25; without
    /// a hole made before, 1.33 to 1.75 times as much. σ is the yield strength. Source: see the text.
    ///
    /// # Errors
    /// Where a size is not positive, or the hole is not smaller than the collar.
    pub fn load(&self) -> Result<JobLoad, LoadError> {
        let t = positive(self.thickness_mm, "the thickness")?;
        let d = positive(self.diameter_mm, "the diameter")?;
        let stress = positive_spread(self.yield_mpa, "the yield strength")?;
        if !(self.hole_mm >= 0.0 && self.hole_mm < d) {
            let message = format!(
                "the hole ({} mm) must be smaller than the flange's mean diameter ({} mm)",
                n4(self.hole_mm),
                n4(d)
            );
            return Err(LoadError::Contradiction(message));
        }
        if self.pierced && self.hole_mm == 0.0 {
            return Err(LoadError::Missing { what: "the hole", how: "give its diameter, or say that there is none" });
        }
        let (factor, mut formula) = match self.punch {
            FlangePunch::Flat => flat(t, d, self.hole_mm, stress.likely),
            FlangePunch::Cone => cone(t, d, stress.likely),
        };
        let mut force_n = stress.times(factor);
        if !self.pierced {
            force_n = force_n.times(UNPIERCED);
            formula = format!("{formula}; no hole before: 1.33 to 1.75 times as much = {}", force(force_n.likely));
        }
        let acts = Acts::Ring { inner_mm: d, outer_mm: d + 4.0 * t };
        Ok(JobLoad {
            kind: "flange",
            force_n,
            formula,
            source: SOURCE.to_owned(),
            beside: Vec::new(),
            minds: self.minds(),
            acts,
        })
    }

    fn minds(&self) -> Vec<String> {
        let mut minds = vec![
            "no ironing is reckoned: with too little clearance between punch and die the force rises (Kacem, Krichen and Manach, \
             J. Mater. Process. Technol. 211 (2011) 1606)"
                .to_owned(),
            "the contact ring of the load case is two thicknesses wide (from memory): put your die's bore and contact in its place"
                .to_owned(),
        ];
        let ratio = self.hole_mm / self.diameter_mm;
        if self.pierced && ratio < 0.65 {
            minds.push(format!(
                "hole over flange is {}: mild steel tends to crack below about 0.65 to 0.75; drill and deburr the hole (Lange; Schuler; \
                 from memory)",
                n4(ratio)
            ));
        }
        if !self.pierced {
            minds.push("without a hole made before the rim tears: expect cracks and a ragged edge".to_owned());
        }
        minds
    }
}

/// Newtons for each MPa of yield, and the formula at the likely yield.
fn flat(t: f64, d: f64, hole: f64, stress: f64) -> (Spread, String) {
    let factor = 1.1 * PI * t * (d - hole);
    let formula = format!(
        "F = 1.1 π t σ (D - d) = 1.1 × π × {} mm × {} MPa × ({} mm - {} mm) = {}",
        n4(t),
        n4(stress),
        n4(d),
        n4(hole),
        force(factor * stress)
    );
    (Spread::exactly(factor), formula)
}

fn cone(t: f64, d: f64, stress: f64) -> (Spread, String) {
    let factor = CONE_SHARE.scaled(1.2 * PI * t * d);
    let formula = format!(
        "F = 1.2 π t D m σ = 1.2 × π × {} mm × {} mm × 0.15 × {} MPa = {} (m from 0.05 to 0.25)",
        n4(t),
        n4(d),
        n4(stress),
        force(factor.likely * stress)
    );
    (factor, formula)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    /// Case A of the lecture's formula: t 1, yield 200, D 20, d 12 (numbers computed).
    fn case_a() -> Flange {
        Flange {
            thickness_mm: 1.0,
            yield_mpa: Spread::exactly(200.0),
            diameter_mm: 20.0,
            hole_mm: 12.0,
            pierced: true,
            punch: FlangePunch::Flat,
        }
    }

    #[test]
    fn a_flat_punch_by_the_lecture() {
        let load = case_a().load().unwrap();
        assert_relative_eq!(load.force_n.likely, 5529.203, max_relative = 1e-6);
        assert!(load.formula.contains("1.1 × π × 1 mm × 200 MPa × (20 mm - 12 mm) = 5.529 kN"), "{}", load.formula);
        assert!(load.minds.iter().any(|m| m.contains("crack")), "12/20 is below 0.65");
    }

    #[test]
    fn shop_cases_in_inches_and_gauges() {
        // Case B: 18 gauge, t 0.0478 in, yield 170 MPa, D 1 in, d 0.625 in: 6.79 kN (1527 lbf).
        let b = Flange {
            thickness_mm: 0.0478 * 25.4,
            yield_mpa: Spread::exactly(170.0),
            diameter_mm: 25.4,
            hole_mm: 0.625 * 25.4,
            ..case_a()
        };
        let force = b.load().unwrap().force_n.likely;
        assert_relative_eq!(force, 6790.0, max_relative = 1e-3);
        assert_relative_eq!(force / 4.448_221_6, 1527.0, max_relative = 1e-3);
        // Case C: 16 gauge, 1.519 mm, yield 250 MPa, D 25, d 15 mm: 13.12 kN (1.48 US ton).
        let c = Flange {
            thickness_mm: 1.519,
            yield_mpa: Spread::exactly(250.0),
            diameter_mm: 25.0,
            hole_mm: 15.0,
            ..case_a()
        };
        let force = c.load().unwrap().force_n.likely;
        assert_relative_eq!(force, 13_120.0, max_relative = 1e-3);
        assert_relative_eq!(force / 8896.443, 1.48, max_relative = 5e-3);
    }

    #[test]
    fn a_cone_needs_less_and_no_hole_more() {
        // The lecture's ranges: m 0.05 to 0.25 gives 0.754 to 3.770 kN; no hole 7.35 to 9.68 kN for case A.
        let cone = Flange { punch: FlangePunch::Cone, ..case_a() }.load().unwrap().force_n;
        assert_relative_eq!(cone.low, 754.0, max_relative = 1e-3);
        assert_relative_eq!(cone.high, 3770.0, max_relative = 1e-3);
        let torn = Flange { pierced: false, ..case_a() }.load().unwrap().force_n;
        assert_relative_eq!(torn.low, 7354.0, max_relative = 1e-3);
        assert_relative_eq!(torn.high, 9676.0, max_relative = 1e-3);
    }

    #[test]
    fn aluminium_asks_less_than_steel_of_the_same_thickness() {
        // Fact of the trade (common practice, no source); 5052-H32 in 18 gauge by its own table: 6.5 kN.
        let by = |yield_mpa, thickness_mm| {
            let flange = Flange {
                thickness_mm,
                yield_mpa: Spread::exactly(yield_mpa),
                diameter_mm: 25.4,
                hole_mm: 15.9,
                ..case_a()
            };
            flange.load().unwrap().force_n.likely
        };
        assert!(by(160.0, 1.214) < by(170.0, 1.214));
        assert_relative_eq!(by(193.0, 1.024), 6490.0, max_relative = 5e-3);
    }

    #[test]
    fn what_cannot_be_is_refused() {
        assert!(matches!(Flange { hole_mm: 20.0, ..case_a() }.load(), Err(LoadError::Contradiction(_))));
        assert!(matches!(Flange { hole_mm: 0.0, ..case_a() }.load(), Err(LoadError::Missing { .. })));
        assert!(matches!(Flange { thickness_mm: -1.0, ..case_a() }.load(), Err(LoadError::NotPositive { .. })));
        assert!(Flange { diameter_mm: f64::NAN, ..case_a() }.load().is_err());
        assert!(Flange { hole_mm: f64::NAN, ..case_a() }.load().is_err());
    }
}
