//! A run becomes a layer: kind, height, widths, laps, roles.

use super::flow::{WIDEST_BEAD_MM, median_width_mm, smooth_sections, width_mm};
use super::height::{Heights, height_mm};
use super::laps::{Closing, laps};
use super::recall::Recall;
use super::run::{Piece, Run};
use super::tower::Tower;
use super::{Bead, Layer, LayerKind, Strand, adhesion, kinds, likely, repeat, retrace, roles};
use crate::geom::weighted_median;
use crate::profile::Role;
use std::collections::VecDeque;
use std::ops::Range;

/// A bead with less than this share of the layer's typical section is no bead (walls whose flow is cut off
/// where they would overlap come out at a hundredth or so).
const GHOST_SHARE: f64 = 0.25;

/// Turns runs into layers, front to back.
#[derive(Debug, Default)]
pub(super) struct Finisher {
    heights: Heights,
    /// Kinds of the runs at the bottom, not yet used up; every later run is a layer of the part.
    leading: VecDeque<LayerKind>,
    begun: bool,
    next_index: usize,
    /// Height of the last layer that is not purge, mm.
    below_mm: Option<f64>,
    /// Height of the part's first layer, mm.
    first_mm: Option<f64>,
    /// Layers between the one at hand and the bed.
    from_bed: usize,
    /// Where tools are cleaned in every layer.
    pub tower: Option<Tower>,
    recall: Recall,
    /// Walls and fill are told apart as well.
    first_roles: bool,
}

impl Finisher {
    /// One that also gives walls and fill a first role.
    pub fn with_first_roles() -> Self {
        Self { first_roles: true, ..Self::default() }
    }

    /// Takes note of a complete run; gives it back, in two where two layers lie at one height.
    pub fn admit(&mut self, mut run: Run) -> Vec<Run> {
        let second = repeat::second_layer(&run).map(|at| run.split_off(at));
        self.heights.note(&run);
        std::iter::once(run).chain(second).collect()
    }

    /// Whether the first run has been judged.
    pub fn begun(&self) -> bool {
        self.begun
    }

    /// Makes the run at the front a layer, or two if it begins with a purge line.
    pub fn finish_front(&mut self, queue: &mut VecDeque<Run>) -> Vec<Layer> {
        if !self.begun {
            self.begun = true;
            self.leading = kinds::leading(queue.make_contiguous(), self.heights.usual());
        }
        let Some(mut run) = queue.pop_front() else { return Vec::new() };
        let kind = self.leading.pop_front().unwrap_or(LayerKind::Part);
        let mut made = Vec::new();
        if kind == LayerKind::Part && self.next_index == 0 {
            let count = kinds::purge_pieces(&run, queue.front());
            if count > 0 && count < run.pieces.len() {
                let rest = run.split_off(count);
                made.push(self.layer(run, LayerKind::Purge));
                run = rest;
            }
        }
        if kind == LayerKind::Part && self.next_index == 0 {
            self.tower = Tower::find(&std::iter::once(&run).chain(queue.iter()).collect::<Vec<_>>());
        }
        let outside = adhesion::Above::of(queue, self.layers_from_bed(&run, kind));
        let mut layer = self.layer(run, kind);
        if kind == LayerKind::Part {
            outside.mark(&mut layer);
            if let Some(tower) = self.tower {
                tower.mark(&mut layer);
            }
        }
        if kind == LayerKind::Part && self.first_roles {
            let usual = self.heights.usual().map(|u| width_mm(u.area_per_height_mm * layer.height_mm, layer.height_mm));
            roles::assign(&layer.beads, &mut layer.strands, usual);
        }
        made.push(layer);
        made
    }

    /// How many layers lie between this one and the bed; an object printed after another begins at the bed again.
    fn layers_from_bed(&mut self, run: &Run, kind: LayerKind) -> usize {
        if kind == LayerKind::Part {
            let first = self.first_mm.get_or_insert(run.z_mm);
            let again = self.below_mm.is_some_and(|below| below > 2.0 * *first && run.z_mm < 1.1 * *first);
            self.from_bed = if again || self.next_index == 0 { 0 } else { self.from_bed + 1 };
        }
        self.from_bed
    }

    fn layer(&mut self, run: Run, kind: LayerKind) -> Layer {
        let below_mm = if kind == LayerKind::Purge { None } else { self.below_mm };
        // No layer is taller than a bead is wide: a damaged file may ask for one that is as tall as the machine.
        let height_mm = height_mm(run.z_mm, below_mm, run.area_mm2, self.heights.usual()).min(WIDEST_BEAD_MM);
        let index = (kind == LayerKind::Part).then_some(self.next_index);
        self.next_index += usize::from(index.is_some());
        if kind != LayerKind::Purge {
            self.below_mm = Some(run.z_mm);
        }
        build(run, kind, height_mm, index, &mut self.recall)
    }
}

fn build(run: Run, kind: LayerKind, height_mm: f64, index: Option<usize>, recall: &mut Recall) -> Layer {
    let Run { z_mm, mut beads, labels, pieces, wavy, rising, nozzle_c, area_mm2, .. } = run;
    for piece in &pieces {
        smooth_sections(&mut beads, piece.beads.clone());
    }
    for bead in &mut beads {
        bead.width_mm = width_mm(bead.area_mm2, height_mm).min(WIDEST_BEAD_MM);
    }
    let lines = beads.iter().fold((u64::MAX, 0), |(low, high), b| (low.min(b.line), high.max(b.line)));
    let mut layer = Layer {
        index,
        kind,
        z_mm,
        height_mm,
        rising: rising || wavy,
        beads,
        strands: Vec::new(),
        time_s: pieces.iter().map(|p| p.time_s).sum(),
        lines,
        blob_mm3: pieces.iter().map(|p| p.blob_mm3).sum(),
        nozzle_c,
        number: None,
    };
    if let Some(like) = recall.like(&layer, &pieces) {
        layer.number = Some(like.number);
        layer.strands = like.strands.clone();
    } else {
        layer.strands = all_strands(&layer, &pieces, area_mm2);
        layer.number = Some(recall.number(&layer, &pieces));
    }
    let role = match kind {
        LayerKind::Part => Role::Unknown,
        LayerKind::Raft => Role::Adhesion,
        LayerKind::Purge => Role::Purge,
    };
    for at in 0..layer.strands.len() {
        let label = majority(&layer, &labels, layer.strands[at].beads.clone());
        let strand = &mut layer.strands[at];
        (strand.role, strand.label) = (role, label);
    }
    layer
}

/// Cuts a layer into strands, with no labels and roles yet; `area_mm2` is its usual bead's section.
fn all_strands(layer: &Layer, pieces: &[Piece], area_mm2: f64) -> Vec<Strand> {
    let typical = median_width_mm(&layer.beads).unwrap_or(layer.height_mm);
    let cut: Vec<(Strand, bool)> = pieces.iter().flat_map(|p| strands(layer, p, typical, area_mm2)).collect();
    let likely = cut.iter().enumerate().filter(|(_, s)| s.1).map(|(i, _)| i).collect();
    let mut strands: Vec<Strand> = cut.into_iter().map(|s| s.0).collect();
    for strand in likely::settled(&layer.beads, &strands, likely, typical) {
        strands[strand].closed = true;
    }
    retrace::mark(&layer.beads, &mut strands, typical);
    strands
}

/// Cuts one piece into strands: where the flow all but stops, and into laps. With each goes whether it is
/// likely, but not sure, to close.
fn strands(layer: &Layer, piece: &Piece, typical_mm: f64, area_mm2: f64) -> Vec<(Strand, bool)> {
    let mut made = Vec::new();
    let mut add = |beads: Range<usize>, closing: Closing, ghost: bool| {
        let closed = closing == Closing::Sure;
        let strand = Strand { beads, tool: piece.tool, closed, label: None, role: Role::Unknown, ghost };
        made.push((strand, closing == Closing::Likely));
    };
    for (range, is_ghost) in by_flow(&layer.beads, piece.beads.clone(), GHOST_SHARE * area_mm2, typical_mm) {
        if is_ghost {
            add(range, Closing::Open, true);
            continue;
        }
        let beads = &layer.beads[range.clone()];
        let width = median_width_mm(beads).unwrap_or(typical_mm).max(0.5 * typical_mm);
        for lap in laps(beads, width) {
            let lap_range = range.start + lap.beads.start..range.start + lap.beads.end;
            if lap.closing == Closing::Retraced {
                let middle = half_way(layer, lap_range.clone());
                add(lap_range.start..middle, Closing::Open, false);
                add(middle..lap_range.end, Closing::Open, true);
            } else {
                add(lap_range, lap.closing, false);
            }
        }
    }
    made
}

/// Cuts a range where the flow falls below `least_mm2` or rises above it again, for longer than a width. With each
/// part goes whether it lies below.
fn by_flow(beads: &[Bead], range: Range<usize>, least_mm2: f64, width_mm: f64) -> Vec<(Range<usize>, bool)> {
    let mut parts: Vec<(Range<usize>, bool)> = Vec::new();
    let mut start = range.start;
    while start < range.end {
        let below = beads[start].area_mm2 < least_mm2;
        let end = (start..range.end).find(|i| (beads[*i].area_mm2 < least_mm2) != below).unwrap_or(range.end);
        let length: f64 = beads[start..end].iter().map(|b| b.length_mm).sum();
        let below = below && (length > width_mm || end - start == range.len());
        match parts.last_mut() {
            Some((last, was)) if *was == below => last.end = end,
            _ => parts.push((start..end, below)),
        }
        start = end;
    }
    parts
}

/// The bead at which half the length of a range is laid; never its first.
fn half_way(layer: &Layer, range: Range<usize>) -> usize {
    let half = 0.5 * layer.beads[range.clone()].iter().map(|b| b.length_mm).sum::<f64>();
    let mut sum = 0.0;
    let counted = layer.beads[range.clone()].iter().take_while(|b| {
        sum += b.length_mm;
        sum <= half * (1.0 + 1e-6)
    });
    range.start + counted.count().clamp(1, range.len().saturating_sub(1).max(1))
}

/// The label of most of the length.
fn majority(layer: &Layer, labels: &[Option<Role>], range: Range<usize>) -> Option<Role> {
    let first = *labels.get(range.start)?;
    if labels.get(range.clone())?.iter().all(|l| *l == first) {
        return first;
    }
    let mut lengths: Vec<(Option<Role>, f64)> = Vec::new();
    for (label, bead) in labels[range.clone()].iter().zip(&layer.beads[range]) {
        match lengths.iter_mut().find(|(l, _)| l == label) {
            Some((_, length)) => *length += bead.length_mm,
            None => lengths.push((*label, bead.length_mm)),
        }
    }
    lengths.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).and_then(|(label, _)| label)
}

/// Length-weighted median width of a layer's beads over strands that close, mm.
#[must_use]
pub fn loop_width_mm(layer: &Layer) -> Option<f64> {
    let mut pairs: Vec<(f64, f64)> = Vec::new();
    for strand in layer.strands.iter().filter(|s| s.closed && !s.ghost) {
        pairs.extend(layer.strand_beads(strand).iter().map(|b| (b.width_mm, b.length_mm)));
    }
    weighted_median(&mut pairs)
}
