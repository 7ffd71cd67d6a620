//! Cuts across the part along x and along y: what carries at each place, bead by bead.
//!
//! A thin cut misses every bead that lies along it, and a skin of such beads would count as nothing.
//! So sums go over a slab: each bead counts with its section times its length in the slab over the
//! slab's thickness. Beads are sorted by kind and by their angle to the axis, since a bead carries
//! along itself and a diagonal core line carries little:
//!
//! ```text
//!      |  slab  |          weight = a x (length in slab) / (slab thickness)
//!  ====|========|====      a bead along the axis: a
//!      |   /    |
//!      |  /     |          a bead at 60 degrees: 2 a in bead length, counted at 60 degrees
//! ```
//!
//! Beads are gathered in slices 0.5 mm thick, fed layer by layer; slabs are sums of slices, so their
//! thickness can be chosen when the spacing of the core is known (at least 1.5 of its pitches).

use super::part_beads::{part_strands, strip_width_mm};
use super::pile::{Piece, Pile};
use crate::deposit::{Bead, Layer};
use crate::geom::{Moments, Point, Reach, convex_hull, whole_below};
use crate::profile::Role;
use std::sync::LazyLock;

/// Thickness of a slice and distance between slabs, mm.
pub const SLICE_MM: f64 = 0.5;

/// Least thickness of a slab, mm.
pub const SLAB_MM: f64 = 2.0;

/// Width of an angle bin, degrees. Bins stand about its multiples, so that the usual angles (0, 30, 45,
/// 60, 90) lie in the middle of one and are not split by rounding.
const BIN_DEG: f64 = 5.0;
const BINS: usize = 19;
const GROUPS: usize = 3 * BINS;

/// Squares of the cosines of the angles between two bins.
static BIN_EDGES: LazyLock<[f64; BINS - 1]> =
    LazyLock::new(|| std::array::from_fn(|bin| ((bin as f64 + 0.5) * BIN_DEG).to_radians().cos().powi(2)));

/// A bead that moves less than this along the axis lies across it, and within one slice, mm.
const ACROSS_MM: f64 = 1e-6;

/// Slices along one axis at most: a part 10 m long; places beyond are left out.
const MOST_SLICES: usize = 20_000;

/// The axis a cut stands across.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    /// Cuts at one x, drawn in the plane of y and z.
    X,
    /// Cuts at one y, drawn in the plane of x and z.
    Y,
}

/// How a bead is held by its neighbours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BeadKind {
    /// Along an edge of the part.
    Wall,
    /// In a skin or another full place.
    Solid,
    /// In a core with gaps between its lines.
    Sparse,
}

impl BeadKind {
    const ALL: [Self; 3] = [Self::Wall, Self::Solid, Self::Sparse];

    fn of(role: Role) -> Self {
        match role {
            Role::OuterWall | Role::InnerWall | Role::GapFill => Self::Wall,
            // What nothing is known of gets no more credit than a core line.
            Role::SparseInfill | Role::Unknown => Self::Sparse,
            _ => Self::Solid,
        }
    }
}

/// Beads of one kind at about one angle, in one slab.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BeadGroup {
    /// How they are held.
    pub kind: BeadKind,
    /// Mean angle to the axis, degrees in 0..=90 (root mean square of the cosines, weighted by volume).
    pub angle_deg: f64,
    /// Section times length in the slab over the slab's thickness, in the plane of the cut: `x` of these
    /// moments is y for cuts along x and x for cuts along y, `y` is z.
    pub moments: Moments,
}

/// One slab.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Middle of the slab along the axis, mm.
    pub at_mm: f64,
    /// Its thickness, mm.
    pub thickness_mm: f64,
    /// Its beads by kind and angle; only groups that hold any.
    pub groups: Vec<BeadGroup>,
    /// How far its plastic reaches in the plane of the cut; `None` where it holds none.
    pub reach: Option<Reach>,
}

impl Cut {
    /// Area and moments of all plastic in the slab: volume over thickness.
    #[must_use]
    pub fn total(&self) -> Moments {
        self.weighted(|_, _| 1.0)
    }

    /// Middle between the least and the greatest place of its plastic aside (y for cuts along x, x for cuts along y), mm.
    #[must_use]
    pub fn middle_side_mm(&self) -> f64 {
        let [low, high] = self.box_mm();
        0.5 * (low.x + high.x)
    }

    /// Width aside and height of the box round its plastic, mm; 0 where it holds none.
    #[must_use]
    pub fn width_and_height_mm(&self) -> (f64, f64) {
        let [low, high] = self.box_mm();
        (high.x - low.x, high.y - low.y)
    }

    fn box_mm(&self) -> [Point; 2] {
        self.reach.as_ref().map(Reach::box_mm).unwrap_or_default()
    }

    /// Area and moments with each group counted by a weight of its kind and angle (degrees).
    ///
    /// Weights are per bead length: along cos⁴, which is |cos|³ for each bead that crosses.
    #[must_use]
    pub fn weighted(&self, weight: impl Fn(BeadKind, f64) -> f64) -> Moments {
        self.groups.iter().map(|g| g.moments.scaled(weight(g.kind, g.angle_deg))).sum()
    }
}

/// The piles of one slice with their groups (kind and angle bin): most slices hold few of them.
#[derive(Debug, Clone)]
struct Slice {
    piles: Vec<(u8, Pile)>,
    /// How far the beads that were added one by one reach: they are of one layer, or of few.
    side_mm: [f64; 2],
    z_mm: [f64; 2],
    /// Points whose hull holds what was added layer by layer, and how many of them are corners of that hull for sure.
    corners: Vec<Point>,
    of_hull: usize,
    /// The upper edge of what was added last: how far aside, and how high.
    edge: ([f64; 2], f64),
}

/// No place at all: least above greatest.
const NOWHERE: [f64; 2] = [f64::INFINITY, f64::NEG_INFINITY];

impl Slice {
    fn empty() -> Self {
        Self {
            piles: Vec::new(),
            side_mm: NOWHERE,
            z_mm: NOWHERE,
            corners: Vec::new(),
            of_hull: 0,
            edge: (NOWHERE, 0.0),
        }
    }

    fn add(&mut self, group: u8, pile: &Pile) {
        match self.piles.iter_mut().find(|(of, _)| *of == group) {
            Some((_, sum)) => sum.add(pile),
            None => self.piles.push((group, *pile)),
        }
    }

    /// Points whose hull holds all its plastic.
    fn all_corners(&self) -> impl Iterator<Item = Point> {
        let ([left, right], [low, high]) = (self.side_mm, self.z_mm);
        let of_box = [(left, low), (right, low), (left, high), (right, high)].map(|(side, z)| Point::new(side, z));
        let of_box = of_box.into_iter().filter(move |_| left <= right);
        self.corners.iter().copied().chain(of_box)
    }

    /// Adds the corners of a slice that stands further up by this much.
    fn add_corners(&mut self, other: &Self, up_mm: f64) {
        let ([left, right], high) = self.edge;
        // The feet of most layers stand between the corners of the one below: within the hull.
        let on_edge = |corner: &Point| (corner.y - high).abs() < SAME_MM && corner.x >= left && corner.x <= right;
        let more = other.all_corners().map(|corner| corner + Point::new(0.0, up_mm));
        self.corners.extend(more.filter(|corner| !on_edge(corner)));
        self.edge = (other.side_mm, other.z_mm[1] + up_mm);
        if self.corners.len() > 2 * self.of_hull + MOST_CORNERS {
            self.corners = convex_hull(&self.corners);
            self.of_hull = self.corners.len();
        }
    }
}

/// A layer adds four corners to a slice, and most of them soon lie within the hull: it is drawn only when this many have
/// come together beside its own.
const MOST_CORNERS: usize = 32;

/// Heights nearer to each other than this are one, mm.
const SAME_MM: f64 = 1e-6;

/// The number of the slice that holds a place along the axis.
fn slice_at(along_mm: f64) -> i64 {
    whole_below(along_mm / SLICE_MM)
}

fn widen(reach: &mut [f64; 2], low: f64, high: f64) {
    *reach = [reach[0].min(low), reach[1].max(high)];
}

/// Gathers the beads of a print in slices along one axis.
#[derive(Debug, Clone)]
pub struct Cuts {
    axis: Axis,
    first: i64,
    slices: Vec<Slice>,
    low_mm: f64,
    high_mm: f64,
    /// Where distances aside and upwards are counted from: about the first bead.
    about: Option<Point>,
}

impl Cuts {
    /// No beads yet.
    #[must_use]
    pub fn new(axis: Axis) -> Self {
        Self { axis, first: 0, slices: Vec::new(), low_mm: f64::INFINITY, high_mm: f64::NEG_INFINITY, about: None }
    }

    /// The axis the cuts stand across.
    #[must_use]
    pub const fn axis(&self) -> Axis {
        self.axis
    }

    /// Adds the part's beads of one layer; `roles` goes with [`Layer::strands`].
    pub fn push(&mut self, layer: &Layer, roles: &[Role]) {
        for strand in part_strands(layer, roles) {
            let kind = BeadKind::of(strand.role);
            for bead in strand.beads {
                self.add_bead(bead, kind, layer.height_mm);
            }
        }
    }

    /// Adds what was gathered along the same axis, as if it stood further up by this much.
    pub fn add(&mut self, other: &Self, up_mm: f64) {
        let Some(others) = other.about else { return };
        let about = *self.about.get_or_insert(others + Point::new(0.0, up_mm));
        let (aside, up) = (others.x - about.x, others.y + up_mm - about.y);
        for (number, slice) in (other.first..).zip(&other.slices) {
            if !self.make_room(number, number) {
                continue;
            }
            let into = &mut self.slices[(number - self.first) as usize];
            slice.piles.iter().for_each(|(group, pile)| into.add(*group, &pile.counted_from(aside, up)));
            into.add_corners(slice, up_mm);
        }
        self.low_mm = self.low_mm.min(other.low_mm);
        self.high_mm = self.high_mm.max(other.high_mm);
    }

    fn add_bead(&mut self, bead: &Bead, kind: BeadKind, height_mm: f64) {
        let swap = |p: Point| if self.axis == Axis::X { p } else { Point::new(p.y, p.x) };
        let (from, to) = (swap(bead.from), swap(bead.to));
        let Some(along) = (to - from).unit() else { return };
        let cosine_square = along.x * along.x;
        let bin = BIN_EDGES.partition_point(|edge| cosine_square < *edge);
        let width_mm = strip_width_mm(bead, height_mm);
        let about = *self.about.get_or_insert(Point::new(from.y, bead.z_mm));
        let reach = 0.5 * width_mm * along.y.abs();
        let (low_mm, high_mm) = (from.x.min(to.x) - reach, from.x.max(to.x) + reach);
        // A bead that lies across the axis would drop into one slice or the next as a whole; laid as four
        // narrow ones side by side it fills the slices it really covers.
        let in_one_slice = slice_at(low_mm) == slice_at(high_mm);
        let strips = if along.x.abs() < 0.6 && !in_one_slice { 4 } else { 1 };
        let narrow_mm = width_mm / f64::from(strips);
        let own_side = narrow_mm * narrow_mm / 12.0 * cosine_square;
        for k in 0..strips {
            let aside = along.left() * (narrow_mm * (f64::from(k) - 0.5 * f64::from(strips - 1)));
            let (low, high) = if from.x <= to.x { (from + aside, to + aside) } else { (to + aside, from + aside) };
            let run = high.x - low.x;
            let piece = Piece {
                low,
                high,
                per_run: if run > ACROSS_MM { 1.0 / run } else { 0.0 },
                volume_mm3: bead.volume_mm3() / f64::from(strips),
                up_mm: bead.z_mm - 0.5 * height_mm - about.y,
                about_side_mm: about.x,
                own_up: height_mm * height_mm / 12.0,
                half_side: 0.5 * narrow_mm * along.x.abs(),
                z_mm: [bead.z_mm - height_mm, bead.z_mm],
                own_side,
                cosine_square,
            };
            self.spread(&piece, (BeadKind::ALL.iter().position(|&k| k == kind).unwrap_or(0) * BINS + bin) as u8);
        }
        self.low_mm = self.low_mm.min(low_mm);
        self.high_mm = self.high_mm.max(high_mm);
    }

    /// Shares a piece out among the slices it passes through.
    fn spread(&mut self, piece: &Piece, group: u8) {
        let first = slice_at(piece.low.x);
        let last = if piece.per_run > 0.0 { slice_at(piece.high.x) } else { first };
        if !(piece.low.x.is_finite() && piece.high.x.is_finite() && self.make_room(first, last)) {
            return;
        }
        let mut side = piece.low.y;
        for number in first..=last {
            let (low, high) =
                (piece.low.x.max(number as f64 * SLICE_MM), piece.high.x.min((number + 1) as f64 * SLICE_MM));
            let within = piece.per_run > 0.0 && first < last;
            let share = if within { ((high - low) * piece.per_run).clamp(0.0, 1.0) } else { 1.0 };
            let next = if within { piece.side_at(high) } else { piece.high.y };
            let slice = &mut self.slices[(number - self.first) as usize];
            slice.add(group, &piece.between(side, next, share));
            widen(&mut slice.side_mm, side.min(next) - piece.half_side, side.max(next) + piece.half_side);
            widen(&mut slice.z_mm, piece.z_mm[0], piece.z_mm[1]);
            side = next;
        }
    }

    /// Makes slices for the given numbers; false where that would be absurdly many.
    fn make_room(&mut self, first: i64, last: i64) -> bool {
        let empty = Slice::empty;
        if self.slices.is_empty() {
            self.first = first;
        }
        let (low, high) = (self.first.min(first), (self.first + self.slices.len() as i64 - 1).max(last));
        if high.saturating_sub(low) >= MOST_SLICES as i64 {
            return false;
        }
        if low < self.first {
            let missing = (self.first - low) as usize;
            self.slices.splice(0..0, std::iter::repeat_with(empty).take(missing));
            self.first = low;
        }
        self.slices.resize_with((high - low + 1) as usize, empty);
        true
    }

    /// Slabs every 0.5 mm that lie within the part, at least `thickness_mm` thick.
    ///
    /// A part shorter than a slab gives one slab as long as the part.
    #[must_use]
    pub fn slabs(&self, thickness_mm: f64) -> Vec<Cut> {
        if self.slices.is_empty() {
            return Vec::new();
        }
        let per_slab = ((thickness_mm.max(SLAB_MM) / SLICE_MM).ceil() as usize).min(self.slices.len());
        // Slices that the part fills only in part would look weak: slabs stay between the part's ends.
        let first =
            ((self.low_mm / SLICE_MM - 1e-3).ceil() as i64 - self.first).clamp(0, self.slices.len() as i64) as usize;
        let end =
            ((self.high_mm / SLICE_MM + 1e-3).floor() as i64 - self.first).clamp(0, self.slices.len() as i64) as usize;
        if end < first + per_slab {
            return vec![self.slab(0, self.slices.len(), self.low_mm, self.high_mm)];
        }
        (first..=end - per_slab)
            .map(|start| {
                let low = (self.first + start as i64) as f64 * SLICE_MM;
                self.slab(start, start + per_slab, low, low + per_slab as f64 * SLICE_MM)
            })
            .collect()
    }

    fn slab(&self, start: usize, end: usize, low_mm: f64, high_mm: f64) -> Cut {
        let thickness_mm = high_mm - low_mm;
        let about = self.about.unwrap_or_default();
        let mut piles = [Pile::default(); GROUPS];
        for (group, pile) in self.slices[start..end].iter().flat_map(|slice| &slice.piles) {
            piles[usize::from(*group)].add(pile);
        }
        let mut groups = Vec::new();
        for (group, pile) in piles.iter().enumerate() {
            if pile.volume > 0.0 && thickness_mm > 0.0 {
                let cosine = (pile.cosine_square / pile.volume).clamp(0.0, 1.0).sqrt();
                groups.push(BeadGroup {
                    kind: BeadKind::ALL[group / BINS],
                    angle_deg: cosine.acos().to_degrees(),
                    moments: pile.moments(about, thickness_mm),
                });
            }
        }
        let corners: Vec<Point> = self.slices[start..end].iter().flat_map(Slice::all_corners).collect();
        Cut { at_mm: 0.5 * (low_mm + high_mm), thickness_mm, groups, reach: Reach::of(&corners, 0.0) }
    }
}

#[cfg(test)]
#[path = "cuts_tests.rs"]
mod tests;
