//! What may be wrong in a layer: walls with gaps, ribs of one bead, thin flow.

use super::layer_shape::{Rib, RoleFlow, WallGap, WallSample};
use super::loops::weighted_median;
use super::nest::{Nest, Standing};
use crate::deposit::Layer;
use crate::geom::{Point, Segment, SegmentGrid};
use crate::profile::Role;
use std::collections::BTreeMap;

/// A missing stretch shorter than this many widths is an early stop, not a gap.
const GAP_WIDTHS: f64 = 2.0;

/// Stretches of the loops of `nest` without plastic, over which no other bead lies.
pub(super) fn wall_gaps(layer: &Layer, nest: &Nest) -> Vec<WallGap> {
    if nest.loops.iter().all(|l| l.gaps.is_empty()) {
        return Vec::new();
    }
    let least_mm2 = 0.25 * weighted_median(layer.beads.iter().map(|b| (b.area_mm2, b.length_mm)).collect());
    let lines: Vec<Segment> =
        layer.beads.iter().filter(|b| b.area_mm2 > least_mm2).map(|b| Segment::new(b.from, b.to)).collect();
    let grid = SegmentGrid::new(&lines, 2.0);
    let mut gaps = Vec::new();
    for (l, standing) in nest.loops.iter().zip(&nest.standing) {
        for gap in &l.gaps {
            let (at, length_mm) = (gap.middle, gap.from.distance(gap.to));
            let reach = 0.45 * l.width_mm;
            let is_covered = |at: Point| {
                let mut covered = false;
                grid.near(at, reach, |i| covered |= lines[i].nearest(at).0.distance(at) < reach);
                covered
            };
            // The middle of a long bow is a guess; near its ends it is not.
            let covered = is_covered(at) && gap.further.into_iter().all(is_covered);
            if length_mm > GAP_WIDTHS * l.width_mm && !covered {
                gaps.push(WallGap { at, length_mm, outer: *standing != Standing::Inner });
            }
        }
    }
    gaps
}

/// A rib is at least this long, mm.
const SHORTEST_RIB_MM: f64 = 2.0;

/// Stretches of neighbouring samples of one bead from face to face. The two faces of a rib give it twice; the
/// second is left out.
pub(super) fn thin_ribs(rings: &[Vec<WallSample>]) -> Vec<Rib> {
    let mut ribs: Vec<Rib> = Vec::new();
    for ring in rings {
        let of_one_kind = ring.chunk_by(|a, b| a.is_single_bead() == b.is_single_bead());
        for run in of_one_kind.filter(|run| run[0].is_single_bead()) {
            let length_mm: f64 = run.windows(2).map(|w| w[0].at.distance(w[1].at)).sum();
            let mut turns = split_at_turns(run);
            for face in turns.drain(..) {
                let Some(rib) = rib_of(face) else { continue };
                let known = |r: &Rib| r.at.distance(rib.at) < 0.5 * r.length_mm.max(rib.length_mm).min(length_mm);
                if rib.length_mm >= SHORTEST_RIB_MM && !ribs.iter().any(known) {
                    ribs.push(rib);
                }
            }
        }
    }
    ribs
}

/// Cuts a run of samples where it goes round the end of a rib and comes back.
fn split_at_turns(run: &[WallSample]) -> Vec<&[WallSample]> {
    let mut parts = Vec::new();
    let mut start = 0;
    for i in 1..run.len() {
        let begun: Point = run[i - 1].at - run[start].at;
        if i > start + 1 && begun.dot(run[i].at - run[i - 1].at) < 0.0 {
            parts.push(&run[start..i]);
            start = i;
        }
    }
    parts.push(&run[start..]);
    parts
}

fn rib_of(face: &[WallSample]) -> Option<Rib> {
    let (first, last) = (face.first()?, face.last()?);
    let length_mm: f64 = face.windows(2).map(|w| w[0].at.distance(w[1].at)).sum();
    let mut thick: Vec<f64> = face.iter().map(|s| s.thickness_mm).collect();
    thick.sort_by(f64::total_cmp);
    let thickness_mm = thick[thick.len() / 2];
    let inward = (last.at - first.at).unit()?.left() * (0.5 * thickness_mm);
    Some(Rib { at: face[(face.len() - 1) / 2].at + inward, length_mm, thickness_mm })
}

/// The median bead section of every role.
pub(super) fn role_flow(layer: &Layer, roles: &[Role]) -> Vec<RoleFlow> {
    let mut sections: BTreeMap<Role, Vec<(f64, f64)>> = BTreeMap::new();
    for (strand, role) in layer.strands.iter().zip(roles) {
        let beads = layer.strand_beads(strand).iter().map(|b| (b.area_mm2, b.length_mm));
        sections.entry(*role).or_default().extend(beads);
    }
    sections
        .into_iter()
        .map(|(role, sections)| RoleFlow {
            role,
            length_mm: sections.iter().map(|s| s.1).sum(),
            area_mm2: weighted_median(sections),
        })
        .collect()
}

#[cfg(test)]
#[path = "flow_tests.rs"]
mod tests;
