//! Layers to measures: shapes of several layers at once, then sums in print order.
//!
//! ```text
//!   work out   batch 1 | batch 2 | batch 3 |
//!   add up             | batch 1 | batch 2 | batch 3
//! ```

use super::alike::{Alike, Bonds, Resting, WorkedBatch};
use super::layer::{LayerMeasure, RoleFlow, SPECK};
use super::part::PartMeasures;
use super::repeat::Looks;
use super::totals::{RoleSource, RoleTotals, WordsAgreement};
use super::worked::Worked;
use crate::deposit::{Layer, Strand};
use crate::geom::{Moments, Point, Polygon, Reach};
use crate::profile::Role;
use crate::shape::{Axis, Core, Cuts, Footprint, LayerShape, Pocket, Pockets, Rounds, Skins, bridges};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::f64::consts::FRAC_PI_4;
use std::sync::Arc;

/// Gathers layers into measures.
pub(super) struct Collector {
    alike: Alike,
    /// Layers that were worked out and wait to be added up.
    waiting: WorkedBatch,
    sums: Sums,
}

/// What is added up in print order.
struct Sums {
    detail: bool,
    /// How far above itself each layer stands again, mm; empty where nothing repeats.
    raises: Vec<Vec<f64>>,
    bonds: Bonds,
    /// Layers of the part as they were worked out, where they are looked at again.
    kept: Option<Vec<(Layer, Worked)>>,
    /// Plastic of the part in layers that repeat, beyond the first of each, by tool, mm³.
    repeated_mm3: BTreeMap<u16, f64>,
    below: Option<Below>,
    shape_below: Option<Arc<LayerShape>>,
    layers: Vec<LayerMeasure>,
    roles: BTreeMap<(Role, RoleSource), RoleTotals>,
    agreement: WordsAgreement,
    cuts: [Cuts; 2],
    skins: Skins,
    rounds: Rounds,
    pockets: Pockets,
}

/// What was gathered.
pub(super) struct Collected {
    pub(super) layers: Vec<LayerMeasure>,
    roles: BTreeMap<(Role, RoleSource), RoleTotals>,
    pub(super) agreement: WordsAgreement,
    pub(super) part: PartMeasures,
    pub(super) cuts: [Cuts; 2],
    pub(super) pockets: Vec<Pocket>,
    /// Layers of the part as they were worked out; none where nobody asked for them.
    pub(super) kept: Vec<(Layer, Worked)>,
    /// Plastic of the part in layers that repeat, beyond the first of each, by tool, mm³.
    pub(super) repeated_mm3: BTreeMap<u16, f64>,
}

/// What is asked of the layer below.
pub(super) struct Below {
    pub(super) z_mm: f64,
    pub(super) footprint: Arc<Footprint>,
    /// The number of the layers that are like it.
    pub(super) number: usize,
}

impl Collector {
    pub(super) fn new(detail: bool) -> Self {
        Self {
            alike: Alike::default().with_cuts(vec![Axis::X, Axis::Y]),
            waiting: WorkedBatch::default(),
            sums: Sums::new(detail),
        }
    }

    /// Counts each layer as often as it stands in the part, at these distances above where it is laid, mm.
    pub(super) fn with_repeats(self, raises: Vec<Vec<f64>>) -> Self {
        Self { sums: Sums { raises, ..self.sums }, ..self }
    }

    /// Measures no cuts that nobody looks at, and keeps the layers of the part where their places are looked at.
    pub(super) fn that_looks(self, looks: Looks) -> Self {
        let axes = [Axis::X, Axis::Y].into_iter().zip(looks.cuts).filter(|(_, looked_at)| *looked_at);
        let alike = Alike::default().with_cuts(axes.map(|(axis, _)| axis).collect());
        Self { alike, sums: Sums { kept: looks.places.then(Vec::new), ..self.sums }, ..self }
    }

    /// Takes the next layers in print order: works them out while those before are added up. Sums are added in order,
    /// so that the result does not depend on the number of threads.
    pub(super) fn add(&mut self, layers: Vec<Layer>) {
        let Self { alike, waiting, sums } = self;
        let before = std::mem::take(waiting);
        (*waiting, ()) = rayon::join(|| alike.work_out(layers), || sums.add(before));
    }

    /// The last layer has come.
    pub(super) fn finish(mut self) -> Collected {
        self.sums.add(self.waiting);
        self.sums.finish()
    }
}

impl Sums {
    fn new(detail: bool) -> Self {
        Self {
            detail,
            raises: Vec::new(),
            bonds: Bonds::default(),
            kept: None,
            repeated_mm3: BTreeMap::new(),
            below: None,
            shape_below: None,
            layers: Vec::new(),
            roles: BTreeMap::new(),
            agreement: WordsAgreement::default(),
            cuts: [Cuts::new(Axis::X), Cuts::new(Axis::Y)],
            skins: Skins::default(),
            rounds: Rounds::default(),
            pockets: Pockets::default(),
        }
    }

    fn finish(self) -> Collected {
        let (rounds, extent) = self.rounds.finish();
        let skins = self.skins.finish();
        let part = PartMeasures {
            bbox_mm: extent.map(|e| [e.low_mm, e.high_mm]),
            rounds,
            skins,
            ..PartMeasures::from_layers(&self.layers)
        };
        Collected {
            layers: self.layers,
            roles: self.roles,
            agreement: self.agreement,
            part,
            cuts: self.cuts,
            pockets: self.pockets.finish(),
            kept: self.kept.unwrap_or_default(),
            repeated_mm3: self.repeated_mm3,
        }
    }

    fn add(&mut self, batch: WorkedBatch) {
        let WorkedBatch { layers, numbers, mut worked } = batch;
        self.mark_bridges(&layers, &mut worked);
        layers.iter().for_each(|layer| self.count_repeats(layer));
        for (layer, worked) in layers.iter().zip(&worked) {
            self.add_roles(layer, worked.as_ref().map(|w| &w.shape.roles[..]));
        }
        let numbers: Vec<usize> =
            numbers.into_iter().zip(&worked).filter(|(_, w)| w.is_some()).map(|(n, _)| n).collect();
        let part: Vec<(Layer, Worked)> = layers.into_iter().zip(worked).filter_map(|(l, w)| Some((l, w?))).collect();
        self.follow(&part);
        let bonds = self.bonds_of(&part, &numbers);
        let detail = self.detail;
        let measured =
            part.par_iter().zip(bonds).map(|((layer, worked), bond)| layer_measure(layer, worked, bond, detail));
        self.layers.par_extend(measured);
        if let Some(kept) = &mut self.kept {
            kept.extend(part);
        }
    }

    /// Looks at every layer's fill with the outline of the layer below.
    fn mark_bridges(&mut self, layers: &[Layer], worked: &mut [Option<Worked>]) {
        let mut below: Vec<Option<Arc<LayerShape>>> = Vec::with_capacity(layers.len());
        for (layer, worked) in layers.iter().zip(&*worked) {
            let on_bed = layer.z_mm - layer.height_mm < 0.5 * layer.height_mm;
            let shape_below = worked.as_ref().and_then(|worked| self.shape_below.replace(Arc::clone(&worked.shape)));
            below.push(shape_below.filter(|_| !on_bed));
        }
        layers.par_iter().zip(worked).zip(below).for_each(|((layer, worked), below)| {
            if let (Some(worked), Some(below)) = (worked, below) {
                let bridges = bridges(layer, &worked.shape, &below.outline);
                if !bridges.is_empty() {
                    let roles = &mut Arc::make_mut(&mut worked.shape).roles;
                    bridges.into_iter().for_each(|strand| roles[strand] = Role::Bridge);
                }
            }
        });
    }

    /// Adds the plastic of a layer for every time it stands in the part again.
    fn count_repeats(&mut self, layer: &Layer) {
        let Some(raises) = layer.index.and_then(|index| self.raises.get(index)) else { return };
        let more = raises.len() as f64 - 1.0;
        for strand in &layer.strands {
            *self.repeated_mm3.entry(strand.tool).or_default() += more * StrandSum::of(layer, strand).volume_mm3;
        }
    }

    /// What is followed through the print layer by layer; each by itself, so they go side by side.
    fn follow(&mut self, part: &[(Layer, Worked)]) {
        let (skins, rounds, pockets, cuts) = (&mut self.skins, &mut self.rounds, &mut self.pockets, &mut self.cuts);
        let raises = &self.raises;
        rayon::scope(|scope| {
            scope.spawn(|_| part.iter().for_each(|(layer, worked)| skins.push(layer, &worked.shape)));
            scope.spawn(|_| part.iter().for_each(|(_, worked)| pockets.push(&worked.shape, &worked.openings)));
            scope.spawn(|_| part.iter().for_each(|(_, worked)| rounds.push(&worked.shape)));
            for cuts in cuts {
                scope.spawn(move |_| part.iter().for_each(|(layer, worked)| add_cuts(cuts, layer, worked, raises)));
            }
        });
    }

    /// Area over which each layer fuses to the one before it; `None` where it begins a stack on the bed.
    fn bonds_of(&mut self, part: &[(Layer, Worked)], numbers: &[usize]) -> Vec<Option<Moments>> {
        let as_below = |((layer, worked), &number): (&(Layer, Worked), &usize)| {
            Some(Below { z_mm: layer.z_mm, footprint: Arc::clone(&worked.footprint), number })
        };
        let below: Vec<Option<Below>> =
            std::iter::once(self.below.take()).chain(part.iter().zip(numbers).map(as_below)).collect();
        let resting: Vec<Option<Resting<'_>>> = part
            .iter()
            .zip(numbers)
            .zip(&below)
            .map(|(((layer, worked), &number), below)| {
                let below = below.as_ref().filter(|below| !begins_on_the_bed(layer, below.z_mm))?;
                Some(Resting { over: &worked.footprint, under: &below.footprint, which: (number, below.number) })
            })
            .collect();
        let mut bonds = self.bonds.of(&resting);
        // Over a layer that was left out there is nothing to fuse to.
        for ((bond, (layer, _)), below) in bonds.iter_mut().zip(part).zip(&below) {
            let air_mm = below.as_ref().map_or(0.0, |below| layer.z_mm - layer.height_mm - below.z_mm);
            if bond.is_some() && air_mm > AIR * layer.height_mm {
                *bond = Some(Moments::default());
            }
        }
        self.below = below.into_iter().next_back().flatten();
        bonds
    }

    /// Adds every strand to the sums of its role: the comment's where there is one, else the motion's.
    fn add_roles(&mut self, layer: &Layer, by_motion: Option<&[Role]>) {
        for (i, strand) in layer.strands.iter().enumerate() {
            let motion = by_motion.and_then(|roles| roles.get(i)).copied().unwrap_or(strand.role);
            let sum = StrandSum::of(layer, strand);
            let (role, source) = match strand.label {
                Some(words) => {
                    self.agreement.add(sum.volume_mm3, words, motion);
                    (words, RoleSource::Words)
                }
                None => (motion, RoleSource::Motion),
            };
            self.role(role, source).add(sum);
        }
        if layer.blob_mm3 > 0.0 {
            self.role(Role::Purge, RoleSource::Motion).volume_mm3 += layer.blob_mm3;
        }
    }

    fn role(&mut self, role: Role, source: RoleSource) -> &mut RoleTotals {
        sums_of(&mut self.roles, role, source)
    }
}

impl Collected {
    /// All roles, with plastic that came out before the first bead or after the last, mm³, counted as purge.
    pub(super) fn roles_with_purge(&self, before_and_after_mm3: f64) -> Vec<RoleTotals> {
        let mut roles = self.roles.clone();
        if before_and_after_mm3 > 0.0 {
            sums_of(&mut roles, Role::Purge, RoleSource::Motion).volume_mm3 += before_and_after_mm3;
        }
        roles.into_values().collect()
    }
}

fn sums_of(roles: &mut BTreeMap<(Role, RoleSource), RoleTotals>, role: Role, source: RoleSource) -> &mut RoleTotals {
    let none = RoleTotals { role, source, volume_mm3: 0.0, length_mm: 0.0, time_s: 0.0 };
    roles.entry((role, source)).or_insert(none)
}

/// Whether a layer begins a stack on the bed: it lies on it, and what was laid before lies higher.
pub(super) fn begins_on_the_bed(layer: &Layer, before_z_mm: f64) -> bool {
    layer.z_mm - layer.height_mm < 0.5 * layer.height_mm && before_z_mm > layer.z_mm - 1e-6
}

/// A layer whose lower face is this share of its height above the layer below does not touch it.
const AIR: f64 = 0.5;

/// Adds a layer to the cuts, as often as it stands in the part.
fn add_cuts(cuts: &mut Cuts, layer: &Layer, worked: &Worked, raises: &[Vec<f64>]) {
    let raises = layer.index.and_then(|index| raises.get(index)).map_or(&[0.0][..], Vec::as_slice);
    raises.iter().for_each(|by_mm| worked.add_cuts(cuts, layer.z_mm + by_mm));
}

/// The same layer further up.
pub(super) fn raised(layer: &Layer, by_mm: f64) -> Layer {
    let mut raised = layer.clone();
    raised.z_mm += by_mm;
    raised.beads.iter_mut().for_each(|bead| bead.z_mm += by_mm);
    raised
}

fn layer_measure(layer: &Layer, worked: &Worked, bond: Option<Moments>, detail: bool) -> LayerMeasure {
    let shape = &worked.shape;
    let role_flow = role_flow(layer, &shape.roles);
    let words_on_walls = words_on_walls(layer, &shape.roles);
    let outline_area: f64 = shape.outline.iter().map(Polygon::area_mm2).sum();
    let corners: Vec<Point> = shape.outline.iter().flat_map(|p| p.outer.iter().copied()).collect();
    let walls = &shape.walls;
    let core = shape.core.as_ref().filter(|core| core.area_mm2 >= SPECK * outline_area);
    LayerMeasure {
        index: shape.index,
        z_mm: layer.z_mm,
        height_mm: layer.height_mm,
        time_s: layer.time_s,
        volume_mm3: role_flow.iter().filter(|f| f.role.is_part()).map(|f| f.volume_mm3).sum(),
        outline_area_mm2: (outline_area > 0.0).then_some(outline_area),
        walls_min: walls.min,
        walls_p05: walls.p05,
        walls_median: walls.median,
        wall_thickness_min: walls.thickness_min,
        wall_thickness_p05_mm: walls.thickness_p05_mm,
        wall_thickness_median_mm: walls.thickness_median_mm,
        core_density: core.and_then(|c| c.density),
        core_area_mm2: shape.core.as_ref().map_or(0.0, |c| c.area_mm2),
        solid: core.is_none_or(|c| c.solid),
        bond_area_mm2: bond.map(|b| b.area_mm2),
        bond,
        // The flanks of beads are round: as a strip of the full height, plastic ends this far within the outline.
        reach: Reach::of(&corners, 0.5 * layer.height_mm * (1.0 - FRAC_PI_4)),
        tube: worked.tube,
        core_families: shape.core.as_ref().map_or(0, core_families),
        section: worked.section,
        lines: layer.lines,
        bead_width_mm: worked.bead_width_mm,
        role_flow,
        flow_ratio: shape.flow_ratio,
        gaps: shape.gaps.clone(),
        ribs: shape.ribs.clone(),
        thin_places: shape.thin_places.clone(),
        flow_places: shape.flow_places.clone(),
        words_on_walls,
        wall_samples: if detail { shape.walls.samples.clone() } else { Vec::new() },
    }
}

/// Comments against motion, walls against all the rest.
fn words_on_walls(layer: &Layer, roles: &[Role]) -> WordsAgreement {
    let mut agreement = WordsAgreement::default();
    for (strand, &motion) in layer.strands.iter().zip(roles) {
        if let Some(words) = strand.label {
            agreement.add_walls(StrandSum::of(layer, strand).volume_mm3, words, motion);
        }
    }
    agreement
}

/// Directions that hold at least a fifth of the core's lines.
fn core_families(core: &Core) -> usize {
    core.directions.iter().filter(|(_, share)| *share >= 0.2).count()
}

fn role_flow(layer: &Layer, roles: &[Role]) -> Vec<RoleFlow> {
    let mut sums: BTreeMap<Role, StrandSum> = BTreeMap::new();
    for (strand, &role) in layer.strands.iter().zip(roles) {
        let sum = StrandSum::of(layer, strand);
        let into = sums.entry(role).or_default();
        into.volume_mm3 += sum.volume_mm3;
        into.length_mm += sum.length_mm;
    }
    sums.into_iter()
        .map(|(role, sum)| RoleFlow { role, volume_mm3: sum.volume_mm3, length_mm: sum.length_mm })
        .collect()
}

/// Plastic, path and time of one strand.
#[derive(Debug, Clone, Copy, Default)]
struct StrandSum {
    volume_mm3: f64,
    length_mm: f64,
    time_s: f64,
}

impl StrandSum {
    fn of(layer: &Layer, strand: &Strand) -> Self {
        layer.strand_beads(strand).iter().fold(Self::default(), |sum, bead| Self {
            volume_mm3: sum.volume_mm3 + bead.volume_mm3(),
            length_mm: sum.length_mm + bead.length_mm,
            time_s: sum.time_s + bead.time_s,
        })
    }
}

impl RoleTotals {
    fn add(&mut self, sum: StrandSum) {
        self.volume_mm3 += sum.volume_mm3;
        self.length_mm += sum.length_mm;
        self.time_s += sum.time_s;
    }
}

#[cfg(test)]
#[path = "collect_tests.rs"]
mod tests;
