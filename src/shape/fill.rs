//! Fill: which strands lie close enough to leave no gaps, and how full the core is.

use super::bare::bare_mm2;
use super::core_room::CoreRoom;
use super::layer_shape::Core;
use super::outline::Spacing;
use super::zigzag::teeth_mm;
use crate::geom::{Point, Segment, SegmentGrid};

/// A straight piece of an open strand within a core.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct FillPiece {
    pub segment: Segment,
    pub strand: usize,
    pub area_mm2: f64,
    pub length_mm: f64,
}

/// Neighbouring lines of solid fill lie no further apart than this many times the pitch they are meant for.
const SOLID_PITCH: f64 = 1.22;

/// A piece of a solid patch shorter than this many times the distance of its lines may be a turn from one to the next.
const LEAST_LINE: f64 = 2.0;

/// The last line of a patch is about as long as what lies beside it: at least this share of it. Else a short end that
/// counts as solid would make the whole core solid that follows on it, as in cells of doubled lines.
const LEAST_FRIEND: f64 = 0.25;

/// Cosine of 20 degrees: lines within that angle lie beside each other.
const PARALLEL: f64 = 0.94;

/// What lies beside a strand's lines, as lengths.
#[derive(Debug, Clone, Copy, Default)]
struct Beside {
    whole_mm: f64,
    /// Less what lies between two walls, where nothing can be told.
    length_mm: f64,
    /// A bead close on both sides.
    both_mm: f64,
    /// Nothing close on either side.
    none_mm: f64,
    /// A bead close on one side only, and it is fill.
    one_mm: f64,
}

/// For each strand whether it is solid fill. `walls` are pieces of walls, which close a side too; `dense` is what
/// strands between two walls are taken for.
pub(super) fn solid_strands(pieces: &[FillPiece], walls: &[Segment], dense: &[bool], spacing: Spacing) -> Vec<bool> {
    let strands = dense.len();
    let all: Vec<Segment> = pieces.iter().map(|p| p.segment).chain(walls.iter().copied()).collect();
    let widest = pieces.iter().map(|p| spacing.pitch_mm(p.area_mm2)).fold(0.1, f64::max);
    let grid = SegmentGrid::new(&all, (3.0 * widest).clamp(0.5, 6.0));
    let mut beside = vec![Beside::default(); strands];
    let mut friend: Vec<Option<usize>> = vec![None; strands];
    for piece in pieces {
        let Some(along) = piece.segment.direction() else { continue };
        let reach = SOLID_PITCH * spacing.pitch_mm(piece.area_mm2);
        let looks = ((piece.length_mm / (4.0 * reach)) as usize).clamp(1, 4);
        for k in 0..looks {
            let at = piece.segment.from.lerp(piece.segment.to, (k as f64 + 0.5) / looks as f64);
            let found = [along.left(), -along.left()].map(|side| closest(&grid, &all, at, side, along, reach));
            let share = piece.length_mm / looks as f64;
            let b = &mut beside[piece.strand];
            b.whole_mm += share;
            b.length_mm += share;
            let is_wall = |i: usize| i >= pieces.len();
            match found {
                [Some(i), Some(j)] if is_wall(i) && is_wall(j) => b.length_mm -= share,
                [Some(_), Some(_)] => b.both_mm += share,
                // Where lines turn about at the edge of a patch they are no line of it.
                [Some(i), None] | [None, Some(i)] if !is_wall(i) && pieces[i].length_mm > LEAST_LINE * reach => {
                    b.one_mm += share;
                    friend[piece.strand] = Some(pieces[i].strand);
                }
                [None, None] => b.none_mm += share,
                _ => {}
            }
        }
    }
    let mut zigzag = vec![false; strands];
    for strand in pieces.chunk_by(|a, b| a.strand == b.strand) {
        zigzag[strand[0].strand] = is_full_zigzag(strand, spacing);
    }
    let mut solid: Vec<bool> = beside
        .iter()
        .zip(dense.iter().zip(zigzag))
        .map(|(b, (dense, zigzag))| {
            let told = b.length_mm > 0.5 * b.whole_mm;
            zigzag || (told && b.both_mm > 0.5 * b.length_mm) || (*dense && b.none_mm < 0.5 * b.whole_mm)
        })
        .collect();
    // The last line of a patch has a neighbour on one side only.
    let edges: Vec<usize> = (0..strands)
        .filter(|&s| {
            let b = beside[s];
            let beside_patch = |f: usize| f != s && solid[f] && beside[f].whole_mm > LEAST_FRIEND * b.whole_mm;
            !solid[s] && b.both_mm + b.one_mm > 0.5 * b.length_mm && friend[s].is_some_and(beside_patch)
        })
        .collect();
    for s in edges {
        solid[s] = true;
    }
    solid
}

/// The nearest line to the side of `at` that runs along `along`, within `reach_mm`.
fn closest(grid: &SegmentGrid, all: &[Segment], at: Point, side: Point, along: Point, reach_mm: f64) -> Option<usize> {
    let end = at + side * reach_mm;
    let low = Point::new(at.x.min(end.x), at.y.min(end.y));
    let high = Point::new(at.x.max(end.x), at.y.max(end.y));
    let mut best: Option<(f64, usize)> = None;
    grid.in_box(low, high, |i| {
        if let Some(d) = all[i].met_by_ray(at, side).filter(|d| *d > 0.05 * reach_mm && *d <= reach_mm)
            && best.is_none_or(|b| d < b.0)
            && all[i].direction().is_some_and(|d| d.dot(along).abs() > PARALLEL)
        {
            best = Some((d, i));
        }
    });
    best.map(|b| b.1)
}

/// Whether the pieces of a strand are a zigzag of legs about as short as the bead is wide, laid so close that it
/// fills its band:
///
/// ```text
///    /\/\/\/\/\/\      no leg has another beside it; from tooth to tooth there are two
/// ```
fn is_full_zigzag(strand: &[FillPiece], spacing: Spacing) -> bool {
    let pitch = strand.iter().map(|p| spacing.pitch_mm(p.area_mm2)).fold(0.0, f64::max);
    let path: Vec<Segment> = strand.iter().map(|p| p.segment).collect();
    teeth_mm(&path, pitch).is_some_and(|apart| apart <= 2.0 * SOLID_PITCH * pitch)
}

/// A core whose sparse part is less than this share of it counts as solid.
const SOLID_SHARE: f64 = 0.85;

/// Solid fill over less than this share of a core that holds sparse lines is no skin.
const LEAST_SOLID: f64 = 0.02;

/// Less than this share of the core, or than this many widths squared, is too small to speak of its density.
const WORTH_SHARE: f64 = 0.02;
const WORTH_WIDTHS: f64 = 20.0;

/// The core of a layer from its rooms and its fill; `None` without any room.
pub(super) fn core_of(rooms: &[CoreRoom], pieces: &[FillPiece], solid: &[bool], spacing: Spacing) -> Option<Core> {
    let area_mm2: f64 = rooms.iter().map(CoreRoom::area_mm2).sum();
    if area_mm2.is_nan() || area_mm2 <= 0.0 {
        return None;
    }
    let (mut solid_mm2, mut solid_mm3, mut sparse_mm3, mut widest) = (0.0, 0.0, 0.0, 0.0_f64);
    for piece in pieces {
        let volume = piece.area_mm2 * piece.length_mm;
        widest = widest.max(spacing.width_mm(piece.area_mm2));
        if solid[piece.strand] {
            solid_mm2 += piece.length_mm * spacing.pitch_mm(piece.area_mm2);
            solid_mm3 += volume;
        } else {
            sparse_mm3 += volume;
        }
    }
    let open_mm2 = if solid_mm3 > 0.0 && sparse_mm3 <= 0.0 {
        0.0
    } else if solid_mm2 <= LEAST_SOLID * area_mm2 {
        // A few short lines that lie close are no skin.
        sparse_mm3 += std::mem::take(&mut solid_mm3);
        area_mm2
    } else {
        bare_mm2(rooms, pieces, solid, spacing)
    };
    let worth = open_mm2 > WORTH_WIDTHS * widest * widest && open_mm2 > WORTH_SHARE * area_mm2;
    let density = if worth {
        Some(sparse_mm3 / (open_mm2 * spacing.height_mm))
    } else {
        Some((solid_mm3 + sparse_mm3) / (area_mm2 * spacing.height_mm))
            .filter(|_| area_mm2 > WORTH_WIDTHS * widest * widest)
    };
    let solid = open_mm2 < (1.0 - SOLID_SHARE) * area_mm2 || density.is_some_and(|d| d > SOLID_SHARE);
    // More than full: the fill lies in a place that the core's polygons do not tell. A little more: lines laid closer
    // than their flow asks for, as over open cells; what there is no room for hangs below or is pressed out.
    let density = density.filter(|d| *d < MOST_DENSITY).map(|d| d.min(1.0));
    Some(Core { area_mm2, density, solid, directions: directions(pieces) })
}

impl Core {
    /// Whether what fill there is leaves no gaps, so that lines without neighbours of their kind, as the last ones in a
    /// narrow ring, are solid as well.
    pub(super) fn is_full(&self) -> bool {
        self.density.is_some_and(|density| density > SOLID_SHARE)
    }
}

/// No core is fuller than this; overlaps of walls and fill make up to a tenth.
const MOST_DENSITY: f64 = 1.15;

/// Angles of the line families with the share of the length along each, longest first.
fn directions(pieces: &[FillPiece]) -> Vec<(f64, f64)> {
    const BIN_DEG: f64 = 5.0;
    const BINS: usize = 36;
    let mut bins = [(0.0_f64, 0.0_f64); BINS];
    let mut total = 0.0;
    for piece in pieces {
        let Some(d) = piece.segment.direction() else { continue };
        let angle = d.y.atan2(d.x).to_degrees().rem_euclid(180.0);
        let bin = ((angle / BIN_DEG).round() as usize) % BINS;
        let centred = if angle > 180.0 - 0.5 * BIN_DEG { angle - 180.0 } else { angle };
        bins[bin].0 += centred * piece.length_mm;
        bins[bin].1 += piece.length_mm;
        total += piece.length_mm;
    }
    let mut families: Vec<(f64, f64)> =
        bins.iter().filter(|b| b.1 > 0.1 * total).map(|b| ((b.0 / b.1).rem_euclid(180.0), b.1 / total)).collect();
    families.sort_by(|a, b| b.1.total_cmp(&a.1));
    families
}

#[cfg(test)]
#[path = "fill_tests.rs"]
mod tests;
