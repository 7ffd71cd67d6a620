//! What was measured, held against what was laid.

use crate::case::Case;
use beadwise::measure::{LayerMeasure, PrintMeasures, Setup, measure_print};
use beadwise::profile::Machine;
use beadwise::rebead::TrueLayer;
use beadwise::shape::Access;

/// A smaller core than this has too few lines to speak of its density, mm².
const LEAST_CORE_MM2: f64 = 30.0;

/// What is wrong with a measurement, in words.
#[derive(Default)]
pub struct Wrong(pub Vec<String>);

impl Wrong {
    fn near(&mut self, what: impl FnOnce() -> String, got: Option<f64>, wanted: f64, within: f64) {
        match got {
            Some(got) if (got - wanted).abs() <= within => {}
            _ => self.0.push(format!("{}: {got:?}, not {wanted}", what())),
        }
    }
}

/// A bench with room for every part, and nothing said about materials.
pub fn setup() -> Result<Setup, String> {
    let machine: Machine = toml::from_str("name = 'bench'\nbed_mm = [250, 250]").map_err(|e| e.to_string())?;
    Ok(Setup { detail: true, strict: true, ..Setup::of(machine) })
}

pub fn measured(text: &str) -> Result<PrintMeasures, String> {
    measure_print(text.as_bytes(), &setup()?, &mut |_| {}).map_err(|e| e.to_string())
}

/// Everything that is measured otherwise than it was laid.
pub fn wrong_in(case: &Case, text: &str) -> Vec<String> {
    let print = match measured(text) {
        Ok(print) => print,
        Err(error) => return vec![error],
    };
    let mut wrong = Wrong::default();
    totals(case, &print, &mut wrong);
    pockets(case, &print, &mut wrong);
    if print.layers.len() == case.truth.layers.len() {
        for (got, truth) in print.layers.iter().zip(&case.truth.layers) {
            layer(got, truth, &mut wrong);
        }
    }
    wrong.0
}

fn totals(case: &Case, print: &PrintMeasures, wrong: &mut Wrong) {
    let truth = &case.truth;
    let filament = truth.filament_mm.values().sum::<f64>();
    wrong.near(|| "filament".into(), Some(print.totals.filament_mm), filament, 1e-3 * filament);
    wrong.near(|| "volume".into(), Some(print.totals.volume_mm3), truth.volume_mm3, 1e-3 * truth.volume_mm3);
    wrong.near(|| "layers".into(), Some(print.layers.len() as f64), truth.layers.len() as f64, 0.0);
    wrong.near(|| "bead width".into(), print.part.bead_width_mm, truth.bead_width_mm, 0.01);
    let cored = || truth.layers.iter().filter(|l| l.core_mm2 > 0.0);
    let pure = cored().filter(|l| l.solid_mm2 == 0.0 && l.core_mm2 > LEAST_CORE_MM2).count();
    if let Some(density) = truth.core_density.filter(|d| *d > 0.0 && 2 * pure > cored().count()) {
        wrong.near(|| "core of the part".into(), print.part.core_density, density, 0.02);
    }
    skins(case, print, wrong);
    if !(print.totals.time.moving_s() > 0.0 && print.totals.time.total_s().is_finite()) {
        wrong.0.push(format!("time {:?}", print.totals.time));
    }
}

/// Skins show where a core that is open enough to tell lies behind them.
fn skins(case: &Case, print: &PrintMeasures, wrong: &mut Wrong) {
    let truth = &case.truth;
    let cored = truth.layers.iter().filter(|l| l.core_mm2 > LEAST_CORE_MM2 && l.solid_mm2 == 0.0).count();
    if cored < 2 || !truth.core_density.is_some_and(|d| d < 0.7) {
        return;
    }
    for (name, side, wanted) in [
        ("top skins", &print.part.skins.top, truth.top_skins),
        ("bottom skins", &print.part.skins.bottom, truth.bottom_skins),
    ] {
        wrong.near(|| name.into(), side.layers.map(f64::from), f64::from(wanted), 0.0);
        let thinnest = side.thinnest.map(|p| f64::from(p.layers));
        wrong.near(|| format!("thinnest of {name}"), thinnest, f64::from(wanted), 0.0);
    }
}

fn pockets(case: &Case, print: &PrintMeasures, wrong: &mut Wrong) {
    let closed: Vec<_> = print.pockets.iter().filter(|p| p.access == Access::Closed).collect();
    wrong.near(|| "closed pockets".into(), Some(closed.len() as f64), case.truth.pockets.len() as f64, 0.0);
    for (got, truth) in closed.iter().zip(&case.truth.pockets) {
        wrong.near(|| "pocket x".into(), Some(got.centre.x), truth.cx_mm, 0.1);
        wrong.near(|| "pocket y".into(), Some(got.centre.y), truth.cy_mm, 0.1);
        wrong.near(|| "pocket size".into(), Some(got.size_mm), truth.size_mm, 0.15);
        wrong.near(|| "pocket floor".into(), Some(got.floor_z_mm), truth.floor_z_mm, 2e-3);
        wrong.near(|| "pocket roof".into(), got.roof_z_mm, truth.roof_z_mm, 2e-3);
        let stop = got.stop_after_layer.map(|l| l as f64);
        wrong.near(|| "layer to stop after".into(), stop, truth.stop_after_layer as f64, 0.0);
        if got.shape.word() != truth.shape {
            wrong.0.push(format!("pocket is {}, not {}", got.shape.word(), truth.shape));
        }
    }
}

fn layer(got: &LayerMeasure, truth: &TrueLayer, wrong: &mut Wrong) {
    let name = |what: &'static str| move || format!("layer {} {what}", got.index);
    wrong.near(name("top"), Some(got.z_mm), truth.z_mm, 2e-3);
    wrong.near(name("height"), Some(got.height_mm), truth.height_mm, 2e-3);
    wrong.near(name("volume"), Some(got.volume_mm3), truth.part_mm3, 2e-3 * truth.part_mm3);
    wrong.near(name("outline"), got.outline_area_mm2, truth.outline_mm2, 5e-3 * truth.outline_mm2);
    wrong.near(name("median walls"), got.walls_median.map(f64::from), f64::from(truth.walls), 0.0);
    wrong.near(name("least walls"), got.walls_min.map(|m| f64::from(m.0)), f64::from(truth.walls), 0.0);
    if !(got.time_s > 0.0 && got.time_s.is_finite()) {
        wrong.0.push(format!("layer {} time {}", got.index, got.time_s));
    }
    if let Some(density) = truth.core_density.filter(|d| *d > 0.0 && truth.core_mm2 > LEAST_CORE_MM2) {
        wrong.near(name("core"), got.core_density, density, 0.02);
    }
}
