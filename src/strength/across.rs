//! What a part bears from layer to layer: pulling, crushing, buckling and bending of an upright part.
//!
//! Not the section but the bond carries: the area over which a layer lies on the one below. A crossed core of density d
//! bonds over d² of its area, one whose lines lie on each other over d - d²/4.

use super::allow::Allowable;
use super::along::Beam;
use super::askew::{Bent, per_moment};
use super::capacity::{Capacity, Mode, Place};
use super::law::{GRID_ON_WALL, aligned_bond_share, crossed_bond_share, johnson_mpa, plate_buckling_mpa};
use crate::geom::Point;
use crate::measure::LayerMeasure;
use crate::profile::{Axis, Pair, Spread};
use crate::units::significant;
use std::f64::consts::{FRAC_PI_4, PI};

/// A core with less than this is empty.
const EMPTY: f64 = 0.02;

/// Least slenderness (effective length over radius of gyration) at which a column may buckle before it is crushed.
const SLENDER: f64 = 30.0;

/// A stopped layer: the one laid after the stop bonds less.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stops(pub Vec<usize>);

impl Stops {
    /// Share of strength left where a layer rests on the one below.
    fn share(&self, layer: usize, allow: &Allowable) -> Pair {
        let stopped = layer.checked_sub(1).is_some_and(|below| self.0.contains(&below));
        if stopped { allow.stopped } else { Pair::both(1.0) }
    }
}

/// How the core of a layer stands on the core below.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoreStand {
    /// Bond area of walls and skins, mm².
    pub firm_mm2: f64,
    /// Bond area of the core's lines, mm².
    pub core_mm2: f64,
    /// Area of the core, mm².
    pub area_mm2: f64,
    /// Density of the core.
    pub density: f64,
    /// Its lines lie on each other.
    pub aligned: bool,
    /// Distance of neighbouring beads, mm: A/h.
    pub pitch_mm: f64,
}

impl CoreStand {
    /// From a layer's measures; `None` without a bond.
    #[must_use]
    pub fn new(layer: &LayerMeasure) -> Option<Self> {
        let bond = layer.bond?.area_mm2;
        let section = layer.section?.area_mm2;
        let area = layer.core_area_mm2;
        let density = layer.core_density.unwrap_or(if layer.solid { 1.0 } else { 0.0 }).clamp(0.0, 1.0);
        let firm = (section - density * area).clamp(0.0, bond);
        let core = (bond - firm).clamp(0.0, density * area);
        let share = if area > 0.0 { core / area } else { 0.0 };
        let between = 0.5 * (crossed_bond_share(density) + aligned_bond_share(density));
        let width = layer.bead_width_mm.unwrap_or(2.0 * layer.height_mm);
        let pitch_mm = (width - layer.height_mm * (1.0 - FRAC_PI_4)).max(0.1 * width);
        let aligned = layer.core_families >= 2 && share > between;
        Some(Self { firm_mm2: firm, core_mm2: core, area_mm2: area, density, aligned, pitch_mm })
    }

    /// Bond area over the core's area.
    #[must_use]
    pub fn share(&self) -> f64 {
        if self.area_mm2 > 0.0 { self.core_mm2 / self.area_mm2 } else { 0.0 }
    }

    /// Nothing stands behind the walls.
    #[must_use]
    pub fn empty(&self) -> bool {
        self.area_mm2 > 0.0 && self.density < EMPTY
    }

    /// Centre to centre of the lines that a skin rests on, mm; `None` for a full or an empty core.
    #[must_use]
    pub fn spacing_mm(&self) -> Option<f64> {
        let open = self.area_mm2 > 0.0 && self.density > EMPTY && self.density < 0.95;
        open.then(|| if self.aligned { 2.0 } else { 1.0 } * self.pitch_mm / self.density)
    }
}

/// Crushing stress of walls and core of a layer with their buckling, MPa.
fn crushing_mpa(layer: &LayerMeasure, stand: &CoreStand, crush: f64, stiff: Option<f64>, poisson: f64) -> (f64, f64) {
    let Some(stiff) = stiff else { return (crush, crush) };
    let plate = |t: f64, b: f64| johnson_mpa(crush, plate_buckling_mpa(stiff, poisson, t, b));
    let core = match stand.spacing_mm() {
        // Crossed lines touch only where they cross: there is no cell wall to buckle.
        Some(cell) if stand.aligned => plate(stand.pitch_mm, cell),
        _ => crush,
    };
    let free = match (stand.spacing_mm(), &layer.reach) {
        (Some(cell), _) if stand.aligned => Some(cell * GRID_ON_WALL),
        (Some(cell), _) => Some(cell / GRID_ON_WALL),
        (None, Some(reach)) if stand.empty() => {
            let [low, high] = reach.box_mm();
            Some((high.x - low.x).max(high.y - low.y))
        }
        _ => None,
    };
    let walls = match (free, layer.tube) {
        (Some(free), Some(tube)) => plate(tube.thickness_mm, free),
        _ => crush,
    };
    (walls, core)
}

fn plane(layer: &LayerMeasure) -> Place {
    Place {
        words: format!("between layers {} and {}", layer.index.saturating_sub(1), layer.index),
        layer: Some(layer.index),
        z_mm: Some(layer.z_mm - layer.height_mm),
        at: layer.section.map(|s| s.centroid),
    }
}

/// Tension across the layers between two heights: the weakest bond.
#[must_use]
pub fn pull(layers: &[LayerMeasure], between_mm: [f64; 2], allow: &Allowable, stops: &Stops) -> Option<Capacity> {
    let bears = |layer: &LayerMeasure| {
        let share = stops.share(layer.index, allow);
        layer.bond.map(|b| (b.area_mm2 * share.low, b.area_mm2 * share.typical))
    };
    let (weakest, (low, typical)) =
        within(layers, between_mm).filter_map(|l| bears(l).map(|b| (l, b))).min_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    let working = format!(
        "F = σ A with σ = {} MPa across layers and a bond area of {} mm²{}",
        significant(allow.across.low, 3),
        significant(weakest.bond?.area_mm2, 4),
        if stops.share(weakest.index, allow).low < 1.0 { ", weakened by the stop below it" } else { "" }
    );
    let times = Spread { low, likely: typical, high: typical };
    Some(Capacity::new(Mode::AcrossLayers, plane(weakest), allow.across, times, working))
}

fn within(layers: &[LayerMeasure], between_mm: [f64; 2]) -> impl Iterator<Item = &LayerMeasure> {
    layers.iter().filter(move |l| {
        let foot = l.z_mm - l.height_mm;
        foot > between_mm[0] - 1e-6 && foot < between_mm[1] - 1e-6
    })
}

/// Crushing of whole sections below a pressed face, with the buckling of free walls and cells.
///
/// `push_at` is where the force acts in plan: off the middle of the bond it bends the section too, σ = F / A + F e c / I.
#[must_use]
pub fn crush(
    layers: &[LayerMeasure],
    between_mm: [f64; 2],
    push_at: Option<Point>,
    allow: &Allowable,
) -> Option<Capacity> {
    let bears = |layer: &LayerMeasure| {
        let stand = CoreStand::new(layer)?;
        let of = |crush: f64, stiff: Option<f64>| {
            let (walls, core) = crushing_mpa(layer, &stand, crush, stiff, allow.poisson);
            walls * stand.firm_mm2 + core * stand.core_mm2
        };
        let bent = eccentricity(layer, push_at);
        let stiff = allow.stiff_across;
        Some(Spread {
            low: of(allow.compression.low, stiff.map(|s| s.low)) / bent,
            likely: of(allow.compression.typical, stiff.map(|s| s.typical)) / bent,
            high: of(allow.compression.typical, stiff.map(|s| s.typical)) / bent,
        })
    };
    let (weakest, bears) = within(layers, between_mm)
        .filter_map(|l| bears(l).map(|b| (l, b)))
        .min_by(|a, b| a.1.low.total_cmp(&b.1.low))?;
    let (stand, bent) = (CoreStand::new(weakest)?, eccentricity(weakest, push_at));
    let (walls, core) =
        crushing_mpa(weakest, &stand, allow.compression.low, allow.stiff_across.map(|s| s.low), allow.poisson);
    let working = format!(
        "F = ({} MPa × {} mm² of walls and skins + {} MPa × {} mm² of core lines) / {}",
        significant(walls, 3),
        significant(stand.firm_mm2, 4),
        significant(core, 3),
        significant(stand.core_mm2, 4),
        significant(bent, 3)
    );
    Some(Capacity { mode: Mode::SectionCrush, place: plane(weakest), bears, working })
}

/// How much a force off the middle raises the greatest stress: 1 + A (ex cx / Iyy + ey cy / Ixx) on a section that lies
/// square to x and y, and on any other by [`per_moment`].
fn eccentricity(layer: &LayerMeasure, push_at: Option<Point>) -> f64 {
    let (Some(push), Some(bond), Some(reach)) = (push_at, layer.bond, &layer.reach) else { return 1.0 };
    let off = push - bond.centroid;
    let bent = per_moment(&bond, off).map_or(0.0, |slope| reach.furthest(slope, bond.centroid));
    1.0 + bond.area_mm2 * bent.max(0.0)
}

/// Euler's column from the bed to a height, free at the top: F = π² E I / (2 L)²; `None` for parts that are not slender.
#[must_use]
pub fn column(layers: &[LayerMeasure], between_mm: [f64; 2], allow: &Allowable) -> Option<Capacity> {
    let stiff = allow.stiff_across?;
    let effective = 2.0 * (between_mm[1] - between_mm[0]);
    let (weakest, (moment, area)) =
        within(layers, between_mm).filter_map(|l| springy(l).map(|m| (l, m))).min_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    if !(moment > 0.0 && effective / (moment / area).sqrt() > SLENDER) {
        return None;
    }
    let working = format!(
        "F = π² E I / (2 L)² with E = {} MPa, I = {} mm⁴ of section and bond in a row, L = {} mm",
        significant(stiff.low, 4),
        significant(moment, 4),
        significant(0.5 * effective, 4)
    );
    let times = Spread::exactly(PI * PI * moment / (effective * effective));
    Some(Capacity::new(Mode::Column, plane(weakest), stiff, times, working))
}

/// Least second moment and area by which a layer gives way to a column that bows. Its section gives over its height, its
/// bond where it meets the next: two springs in a row, 2 / (1/I + 1/I'), so that a full bar counts as full and a core
/// that touches at its crossings as little more than these.
fn springy(layer: &LayerMeasure) -> Option<(f64, f64)> {
    let (bond, section) = (layer.bond?, layer.section?);
    let in_a_row = |one: f64, other: f64| 2.0 * one * other / (one + other);
    let moment = in_a_row(bond.principal().min_mm4, section.principal().min_mm4);
    (moment > 0.0).then(|| (moment, in_a_row(bond.area_mm2, section.area_mm2)))
}

/// Bending of an upright part: tension across layers at the outside of each bond.
#[must_use]
pub fn bend(layers: &[LayerMeasure], beam: &Beam, allow: &Allowable, stops: &Stops) -> Option<Capacity> {
    let modulus = |layer: &LayerMeasure| {
        let (bond, reach) = (layer.bond?, layer.reach.as_ref()?);
        let (arm, _) = beam.moment_and_shear(layer.z_mm - layer.height_mm);
        let towards = if beam.direction == Axis::X { Point::new(1.0, 0.0) } else { Point::new(0.0, 1.0) };
        let bent = Bent::new(&bond, reach, towards)?;
        (arm > 0.0).then(|| (bent.modulus_mm3() / arm, bent.note()))
    };
    let weak = |layer: &LayerMeasure| modulus(layer).map(|(m, note)| (m, stops.share(layer.index, allow), note));
    let (weakest, (times, share, note)) = layers
        .iter()
        .filter_map(|l| weak(l).map(|w| (l, w)))
        .min_by(|a, b| (a.1.0 * a.1.1.low).total_cmp(&(b.1.0 * b.1.1.low)))?;
    let working = format!(
        "F = σ I / (c m) on the bond of {} mm²: σ = {} MPa across layers, I / (c m) = {} mm²{note}",
        significant(weakest.bond?.area_mm2, 4),
        significant(allow.across.low, 3),
        significant(times, 4)
    );
    let times = Spread { low: times * share.low, likely: times * share.typical, high: times * share.typical };
    Some(Capacity::new(Mode::Bending, plane(weakest), allow.across, times, working))
}

#[cfg(test)]
#[path = "across_tests.rs"]
mod tests;
