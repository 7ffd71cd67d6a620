//! Outline polygons from the loops that stand next to air.

use super::loops::{Loop, weighted_median};
use super::nest::{Nest, Standing};
use crate::deposit::WIDEST_BEAD_MM;
use crate::geom::{Point, Polygon, Ring, difference, offset_ring, union};

/// How wide beads are meant to lie, from how they do lie.
///
/// A bead's width follows from its flow; but where too little comes out the walls still stand at the distance
/// they were meant for, and the part's outline is where it was drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spacing {
    /// Distance of neighbouring walls over section / height; 1 when flow and distance agree.
    pub ratio: f64,
    /// That ratio as measured, where enough walls stand side by side.
    pub measured: Option<f64>,
    pub height_mm: f64,
}

/// Flow and distance of walls may differ by this share before the distance is believed instead of the flow.
const FLOW_DOUBT: f64 = 0.15;

/// Shares of the distance that flow tells within which two walls can be neighbours at all.
const BELIEVABLE: std::ops::Range<f64> = 0.35..2.6;

impl Spacing {
    /// Flow and distance agree, as far as anyone knows.
    pub const fn plain(height_mm: f64) -> Self {
        Self { ratio: 1.0, measured: None, height_mm }
    }

    /// From the distances between walls of `nest` that lie within each other, weighted by length.
    ///
    /// Two loops alone may be the two faces of a rib that do not touch. So a distance counts only where a third
    /// wall stands as far on, or fill lies within (`fill_mm` is the length of fill just within each loop).
    ///
    /// Where the print's usual distance is known, another flow is believed only if the walls still stand at it.
    pub fn of(nest: &Nest, fill_mm: &[f64], usual_mm: Option<f64>, height_mm: f64) -> Self {
        let ratio_at = |i: usize| nest.mean_pitch_mm(i) * height_mm / nest.loops[i].area_mm2;
        let lone = |i: usize| if let [child] = nest.children[i][..] { Some(child) } else { None };
        let mut pairs = Vec::new();
        for i in 0..nest.loops.len() {
            let Some(child) = lone(i).filter(|_| fill_mm[i] <= 0.0) else { continue };
            let ratio = ratio_at(i);
            let goes_on = lone(child).is_some() && (ratio_at(child) / ratio - 1.0).abs() < 0.06;
            if BELIEVABLE.contains(&ratio) && (fill_mm[child] > nest.loops[child].width_mm || goes_on) {
                pairs.push((ratio, nest.loops[i].length_mm));
            }
        }
        let known: f64 = pairs.iter().map(|p| p.1).sum();
        let ratio = weighted_median(pairs.clone());
        let steady: f64 = pairs.iter().filter(|p| (p.0 / ratio - 1.0).abs() < 0.06).map(|p| p.1).sum();
        let measured = (known > 10.0 && steady > 0.6 * known).then_some(ratio);
        let agrees = |r: f64| (r - 1.0).abs() <= FLOW_DOUBT;
        let flow_mm = weighted_median(nest.loops.iter().map(|l| (l.area_mm2 / height_mm, l.length_mm)).collect());
        let believed = match (measured, usual_mm.map(|u| u / flow_mm)) {
            // As asked for, or nothing known.
            (Some(r), _) if agrees(r) => Some(r),
            (Some(r), Some(wanted)) => Some(r).filter(|r| agrees(r / wanted)),
            // Walls too few to stand side by side: all of them much thinner than anywhere else.
            (None, Some(wanted)) if BELIEVABLE.contains(&wanted) && wanted > 1.0 + FLOW_DOUBT => Some(wanted),
            (measured, None) => measured,
            (None, _) => None,
        };
        Self { ratio: believed.filter(|r| !agrees(*r)).unwrap_or(1.0), measured: believed, height_mm }
    }

    /// Distance at which beads of this section are meant to lie, mm.
    pub fn pitch_mm(&self, area_mm2: f64) -> f64 {
        (self.ratio * area_mm2 / self.height_mm).min(WIDEST_BEAD_MM)
    }

    /// Walls whose centrelines are further apart than this do not touch, mm: one and a half times the pitch (real
    /// walls lie within 0.63 to 1.28 widths, the two faces of a rib that do not touch at 1.42 and more; measured on
    /// real files).
    pub fn widest_fused_mm(&self, area_mm2: f64) -> f64 {
        1.5 * self.pitch_mm(area_mm2)
    }

    /// Width that beads of this section are meant to have, mm: pitch + h (1 - pi/4), the section being a
    /// rectangle with half-round ends.
    pub fn width_mm(&self, area_mm2: f64) -> f64 {
        self.pitch_mm(area_mm2) + self.height_mm * (1.0 - std::f64::consts::FRAC_PI_4)
    }
}

/// The inside of a loop, out to the outer flank of its bead (`grow` 1) or in to the inner flank (-1).
fn flank(l: &Loop, spacing: Spacing, grow: f64) -> Vec<Polygon> {
    if !l.uneven {
        return offset_ring(&l.ring, grow * 0.5 * spacing.width_mm(l.area_mm2));
    }
    let side = grow * if l.leftwards { 1.0 } else { -1.0 };
    let ring = uneven_flank(&l.ring, |i| side * 0.5 * spacing.width_mm(l.areas_mm2[i]));
    let (turned, half) = (Polygon { outer: ring, holes: Vec::new() }, 0.5 * spacing.width_mm(l.area_mm2));
    // Where the width steps the flank may cross itself; what that leaves beside it is no more than a speck.
    union(&[turned], &[]).into_iter().filter(|p| p.area_mm2() > half * half).collect()
}

/// The ring moved to the right by a distance that each piece has for itself.
fn uneven_flank(ring: &Ring, right_mm: impl Fn(usize) -> f64) -> Ring {
    let count = ring.len();
    let along = |i: usize| (ring[(i + 1) % count] - ring[i]).unit().unwrap_or(Point::new(1.0, 0.0));
    let mut flank = Vec::with_capacity(2 * count);
    for (i, &corner) in ring.iter().enumerate() {
        let before = (i + count - 1) % count;
        let (a, b) = (along(before), along(i));
        let (p, q) = (corner - a.left() * right_mm(before), corner - b.left() * right_mm(i));
        let turn = a.cross(b);
        let tip = p + a * ((q - p).cross(b) / turn);
        let reach = 3.0 * right_mm(before).abs().max(right_mm(i).abs());
        if turn.abs() > 0.05 && a.dot(b) > -0.7 && tip.distance(corner) < reach {
            flank.push(tip);
        } else {
            flank.extend([p, q]);
        }
    }
    flank
}

/// The outline of what the loops of `nest` surround: bodies less holes, islands in holes again.
pub(super) fn outline_of(nest: &Nest, spacing: Spacing) -> Vec<Polygon> {
    let deepest = nest.depth.iter().copied().max().unwrap_or(0);
    let mut outline = Vec::new();
    for depth in 0..=deepest {
        let (mut bodies, mut holes) = (Vec::new(), Vec::new());
        for i in (0..nest.loops.len()).filter(|&i| nest.depth[i] == depth) {
            if matches!(nest.standing[i], Standing::Outside | Standing::Both) {
                bodies.extend(flank(&nest.loops[i], spacing, 1.0));
            }
            if matches!(nest.standing[i], Standing::Hole | Standing::Both) {
                holes.extend(flank(&nest.loops[i], spacing, -1.0));
            }
        }
        let level = if holes.is_empty() { union(&bodies, &[]) } else { difference(&bodies, &holes) };
        outline = if outline.is_empty() { level } else { union(&outline, &level) };
    }
    outline
}

#[cfg(test)]
#[path = "outline_tests.rs"]
mod tests;
