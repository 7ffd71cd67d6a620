//! Skirts and brims: loops at the bottom, outside the part, that nothing is built on.

use super::roles::places;
use super::run::Run;
use super::{Bead, BeadGrid, Layer, Loop, Nest, loops};
use crate::geom::Point;
use crate::profile::Role;
use rayon::prelude::*;
use std::collections::VecDeque;

/// Skirts are at most so many layers high.
const MOST_LAYERS: usize = 6;

/// What will lie over a layer at the bottom.
pub(super) struct Above<'a> {
    /// Beads of the next layer, and of one higher up than any skirt; none where the layer is too high for a skirt.
    next: Option<(&'a Run, &'a Run)>,
    /// Layers between the one at hand and the bed.
    from_bed: usize,
}

impl<'a> Above<'a> {
    /// What lies over the layer that has just left the front of the queue, `from_bed` layers above the bed.
    pub fn of(queue: &'a VecDeque<Run>, from_bed: usize) -> Self {
        if from_bed >= MOST_LAYERS {
            return Self { next: None, from_bed };
        }
        // Not so far up that the next of several objects begins.
        let rising = queue.iter().zip(queue.iter().skip(1)).take_while(|(a, b)| b.z_mm > a.z_mm).count();
        let higher = queue.get((MOST_LAYERS - from_bed - 1).min(rising));
        Self { next: queue.front().zip(higher), from_bed }
    }

    /// Gives adhesion its role.
    pub fn mark(&self, layer: &mut Layer) {
        let Some((next, higher)) = self.next else { return };
        // At the bottom of a print nothing else can be done yet, so all cores are free.
        let (next, higher) = rayon::join(|| Cover::new(next), || BeadGrid::new(&higher.beads, |_| true));
        let skirts = skirts(layer, &next, &higher);
        let brims = if self.from_bed == 0 { brims(layer, &skirts, &next) } else { Vec::new() };
        for strand in skirts.into_iter().chain(brims) {
            layer.strands[strand].role = Role::Adhesion;
            // Further up the same lines may be something else.
            layer.number = None;
        }
    }
}

/// A run that may lie over a strand.
struct Cover<'a> {
    grid: BeadGrid<'a>,
    loops: Nest,
}

impl<'a> Cover<'a> {
    fn new(run: &'a Run) -> Self {
        let loops = run.loops().map(|(number, beads)| Loop::new(number, beads)).collect();
        Self { grid: BeadGrid::new(&run.beads, |_| true), loops: Nest::new(loops) }
    }

    /// Whether so large a share of places along a strand lies within the run's loops or within `reach_mm` of its beads.
    fn lies_over(&self, layer: &Layer, strand: usize, least: f64, reach_mm: f64) -> bool {
        let beads = layer.strand_beads(&layer.strands[strand]);
        let is_over = |p| self.grid.any_near(p, reach_mm) || self.loops.smallest_around(p, |_| true).is_some();
        holds_along(beads, least, is_over)
    }
}

/// Whether something holds at so large a share of places along beads; looks no further than it must to tell.
fn holds_along(beads: &[Bead], least: f64, holds: impl Fn(Point) -> bool) -> bool {
    let length: f64 = beads.iter().map(|b| b.length_mm).sum();
    let places: Vec<Point> = places(beads, (length / 300.0).max(1.0)).map(|(p, _)| p).collect();
    let wanted = least * places.len() as f64;
    let (mut yes, mut left) = (0.0, places.len() as f64);
    for p in places {
        if yes >= wanted || yes + left < wanted {
            break;
        }
        left -= 1.0;
        yes += f64::from(u8::from(holds(p)));
    }
    yes >= wanted
}

/// Whether at so large a share of places along a strand a bead of `above` lies within `reach_mm`.
fn is_covered(layer: &Layer, strand: usize, above: &BeadGrid<'_>, least: f64, reach_mm: f64) -> bool {
    let beads = layer.strand_beads(&layer.strands[strand]);
    holds_along(beads, least, |p| above.any_near(p, reach_mm))
}

/// The least share there is.
const ANYWHERE: f64 = f64::MIN_POSITIVE;

/// More than four fifths of the places along a strand.
const NEARLY_ALL: f64 = 0.801;

fn width(layer: &Layer) -> f64 {
    super::flow::median_width_mm(&layer.beads).unwrap_or(0.4)
}

/// Strands on which nothing stands, at once or higher up, and which touch nothing on which something stands.
fn skirts(layer: &Layer, next: &Cover<'_>, higher: &BeadGrid<'_>) -> Vec<usize> {
    let width = width(layer);
    let is_bare = |s: usize| !next.lies_over(layer, s, 0.05, width) || !is_covered(layer, s, higher, 0.05, 1.5 * width);
    let bare: Vec<bool> = (0..layer.strands.len()).into_par_iter().map(is_bare).collect();
    let mut alone: Vec<usize> = (0..bare.len()).filter(|s| bare[*s]).collect();
    if alone.is_empty() || alone.len() == bare.len() {
        return Vec::new();
    }
    // A line of a core on which a pocket opens is bare, and as far from the next as a skirt; but it lies within the part.
    let part = Nest::new(loops(&layer.beads, &layer.strands).into_iter().filter(|l| !bare[l.strand]).collect());
    let is_within = |s: usize| {
        let place = layer.strand_beads(&layer.strands[s]).first().map(|b| b.from.lerp(b.to, 0.5));
        place.is_some_and(|place| part.smallest_around(place, |_| true).is_some())
    };
    alone.retain(|s| !is_within(*s));
    let mut built = vec![false; layer.beads.len()];
    for (strand, _) in bare.iter().enumerate().filter(|(_, b)| !**b) {
        built[layer.strands[strand].beads.clone()].fill(true);
    }
    // Whatever touches the part, directly or through others, is part.
    loop {
        let grid = BeadGrid::new(&layer.beads, |i| built[i]);
        let touching: Vec<usize> =
            alone.iter().copied().filter(|s| is_covered(layer, *s, &grid, ANYWHERE, 1.6 * width)).collect();
        if touching.is_empty() {
            return alone;
        }
        for strand in &touching {
            built[layer.strands[*strand].beads.clone()].fill(true);
        }
        alone.retain(|s| !touching.contains(s));
    }
}

/// Loops side by side round the part's walls, on which nothing stands.
///
/// The part's own outer walls may be bare too, where it tapers quickly. So loops are counted inwards as far as they
/// lie side by side: only what has more of them within than the next layer has at all can be brim.
fn brims(layer: &Layer, skirts: &[usize], next: &Cover<'_>) -> Vec<usize> {
    let width = width(layer);
    let bare: Vec<bool> =
        (0..layer.strands.len()).into_par_iter().map(|s| !next.lies_over(layer, s, 0.2, 0.6 * width)).collect();
    let rings = loops(&layer.beads, &layer.strands).into_iter().filter(|l| !skirts.contains(&l.strand));
    let nest = Nest::new(rings.collect());
    let rings: Vec<usize> = (0..nest.loops.len()).filter(|l| bare[nest.loops[*l].strand]).collect();
    let of_rings: f64 = rings.iter().map(|l| volume(layer, |s| s == nest.loops[*l].strand)).sum();
    let of_fill: f64 = volume(layer, |s| !layer.strands[s].closed && bare[s] && !skirts.contains(&s));
    // A foot one layer thick is bare as well, but it has fill.
    if rings.is_empty() || of_fill > 0.1 * of_rings {
        return Vec::new();
    }
    // Lines of a core that follows the walls are not taken for walls of the layer above.
    let walls = side_by_side(&next.loops, 1.2 * width).into_iter().max().unwrap_or(0);
    let deep = side_by_side(&nest, 1.5 * width);
    let excess = deep.iter().copied().max().unwrap_or(0).saturating_sub(walls);
    let tight = |l: usize| is_covered(layer, nest.loops[l].strand, &next.grid, NEARLY_ALL, 0.25 * width);
    let is_brim = |l: usize| {
        let around: Vec<usize> = nest.around(l).collect();
        let outermost = around.last().copied().unwrap_or(l);
        let too_many = deep[l] > walls || around.len() < excess;
        too_many && bare[nest.loops[outermost].strand] && !tight(l) && !around.iter().any(|a| tight(*a))
    };
    let mut brims: Vec<usize> = (0..nest.loops.len()).filter(|l| is_brim(*l)).collect();
    // What goes round the brims of two pieces lies beside neither all the way, and is brim as well.
    let round_all: Vec<usize> = brims.iter().flat_map(|l| nest.around(*l)).collect();
    brims.extend(round_all);
    brims.sort_unstable();
    brims.dedup();
    brims.into_iter().map(|l| nest.loops[l].strand).collect()
}

fn volume(layer: &Layer, take: impl Fn(usize) -> bool) -> f64 {
    let taken = layer.strands.iter().enumerate().filter(|(i, _)| take(*i));
    taken.flat_map(|(_, s)| layer.strand_beads(s)).map(Bead::volume_mm3).sum()
}

/// For each loop how many lie side by side from it inwards, itself the first; the most found.
pub(super) fn side_by_side(nest: &Nest, reach_mm: f64) -> Vec<usize> {
    let mut deep = vec![1; nest.loops.len()];
    let mut by_size: Vec<usize> = (0..nest.loops.len()).collect();
    by_size.sort_by(|a, b| nest.loops[*a].area_mm2.abs().total_cmp(&nest.loops[*b].area_mm2.abs()));
    for l in by_size {
        if let Some(parent) = nest.parents[l]
            && hugs(&nest.loops[l], &nest.loops[parent], reach_mm)
        {
            deep[parent] = deep[parent].max(deep[l] + 1);
        }
    }
    deep
}

/// A third of the inner loop's corners lie within a distance of the outer loop: where that goes round two pieces, it
/// keeps away from each on the side of the other.
fn hugs(inner: &Loop, outer: &Loop, reach_mm: f64) -> bool {
    let step = inner.ring.len().div_ceil(40).max(1);
    let asked: Vec<bool> = inner.ring.iter().step_by(step).map(|p| outer.distance_mm(*p) < reach_mm).collect();
    3 * asked.iter().filter(|near| **near).count() >= asked.len()
}

#[cfg(test)]
mod tests {
    use super::super::by_hand::{beads, ring};
    use super::*;

    #[test]
    fn a_share_of_the_places_along_a_bead() {
        // Ten places a millimetre apart, of which four lie before 3.5.
        let bead = beads(&[(0.0, 0.0), (10.0, 0.0)]);
        let holds = |least: f64| holds_along(&bead, least, |p| p.x < 3.5);
        assert!(holds(0.4) && !holds(0.41) && !holds(0.5) && holds(ANYWHERE));
        assert!(!holds_along(&bead, ANYWHERE, |_| false));
    }

    #[test]
    fn loops_side_by_side_are_counted_inwards() {
        let square = |inset: f64| Loop::new(0, &beads(&ring(inset, inset, 30.0 - inset, 30.0 - inset, 0.0)));
        let nest = Nest::new([0.0, 0.4, 0.8, 5.0, 5.4].map(square).to_vec());
        assert_eq!(side_by_side(&nest, 0.5), [3, 2, 1, 2, 1]);
        assert_eq!(side_by_side(&nest, 5.0), [5, 4, 3, 2, 1]);
    }

    #[test]
    fn a_loop_is_beside_the_one_around_it_with_a_third_of_its_corners() {
        let square = Loop::new(0, &beads(&ring(0.0, 0.0, 30.0, 30.0, 0.0)));
        let inner = |corners: &[(f64, f64)]| Loop::new(1, &beads(corners));
        let one = inner(&[(10.0, 0.4), (20.0, 10.0), (10.0, 20.0), (10.0, 0.4)]);
        assert!(hugs(&one, &square, 0.5), "one of three");
        let fewer = inner(&[(10.0, 0.4), (20.0, 10.0), (15.0, 15.0), (10.0, 20.0), (10.0, 0.4)]);
        assert!(!hugs(&fewer, &square, 0.5), "one of four");
    }
}
