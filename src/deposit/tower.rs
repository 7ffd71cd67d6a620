//! A tower beside the part on which tools are cleaned after every change, told from motion alone.
//!
//! ```text
//!    change to 1:  tower, then the part     |####|        ____________
//!    change to 0:  tower, then the part     |####|       /    part    \
//! ```
//!
//! It stands on the bed apart from everything, whatever tool comes next is first tried there, and nothing is laid on it
//! at any other time. A real second body can look much the same, so one more sign is asked for: whole layers of it laid
//! by one tool and then by the other, as nobody builds a body; or a plain rectangle, filled with lines within fewer walls
//! than the part has, or with as much room left in it on the bed as higher up, where a body has its floor.

use super::adhesion::side_by_side;
use super::run::{Piece, Run};
use super::strand::rough_width_mm;
use super::{Bead, Layer, Loop, Nest};
use crate::geom::{Point, convex_hull, signed_area, spans};
use crate::profile::Role;
use std::f64::consts::FRAC_PI_2;

/// So many layers with a change have to say the same.
const LEAST_LAYERS: usize = 3;
/// Nothing else comes nearer to it than this, mm.
const APART_MM: f64 = 1.0;
/// Rounds of looking for what touches it; what then still does is too near.
const MOST_ROUNDS: usize = 40;
/// From layer to layer its edge may move by this much, mm.
const STEADY_MM: f64 = 0.3;
/// Share of its rectangle that its plastic fills at most, and by how much that changes from layer to layer.
const MOST_FILLED: f64 = 0.85;
const STEADY_FILL: f64 = 0.1;
/// There is a layer in which it takes less than this share of the rest's plastic; a twin of the part takes as much.
const MOST_SHARE: f64 = 0.8;
/// Of lines rather than of walls: this share of its plastic at least.
const MOSTLY_LINES: f64 = 0.4;
/// The hull of what is laid for a plain rectangle has this share of its box.
const RECTANGLE: f64 = 0.96;

/// Where a tower stands, or what may be one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tower {
    /// Direction of its sides, a unit vector within 45 degrees of x: towers are turned on the bed to fit.
    along: Point,
    /// Corner of the rectangle of its beads' middles that lies least along its sides, mm in the frame of those.
    low: Point,
    /// The opposite corner, mm in the same frame.
    high: Point,
    /// It is no body of the part; else it may as well be one, and is counted as one.
    pub sure: bool,
}

/// What one layer lays on a tower.
struct Visit {
    /// Tools that lay on it.
    tools: Vec<u16>,
    /// Share of its rectangle that is filled.
    filled: f64,
    /// Plastic on it over plastic elsewhere.
    share: f64,
    /// Every tool lays a rectangle.
    plain: bool,
    /// Most of it is lines, within fewer walls than stand elsewhere.
    lines: bool,
}

impl Tower {
    /// The tower among the first layers of a print, if two tools share them and there may be one.
    pub(super) fn find(runs: &[&Run]) -> Option<Self> {
        let (first, later) = runs.split_first()?;
        let tool = first.pieces.first()?.tool;
        if runs.iter().flat_map(|r| &r.pieces).all(|p| p.tool == tool) {
            return None;
        }
        let mut below = *first;
        let (mut tower, mut visits): (Option<Self>, Vec<Visit>) = (None, Vec::new());
        for run in later {
            let here = after_change(below, run);
            if let Some(number) = here.first() {
                let found = *tower.get_or_insert_with(|| Self::around(run, *number));
                visits.push(found.visit(below, run, &here)?);
            } else if let Some(found) = tower {
                found.inside_apart(run)?;
            }
            below = *run;
        }
        let of_lines = || visits.iter().all(|v| v.plain && v.lines);
        let sure = takes_turns(&visits) || is_open_rectangle(&visits) || of_lines();
        tower.filter(|_| visits.len() >= LEAST_LAYERS).map(|tower| Self { sure, ..tower })
    }

    /// What lies round one piece and touches it, directly or through others.
    fn around(run: &Run, number: usize) -> Self {
        let points = |p: &Piece| run.beads[p.beads.clone()].iter().flat_map(|b| [b.from, b.to]);
        let (low, high) = (Point::new(f64::MAX, f64::MAX), Point::new(f64::MIN, f64::MIN));
        let along = direction_of(&points(&run.pieces[number]).collect::<Vec<_>>());
        let mut tower = Self { along, low, high, sure: false };
        let mut out: Vec<&Piece> = run.pieces.iter().collect();
        let mut joining = vec![out.remove(number)];
        for _ in 0..MOST_ROUNDS {
            for p in joining.drain(..).flat_map(points).map(|p| tower.framed(p)).collect::<Vec<_>>() {
                tower.low = Point::new(tower.low.x.min(p.x), tower.low.y.min(p.y));
                tower.high = Point::new(tower.high.x.max(p.x), tower.high.y.max(p.y));
            }
            let touches = |p: &&Piece| run.beads[p.beads.clone()].iter().any(|b| tower.meets(b, APART_MM));
            (joining, out) = out.into_iter().partition(touches);
            if joining.is_empty() {
                break;
            }
        }
        tower
    }

    /// A place in the frame of its sides.
    fn framed(&self, p: Point) -> Point {
        Point::new(p.dot(self.along), p.dot(self.along.left()))
    }

    /// Its corners, counter-clockwise, mm.
    #[must_use]
    pub fn corners(&self) -> [Point; 4] {
        let (low, high) = (self.low, self.high);
        [(low.x, low.y), (high.x, low.y), (high.x, high.y), (low.x, high.y)]
            .map(|(along, across)| self.along * along + self.along.left() * across)
    }

    /// Whether a bead comes within a distance of the rectangle.
    fn meets(&self, bead: &Bead, within_mm: f64) -> bool {
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        let begin = self.framed(bead.from);
        let step = self.framed(bead.to) - begin;
        let sides = [(begin.x, step.x, self.low.x, self.high.x), (begin.y, step.y, self.low.y, self.high.y)];
        for (start, step, low, high) in sides {
            let (low, high) = (low - within_mm, high + within_mm);
            if step == 0.0 {
                if !(low..=high).contains(&start) {
                    return false;
                }
                continue;
            }
            let (a, b) = ((low - start) / step, (high - start) / step);
            (from, to) = (from.max(a.min(b)), to.min(a.max(b)));
        }
        from <= to
    }

    fn holds(&self, p: Point) -> bool {
        let p = self.framed(p);
        (self.low.x - STEADY_MM..=self.high.x + STEADY_MM).contains(&p.x)
            && (self.low.y - STEADY_MM..=self.high.y + STEADY_MM).contains(&p.y)
    }

    fn holds_all(&self, beads: &[Bead]) -> bool {
        beads.iter().all(|b| self.holds(b.from) && self.holds(b.to))
    }

    /// Which pieces of a run lie on it; `None` where something else comes too near.
    fn inside_apart(&self, run: &Run) -> Option<Vec<bool>> {
        let beads = |p: &Piece| &run.beads[p.beads.clone()];
        let inside: Vec<bool> = run.pieces.iter().map(|p| self.holds_all(beads(p))).collect();
        let mut others = run.pieces.iter().zip(&inside).filter(|(_, inside)| !**inside);
        let near = others.any(|(p, _)| beads(p).iter().any(|b| self.meets(b, APART_MM)));
        (!near).then_some(inside)
    }

    /// What `run` lays on it; `None` where a tool goes elsewhere first or comes back to it later, where nothing is laid
    /// elsewhere (what is all there is, is the part), and where one tool lays all (plates of two materials in turn).
    /// `changed` are the pieces that follow a change of tools.
    fn visit(&self, below: &Run, run: &Run, changed: &[usize]) -> Option<Visit> {
        let inside = self.inside_apart(run)?;
        let returns = |i: usize| inside[i] && i > 0 && !inside[i - 1] && run.pieces[i - 1].tool == run.pieces[i].tool;
        let all_there_is = inside.iter().all(|inside| *inside);
        let one_tool = run.pieces.iter().all(|p| p.tool == run.pieces[0].tool);
        if all_there_is || one_tool || changed.iter().any(|i| !inside[*i]) || (0..inside.len()).any(returns) {
            return None;
        }
        let own = || run.pieces.iter().zip(&inside).filter(|(_, inside)| **inside).map(|(p, _)| p);
        let mut tools: Vec<u16> = own().map(|p| p.tool).collect();
        tools.sort_unstable();
        tools.dedup();
        let volume = |p: &Piece| run.beads[p.beads.clone()].iter().map(Bead::volume_mm3).sum::<f64>();
        let (on_it, whole): (f64, f64) = (own().map(volume).sum(), run.pieces.iter().map(volume).sum());
        let (size, height_mm) = (self.high - self.low, (run.z_mm - below.z_mm).max(1e-3));
        // Out to the flanks of its beads.
        let around_mm = run.area_mm2 / height_mm;
        let room_mm3 = (size.x + around_mm) * (size.y + around_mm) * height_mm;
        let plain = tools.iter().all(|tool| {
            let of_tool = own().filter(|p| p.tool == *tool);
            let beads = of_tool.flat_map(|p| &run.beads[p.beads.clone()]);
            is_rectangle(beads.flat_map(|b| [b.from, b.to]).map(|p| self.framed(p)).collect())
        });
        let lines = is_of_lines(run, &inside, on_it);
        Some(Visit { tools, filled: on_it / room_mm3, share: on_it / (whole - on_it).max(1e-9), plain, lines })
    }

    /// Gives what a layer lays on it its role, where it is sure to be one.
    pub(super) fn mark(&self, layer: &mut Layer) {
        if !self.sure {
            return;
        }
        for number in 0..layer.strands.len() {
            let strand = &layer.strands[number];
            if strand.role == Role::Unknown && self.holds_all(layer.strand_beads(strand)) {
                layer.strands[number].role = Role::Purge;
            }
        }
    }
}

/// The pieces of a run that another tool lays than the piece before.
fn after_change(below: &Run, run: &Run) -> Vec<usize> {
    let before = below.pieces.last().into_iter().chain(&run.pieces).map(|p| p.tool);
    let changes = before.zip(&run.pieces).enumerate().filter(|(_, (before, p))| *before != p.tool);
    changes.map(|(i, _)| i).collect()
}

/// Whether the pieces `inside` (`volume_mm3` of plastic) are lines for the most part, within fewer loops side by side
/// than the others have.
fn is_of_lines(run: &Run, inside: &[bool], volume_mm3: f64) -> bool {
    let (on_it, elsewhere): (Vec<_>, Vec<_>) =
        run.loops().map(|(number, beads)| Loop::new(number, beads)).partition(|l| inside[l.strand]);
    let in_loops = on_it.iter().flat_map(|l| &run.beads[run.pieces[l.strand].beads.clone()]);
    let in_loops_mm3: f64 = in_loops.map(Bead::volume_mm3).sum();
    let walls = |loops| {
        let deep = side_by_side(&Nest::new(loops), 1.5 * rough_width_mm(run.area_mm2));
        deep.into_iter().max().unwrap_or(0)
    };
    volume_mm3 - in_loops_mm3 > MOSTLY_LINES * volume_mm3 && walls(on_it) < walls(elsewhere)
}

/// Layers laid by one tool alone follow on layers laid by another alone.
fn takes_turns(visits: &[Visit]) -> bool {
    let alone = visits.iter().all(|v| v.tools.len() == 1);
    alone && visits.windows(2).filter(|v| v[0].tools != v[1].tools).count() + 1 >= LEAST_LAYERS
}

fn is_open_rectangle(visits: &[Visit]) -> bool {
    let filled = || visits.iter().map(|v| v.filled);
    let (least, most) = (filled().fold(f64::MAX, f64::min), filled().fold(0.0, f64::max));
    let small = visits.iter().any(|v| v.share < MOST_SHARE);
    small && most < MOST_FILLED && most - least < STEADY_FILL * most && visits.iter().all(|v| v.plain)
}

/// Direction of the sides of a rectangle, within 45 degrees of x; along x for what is none.
fn direction_of(points: &[Point]) -> Point {
    let hull = convex_hull(points);
    let least = spans(&hull).min_by(|a, b| (a.across_mm * a.along_mm).total_cmp(&(b.across_mm * b.along_mm)));
    match least {
        Some(least) if signed_area(&hull) > RECTANGLE * least.across_mm * least.along_mm => {
            let quarters = (least.across_rad / FRAC_PI_2).round();
            let (sin, cos) = (least.across_rad - quarters * FRAC_PI_2).sin_cos();
            Point::new(cos, sin)
        }
        _ => Point::new(1.0, 0.0),
    }
}

fn is_rectangle(points: Vec<Point>) -> bool {
    let Some((low, high)) = crate::geom::box_of(&points) else { return false };
    let size = high - low;
    signed_area(&convex_hull(&points)).abs() > RECTANGLE * size.x * size.y
}
