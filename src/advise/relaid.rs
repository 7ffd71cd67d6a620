//! A file laid again with the settings it was measured to have.

use super::bench::{Asked, Bench, Offer, Stacked};
use super::choice::Choice;
use super::own_error::OwnError;
use super::stack::settle;
use super::survey::{Survey, survey};
use crate::measure::{LayerMeasure, MeasureError, PrintMeasures, Setup};
use crate::profile::Role;
use crate::rebead::{CoreFill, Settings};
use crate::strength::CaseResult;

/// Core densities closer than this are the same.
const SAME_DENSITY: f64 = 0.004;
/// The same where the density comes from the distance of lines, which is to be believed more than how many of them fall
/// into the core.
const SAME_BY_LINES: f64 = 0.015;
/// A core this full is laid like a skin.
const FULL: f64 = 0.9;
/// How often the part is laid anew until a measure agrees with the file's.
const MOST_TRIMS: usize = 3;
/// Solid fill that differs by less than this share is the same.
const SAME_SOLID: f64 = 0.01;
/// A first reach that leaves more than this share of what is missing does not help.
const LEAST_PROGRESS: f64 = 0.8;
/// The first reach of skins that is tried, and the furthest, mm.
const FIRST_REACH_MM: f64 = 1.0;
const MOST_REACH_MM: f64 = 4.0;

/// A file laid again.
#[derive(Debug, Clone)]
pub struct Relaid {
    /// What it takes to lay it.
    pub survey: Survey,
    /// Density that is laid over density that is then measured.
    pub density_factor: f64,
    /// What it comes to, faults and all.
    pub offer: Offer,
    /// How far that is from the file.
    pub error: OwnError,
}

/// Lays a file again; `measures` and `cases` are what was measured in it and what its loads came to.
///
/// # Errors
/// As for measuring a file.
pub fn lay_again(
    bytes: &[u8],
    setup: &Setup,
    asked: Asked<'_>,
    measures: &PrintMeasures,
    cases: &[CaseResult],
) -> Result<Relaid, MeasureError> {
    let mut survey = survey(bytes, setup, measures);
    settle(&mut survey.slices);
    let choice = Choice::of(&survey, measures.part.core_density);
    let bench = Bench::new(&survey, asked, setup, measures);
    let wanted = measures.part.core_density.unwrap_or(survey.settings.core.density);
    let lay = |settings: &Settings| bench.stacked(&survey.slices, settings);
    let mut settings = survey.settings.clone();
    if let Some(lattice) = survey.lattice {
        settings.core.density = lattice.density;
        settings.core.beside_mm = lattice.beside_mm;
    }
    let mut tried = lay(&settings)?;
    if let Some(reach_mm) = reach_mm(solid_mm3(measures), &settings, tried.measures(), &lay)? {
        settings.skin_reach_mm = reach_mm;
        tried = lay(&settings)?;
    }
    let close_by = if survey.lattice.is_some() { SAME_BY_LINES } else { SAME_DENSITY };
    let off = |tried: &Stacked| tried.measures().part.core_density.map_or(0.0, |found| (found - wanted).abs());
    for _ in 0..MOST_TRIMS {
        let Some(found) = tried.measures().part.core_density.filter(|found| *found > 0.01) else { break };
        if off(&tried) < close_by || settings.core.density >= 0.99 {
            break;
        }
        let density = (settings.core.density * wanted / found).clamp(0.005, 0.99);
        let core = CoreFill { density, beside_mm: CoreFill::default().beside_mm, ..settings.core };
        let next = Settings { core, ..settings.clone() };
        let laid = lay(&next)?;
        if off(&laid) >= off(&tried) {
            break;
        }
        (settings, tried) = (next, laid);
    }
    let (offer, laid) = (bench.judged(&tried, choice)?, tried.measures());
    let error = OwnError::new(measures, cases, &offer, laid);
    let density_factor = if wanted > 0.01 { settings.core.density / wanted } else { 1.0 };
    survey.settings = settings;
    Ok(Relaid { survey, density_factor, offer, error })
}

/// Plastic in solid fill, by motion, mm³. In layers that are full nothing is sparse, however far its lines lie from
/// others of their kind.
fn solid_mm3(measures: &PrintMeasures) -> f64 {
    let solid_in = |layer: &LayerMeasure| -> f64 {
        let full = layer.core_density.is_some_and(|density| density > FULL);
        let is_solid = |role| matches!(role, Role::SolidInfill | Role::Bridge) || (full && role == Role::SparseInfill);
        layer.role_flow.iter().filter(|flow| is_solid(flow.role)).map(|flow| flow.volume_mm3).sum()
    };
    measures.layers.iter().map(solid_in).sum()
}

/// How far skins reach under what stands on them, mm: so far that as much plastic is laid solid as in the file.
/// `None` where that is so without any reach.
fn reach_mm(
    wanted_mm3: f64,
    settings: &Settings,
    without: &PrintMeasures,
    lay: &dyn Fn(&Settings) -> Result<Stacked, MeasureError>,
) -> Result<Option<f64>, MeasureError> {
    let missing = |measures: &PrintMeasures| wanted_mm3 - solid_mm3(measures);
    if !(missing(without) > SAME_SOLID * wanted_mm3) {
        return Ok(None);
    }
    let (mut less, mut more) = ((0.0, missing(without)), (MOST_REACH_MM, f64::NAN));
    let mut at = FIRST_REACH_MM;
    for _ in 0..MOST_TRIMS {
        let laid = lay(&Settings { skin_reach_mm: at, ..settings.clone() })?;
        let left = missing(laid.measures());
        if less.0 == 0.0 && left > LEAST_PROGRESS * less.1 {
            // What is missing is no rim beside a skin.
            return Ok(None);
        }
        if left.abs() < SAME_SOLID * wanted_mm3 {
            break;
        }
        if left > 0.0 {
            less = (at, left)
        } else {
            more = (at, left)
        }
        at = match more.1.is_nan() {
            true => (2.0 * at).min(MOST_REACH_MM),
            false => less.0 + (more.0 - less.0) * less.1 / (less.1 - more.1),
        };
    }
    Ok(Some(at))
}
