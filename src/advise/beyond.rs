//! What settings cannot mend: the way the layers lie, the material, the section, a piece of steel.

use super::bench::{Bench, Offer, least_reserve};
use super::search::strength;
use crate::measure::MeasureError;
use crate::profile::{Axis, LoadCase, Machine, Material};
use crate::strength::load::BoltSize;
use crate::strength::{CaseResult, Mode};

/// Proof strength of a bolt of class 8.8 up to M16, MPa (ISO 898-1, read second-hand).
const PROOF_8_8_MPA: f64 = 580.0;

/// Bolts that are looked at, smallest first.
const BOLTS: [&str; 8] = ["M3", "M4", "M5", "M6", "M8", "M10", "M12", "M16"];

/// What may help where settings do not.
#[derive(Debug, Clone, PartialEq)]
pub enum Beyond {
    /// The load pulls the layers apart: lay the part so that it runs along them.
    TurnThePart {
        /// Which load.
        case: String,
        /// Strength along a bead over strength across layers, by the material's card (low values).
        times: f64,
    },
    /// Another material that the machine can print.
    Material {
        /// Its name.
        name: String,
        /// It is laid with the file's own settings; else with the strongest that were tried.
        own_settings: bool,
        /// Reserve with those settings.
        reserve: f64,
        /// Mass, g.
        mass_g: Option<f64>,
    },
    /// The part itself must be bigger.
    BiggerSection {
        /// Which load.
        case: String,
        /// What the wanted reserve is over what was reached.
        lacking: f64,
        /// How much bigger the section must be in both directions.
        size_times: f64,
        /// What has to grow.
        mode: Mode,
    },
    /// A steel bolt through the part that takes the whole pull.
    Bolt {
        /// Which load.
        case: String,
        /// The smallest that holds with the wanted reserve.
        size: &'static str,
        /// What it holds without stretching, N.
        proof_n: f64,
    },
    /// Steel under the place that is pressed.
    SteelFace {
        /// Which load.
        case: String,
        /// How much wider it must spread the load, in area.
        area_times: f64,
    },
}

/// What may help beyond the settings. `own` are the file's settings; `reached` those that hold, or else the strongest.
pub(super) fn beyond(
    bench: &Bench<'_>,
    own: &Offer,
    reached: &Offer,
    needed: f64,
    others: &[Material],
) -> Result<Vec<Beyond>, MeasureError> {
    let mut found = Vec::new();
    for (case, asked) in reached.cases.iter().zip(&bench.asked.cases.case) {
        if case.reserve().is_some_and(|reserve| reserve < needed) {
            found.extend(for_case(bench, case, asked, needed));
        }
    }
    // Where the file already holds, another material is no advice; where no settings hold, it is asked of the best.
    let short = |offer: &Offer| offer.reserve().is_some_and(|reserve| reserve < needed);
    if short(reached) {
        found.extend(materials(bench, reached, others, reached.choice == own.choice)?);
    } else if short(own) {
        found.extend(materials(bench, own, others, true)?);
    }
    Ok(found)
}

fn for_case(bench: &Bench<'_>, case: &CaseResult, asked: &LoadCase, needed: f64) -> Vec<Beyond> {
    let (Some(worst), Some(reserve)) = (case.governing(), case.reserve()) else { return Vec::new() };
    let mut found = Vec::new();
    let name = || case.name.clone();
    let across = worst.mode == Mode::AcrossLayers || (worst.mode == Mode::Bending && asked.axis == Some(Axis::Z));
    if across && let Some(times) = gain_by_turning(bench, &case.material) {
        found.push(Beyond::TurnThePart { case: name(), times });
    }
    if worst.mode == Mode::AcrossLayers && !case.is_torque {
        found.extend(bolt_for(needed * case.load).map(|(size, proof_n)| Beyond::Bolt { case: name(), size, proof_n }));
    }
    let lacking = needed / reserve;
    if matches!(worst.mode, Mode::PressedFace | Mode::Bearing | Mode::SkinBending) {
        found.push(Beyond::SteelFace { case: name(), area_times: lacking });
    } else {
        let size_times = lacking.powf(1.0 / grows_with(worst.mode));
        found.push(Beyond::BiggerSection { case: name(), lacking, size_times, mode: worst.mode });
    }
    found
}

/// With which power of a section's size its capacity grows: an area with the square, a section modulus with the cube.
const fn grows_with(mode: Mode) -> f64 {
    match mode {
        Mode::Bending | Mode::Twisting => 3.0,
        // Euler: the second moment of area, the fourth power.
        Mode::Column => 4.0,
        _ => 2.0,
    }
}

/// Strength along a bead over strength across layers, low values.
fn gain_by_turning(bench: &Bench<'_>, material: &str) -> Option<f64> {
    let materials = bench.setup.materials.values().chain(&bench.setup.material);
    let card = materials.into_iter().find(|m| m.name == material)?;
    let strengths = card.strength_mpa.as_ref()?;
    Some(strengths.along.low / strengths.across.low).filter(|times| *times > 1.0)
}

/// The smallest bolt whose proof load is at least this, N.
fn bolt_for(force_n: f64) -> Option<(&'static str, f64)> {
    BOLTS.into_iter().find_map(|name| {
        let proof_n = PROOF_8_8_MPA * BoltSize::named(name)?.stress_area_mm2();
        (proof_n >= force_n).then_some((name, proof_n))
    })
}

/// Materials that the machine can print and that bear more than the file's, with the settings of an offer.
fn materials(
    bench: &Bench<'_>,
    own: &Offer,
    others: &[Material],
    own_settings: bool,
) -> Result<Vec<Beyond>, MeasureError> {
    let Some(before) = strength(own) else { return Ok(Vec::new()) };
    let fresh = |m: &&Material| own.cases.iter().all(|case| case.material != m.name);
    let fit: Vec<&Material> = others.iter().filter(|m| printable(m, &bench.setup.machine)).filter(fresh).collect();
    let judged = bench.judged_as(&own.choice, &fit)?;
    let better = fit.iter().zip(judged).filter_map(|(material, cases)| {
        let reserve = least_reserve(&cases).filter(|reserve| *reserve > before)?;
        let mass_g = Some(material.mass_g(own.volume_mm3));
        Some(Beyond::Material { name: material.name.clone(), own_settings, reserve, mass_g })
    });
    let mut better: Vec<Beyond> = better.collect();
    let reserve_of = |b: &Beyond| if let Beyond::Material { reserve, .. } = b { *reserve } else { 0.0 };
    better.sort_by(|a, b| reserve_of(b).total_cmp(&reserve_of(a)));
    // Those that hold; where none does, the strongest.
    let holding = better.iter().filter(|b| reserve_of(b) >= bench.asked.reserve).count();
    better.truncate(holding.max(1));
    Ok(better)
}

/// Whether a machine has what a material needs.
fn printable(material: &Material, machine: &Machine) -> bool {
    let needs = &material.needs;
    let temperatures = material.temperature_c.as_ref();
    let reaches = |span: Option<[f64; 2]>, most: Option<f64>| match (span, most) {
        (Some([least, _]), Some(most)) => least <= most,
        _ => true,
    };
    (machine.enclosed || !needs.enclosure)
        && (machine.nozzle_hardened || !needs.hardened_nozzle)
        && !(machine.changer && needs.own_feed)
        && reaches(temperatures.and_then(|t| t.nozzle), machine.nozzle_max_c)
        && reaches(temperatures.and_then(|t| t.bed), machine.bed_max_c)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_smallest_bolt_that_holds() {
        // ISO 898-1: M5 14.2 mm², M6 20.1 mm²; times 580 MPa 8.24 and 11.7 kN.
        let (name, proof_n) = bolt_for(9000.0).unwrap();
        assert_eq!(name, "M6");
        assert!((proof_n - 11_670.0).abs() < 30.0, "{proof_n}");
        assert_eq!(bolt_for(1e6), None);
    }

    #[test]
    fn an_open_machine_with_a_soft_nozzle_prints_no_carbon_fibre() {
        let machine = Machine::load("open-small").unwrap();
        assert!(printable(&Material::load("petg").unwrap(), &machine));
        assert!(!printable(&Material::load("petg-cf").unwrap(), &machine));
        assert!(!printable(&Material::load("abs").unwrap(), &machine));
        assert!(printable(&Material::load("petg-cf").unwrap(), &Machine::load("enclosed-mid").unwrap()));
    }
}
