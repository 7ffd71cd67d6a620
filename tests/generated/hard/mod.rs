//! Shapes and ways of printing that are hard to read: what was laid must be measured back, and a file without a
//! single comment must give the same audit.

pub mod beside;
pub mod bodies;
pub mod narrow;
pub mod odd;

use crate::alike;
use crate::case::Case;
use crate::held::measured;
use beadwise::measure::{LayerMeasure, PrintMeasures};
use beadwise::profile::Role;
use beadwise::rebead::{Dialect, TrueLayer, Words};
use beadwise::shape::Access;

/// What must hold of one place on a layer's outline: counted and measured from laid strands.
#[derive(Debug, Clone, Copy)]
pub struct Spot {
    pub layer: usize,
    pub at: beadwise::geom::Point,
    pub walls: u32,
    pub thickness_mm: f64,
}

/// One hard case.
pub struct Hard {
    pub case: Case,
    /// All edges of a layer have as many walls as were asked for.
    pub even_walls: bool,
    pub spots: Vec<Spot>,
    /// Plastic beyond the beads: a second tool is primed once without having been held back, mm³.
    pub primed_mm3: f64,
}

impl Hard {
    pub fn new(case: Case) -> Self {
        Self { case, even_walls: true, spots: Vec::new(), primed_mm3: 0.0 }
    }

    pub fn name(&self) -> String {
        let s = &self.case.settings;
        format!(
            "{}: {} walls of {} mm, {:?}, {:?}, {:?}, brim {}, skirt {}",
            self.case.shape, s.walls, s.bead_width_mm, s.core, s.wall_order, s.seam, s.brim_loops, s.skirt_loops
        )
    }
}

#[derive(Default)]
struct Wrong(Vec<String>);

impl Wrong {
    fn near(&mut self, what: impl Fn() -> String, got: Option<f64>, wanted: f64, within: f64) {
        if !got.is_some_and(|got| (got - wanted).abs() <= within) {
            self.0.push(format!("{}: {got:?}, not {wanted:.4}", what()));
        }
    }
}

/// Roles as they are compared without comments: walls of any kind, and the sparse core.
const GROUPS: [(&str, &[Role]); 2] =
    [("walls", &[Role::OuterWall, Role::InnerWall, Role::GapFill]), ("core", &[Role::SparseInfill])];

/// What is measured otherwise than it was laid, with comments and without.
pub fn wrong_about(hard: &Hard) -> Vec<String> {
    let spoken = hard.case.in_dialect(Dialect { words: Words::Plain, ..hard.case.dialect.clone() });
    let bare =
        hard.case.in_dialect(Dialect { words: Words::Silent, layer_comments: false, ..hard.case.dialect.clone() });
    let (spoken, bare) = match (measured(&spoken), measured(&bare)) {
        (Ok(spoken), Ok(bare)) => (spoken, bare),
        (Err(error), _) | (_, Err(error)) => return vec![error],
    };
    let mut wrong = Wrong::default();
    against_truth(hard, &spoken, &mut wrong);
    shares(hard, &bare, &mut wrong);
    wrong.0.extend(alike::shape_differences(&spoken, &bare).into_iter().map(|d| format!("without comments, {d}")));
    wrong.0
}

fn against_truth(hard: &Hard, print: &PrintMeasures, wrong: &mut Wrong) {
    let truth = &hard.case.truth;
    let volume = truth.volume_mm3 + hard.primed_mm3;
    wrong.near(|| "volume".into(), Some(print.totals.volume_mm3), volume, 1e-3 * volume);
    wrong.near(|| "layers".into(), Some(print.layers.len() as f64), truth.layers.len() as f64, 0.0);
    let closed = print.pockets.iter().filter(|p| p.access == Access::Closed).count();
    wrong.near(|| "closed pockets".into(), Some(closed as f64), truth.pockets.len() as f64, 0.0);
    if print.layers.len() != truth.layers.len() {
        return;
    }
    for (got, truth) in print.layers.iter().zip(&truth.layers) {
        layer(hard, got, truth, wrong);
    }
    for spot in &hard.spots {
        let samples = &print.layers[spot.layer].wall_samples;
        let off = |s: &&beadwise::shape::WallSample| s.at.distance(spot.at);
        let nearest = samples.iter().min_by(|a, b| off(a).total_cmp(&off(b))).filter(|s| off(s) < 1.0);
        let name = |what: &'static str| move || format!("{what} at {:?} of layer {}", spot.at, spot.layer);
        wrong.near(name("walls"), nearest.map(|s| f64::from(s.count)), f64::from(spot.walls), 0.0);
        wrong.near(name("thickness"), nearest.map(|s| s.thickness_mm), spot.thickness_mm, 0.05);
    }
}

fn layer(hard: &Hard, got: &LayerMeasure, truth: &TrueLayer, wrong: &mut Wrong) {
    let name = |what: &'static str| move || format!("layer {} {what}", got.index);
    wrong.near(name("top"), Some(got.z_mm), truth.z_mm, 2e-3);
    wrong.near(name("height"), Some(got.height_mm), truth.height_mm, 2e-3);
    wrong.near(name("volume"), Some(got.volume_mm3), truth.part_mm3, 2e-3 * truth.part_mm3);
    wrong.near(name("outline"), got.outline_area_mm2, truth.outline_mm2, 5e-3 * truth.outline_mm2);
    if hard.even_walls {
        wrong.near(name("median walls"), got.walls_median.map(f64::from), f64::from(truth.walls), 0.0);
        wrong.near(name("least walls"), got.walls_min.map(|m| f64::from(m.0)), f64::from(truth.walls), 0.0);
    }
    if let Some(density) = truth.core_density.filter(|d| *d > 0.0 && truth.core_mm2 > 30.0) {
        wrong.near(name("core"), got.core_density, density, 0.02);
    }
}

fn shares(hard: &Hard, bare: &PrintMeasures, wrong: &mut Wrong) {
    let truth = &hard.case.truth;
    for (name, roles) in GROUPS {
        let laid: f64 = roles.iter().filter_map(|r| truth.volume_by_role_mm3.get(r.word())).sum();
        let seen: f64 = bare.roles.iter().filter(|r| roles.contains(&r.role)).map(|r| r.volume_mm3).sum();
        let share = |volume: f64| volume / truth.volume_mm3;
        wrong.near(|| format!("without comments, share of {name}"), Some(share(seen)), share(laid), 0.03);
    }
}
