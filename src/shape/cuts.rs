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
use crate::deposit::{Bead, Layer};
use crate::geom::{Moments, Point};
use crate::profile::Role;

/// Thickness of a slice and distance between slabs, mm.
pub const SLICE_MM: f64 = 0.5;

/// Least thickness of a slab, mm.
pub const SLAB_MM: f64 = 2.0;

/// Width of an angle bin, degrees. Bins stand about its multiples, so that the usual angles (0, 30, 45,
/// 60, 90) lie in the middle of one and are not split by rounding.
const BIN_DEG: f64 = 5.0;
const BINS: usize = 19;
const GROUPS: usize = 3 * BINS;

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
    /// Least and greatest place of its plastic aside (y for cuts along x, x for cuts along y), mm.
    pub side_mm: [f64; 2],
    /// Least and greatest height of its plastic, mm.
    pub z_mm: [f64; 2],
}

impl Cut {
    /// Area and moments of all plastic in the slab: volume over thickness.
    #[must_use]
    pub fn total(&self) -> Moments {
        self.weighted(|_, _| 1.0)
    }

    /// Area and moments with each group counted by a weight of its kind and angle (degrees).
    ///
    /// Weights are per bead length: along cos⁴, which is |cos|³ for each bead that crosses.
    #[must_use]
    pub fn weighted(&self, weight: impl Fn(BeadKind, f64) -> f64) -> Moments {
        self.groups.iter().map(|g| g.moments.scaled(weight(g.kind, g.angle_deg))).sum()
    }
}

/// Volume, moments and direction of the beads of one group in one slice: plain sums, moments about the first bead of
/// all (a part is small enough for what that costs in digits: about 1e-9 of a bead's own moment).
#[derive(Debug, Clone, Copy, Default)]
struct Pile {
    /// Not yet divided by a thickness, mm³.
    volume: f64,
    /// Volume times distance aside and upwards, mm⁴.
    first: [f64; 2],
    /// Volume times the squares of both, and times their product, mm⁵.
    second: [f64; 3],
    /// Sum of volume times cos².
    cosine_square: f64,
}

impl Pile {
    fn add(&mut self, other: &Self) {
        self.volume += other.volume;
        self.cosine_square += other.cosine_square;
        self.first.iter_mut().zip(other.first).for_each(|(sum, more)| *sum += more);
        self.second.iter_mut().zip(other.second).for_each(|(sum, more)| *sum += more);
    }

    /// The same plastic counted from a place that lies this far aside and down (parallel axes).
    fn counted_from(&self, aside: f64, down: f64) -> Self {
        let (volume, [first_aside, first_up]) = (self.volume, self.first);
        Self {
            first: [first_aside + volume * aside, first_up + volume * down],
            second: [
                self.second[0] + aside * (2.0 * first_aside + volume * aside),
                self.second[1] + down * (2.0 * first_up + volume * down),
                self.second[2] + aside * first_up + down * first_aside + volume * aside * down,
            ],
            ..*self
        }
    }

    /// Moments of the pile over a thickness; `about` is where distances are counted from.
    fn moments(&self, about: Point, thickness_mm: f64) -> Moments {
        let [aside, up] = self.first.map(|first| first / self.volume);
        Moments {
            area_mm2: self.volume,
            centroid: about + Point::new(aside, up),
            ixx_mm4: (self.second[1] - self.volume * up * up).max(0.0),
            iyy_mm4: (self.second[0] - self.volume * aside * aside).max(0.0),
            ixy_mm4: self.second[2] - self.volume * aside * up,
        }
        .scaled(1.0 / thickness_mm)
    }
}

/// The piles of one slice with their groups (kind and angle bin): most slices hold few of them.
#[derive(Debug, Clone)]
struct Slice {
    piles: Vec<(u8, Pile)>,
    side_mm: [f64; 2],
    z_mm: [f64; 2],
}

/// No place at all: least above greatest.
const NOWHERE: [f64; 2] = [f64::INFINITY, f64::NEG_INFINITY];

impl Slice {
    fn empty() -> Self {
        Self { piles: Vec::new(), side_mm: NOWHERE, z_mm: NOWHERE }
    }

    fn add(&mut self, group: u8, pile: &Pile) {
        match self.piles.iter_mut().find(|(of, _)| *of == group) {
            Some((_, sum)) => sum.add(pile),
            None => self.piles.push((group, *pile)),
        }
    }
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
            widen(&mut into.side_mm, slice.side_mm[0], slice.side_mm[1]);
            widen(&mut into.z_mm, slice.z_mm[0] + up_mm, slice.z_mm[1] + up_mm);
        }
        self.low_mm = self.low_mm.min(other.low_mm);
        self.high_mm = self.high_mm.max(other.high_mm);
    }

    fn add_bead(&mut self, bead: &Bead, kind: BeadKind, height_mm: f64) {
        let swap = |p: Point| if self.axis == Axis::X { p } else { Point::new(p.y, p.x) };
        let (from, to) = (swap(bead.from), swap(bead.to));
        let Some(along) = (to - from).unit() else { return };
        let cosine_square = along.x * along.x;
        let angle_deg = along.x.abs().min(1.0).acos().to_degrees();
        let bin = ((angle_deg / BIN_DEG).round() as usize).min(BINS - 1);
        let width_mm = strip_width_mm(bead, height_mm);
        let about = *self.about.get_or_insert(Point::new(from.y, bead.z_mm));
        // A bead that lies across the axis would drop into one slice or the next as a whole; laid as four
        // narrow ones side by side it fills the slices it really covers.
        let strips = if along.x.abs() < 0.6 { 4 } else { 1 };
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
        let reach = 0.5 * width_mm * along.y.abs();
        self.low_mm = self.low_mm.min(from.x.min(to.x) - reach);
        self.high_mm = self.high_mm.max(from.x.max(to.x) + reach);
    }

    /// Shares a piece out among the slices it passes through.
    fn spread(&mut self, piece: &Piece, group: u8) {
        let first = (piece.low.x / SLICE_MM).floor();
        let last = if piece.per_run > 0.0 { (piece.high.x / SLICE_MM).floor() } else { first };
        if !(first.is_finite() && last.is_finite() && self.make_room(first as i64, last as i64)) {
            return;
        }
        let mut side = piece.low.y;
        for number in first as i64..=last as i64 {
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
        let (mut side_mm, mut z_mm) = (NOWHERE, NOWHERE);
        for slice in &self.slices[start..end] {
            widen(&mut side_mm, slice.side_mm[0], slice.side_mm[1]);
            widen(&mut z_mm, slice.z_mm[0], slice.z_mm[1]);
        }
        Cut { at_mm: 0.5 * (low_mm + high_mm), thickness_mm, groups, side_mm, z_mm }
    }
}

/// A straight strip of bead to be shared out, `x` along the axis.
struct Piece {
    /// Its ends, the one that lies further down the axis first.
    low: Point,
    high: Point,
    /// One over its length along the axis, 1/mm; 0 where it lies across.
    per_run: f64,
    volume_mm3: f64,
    /// Its middle's height, and what is taken off places aside: distances count from the first bead, mm.
    up_mm: f64,
    about_side_mm: f64,
    /// Own second moments per volume, of the height and of the width, mm².
    own_up: f64,
    own_side: f64,
    cosine_square: f64,
    /// How far its plastic reaches from its middle line aside, mm.
    half_side: f64,
    /// Least and greatest height of its plastic, mm.
    z_mm: [f64; 2],
}

impl Piece {
    /// Where its middle line is aside, at a place along the axis.
    fn side_at(&self, at: f64) -> f64 {
        self.low.y + (self.high.y - self.low.y) * ((at - self.low.x) * self.per_run).clamp(0.0, 1.0)
    }

    /// What of it lies between two places aside, a given share of the whole.
    fn between(&self, from_side: f64, to_side: f64, share: f64) -> Pile {
        let volume = self.volume_mm3 * share;
        let span = to_side - from_side;
        let (aside, up) = (0.5 * (from_side + to_side) - self.about_side_mm, self.up_mm);
        Pile {
            volume,
            first: [volume * aside, volume * up],
            second: [
                volume * (aside * aside + span * span / 12.0 + self.own_side),
                volume * (up * up + self.own_up),
                volume * aside * up,
            ],
            cosine_square: volume * self.cosine_square,
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::part_beads::tests::{hatch, layer};
    use super::*;
    use approx::assert_relative_eq as near;
    use proptest::prelude::*;

    const SIZE: Point = Point::new(30.0, 8.0);

    fn block(layers: usize, lines: impl Fn(usize) -> Vec<(Role, bool, f64, Vec<Point>)>, axis: Axis) -> Cuts {
        let mut cuts = Cuts::new(axis);
        for index in 0..layers {
            let (layer, roles) = layer(index, 0.2, &lines(index));
            cuts.push(&layer, &roles);
        }
        cuts
    }

    fn solid(index: usize) -> Vec<(Role, bool, f64, Vec<Point>)> {
        hatch(Role::SolidInfill, 0.4, 0.4, if index.is_multiple_of(2) { 0.0 } else { 90.0 }, SIZE)
    }

    // A solid bar 8 wide, 2 high: area b d, moments b d³/12 about the middle (first principles).
    #[test]
    fn a_solid_bar_has_its_section_in_every_slab() {
        let cuts = block(10, solid, Axis::X).slabs(2.0);
        assert!(cuts.len() > 50, "{}", cuts.len());
        for cut in &cuts {
            let m = cut.total();
            near!(m.area_mm2, 16.0, max_relative = 0.03);
            near!(m.centroid.x, 4.0, epsilon = 0.02);
            near!(m.centroid.y, 1.0, epsilon = 0.02);
            near!(m.ixx_mm4, 8.0 * 8.0 / 12.0, max_relative = 0.03);
            near!(cut.side_mm[0], 0.0, epsilon = 0.01);
            near!(cut.side_mm[1], 8.0, epsilon = 0.01);
            near!(cut.z_mm[1] - cut.z_mm[0], 2.0, epsilon = 1e-9);
            near!(m.iyy_mm4, 2.0 * 512.0 / 12.0, max_relative = 0.03);
        }
        assert!(cuts.windows(2).all(|w| (w[1].at_mm - w[0].at_mm - SLICE_MM).abs() < 1e-9));
        let along_y = block(10, solid, Axis::Y).slabs(2.0);
        near!(along_y[4].total().area_mm2, 60.0, max_relative = 0.03);
        near!(along_y[4].total().centroid.x, 15.0, epsilon = 0.05);
    }

    #[test]
    fn beads_are_counted_at_their_angle() {
        let lines = |_| hatch(Role::SparseInfill, 0.4, 2.0, 30.0, SIZE);
        let cuts = block(3, lines, Axis::X).slabs(6.0);
        let middle = &cuts[cuts.len() / 2];
        assert_eq!(middle.groups.len(), 1);
        let group = middle.groups[0];
        assert_eq!(group.kind, BeadKind::Sparse);
        near!(group.angle_deg, 30.0, epsilon = 1e-6);
        let low = middle.weighted(|_, t| t.to_radians().cos().powi(4)).area_mm2;
        near!(low / middle.total().area_mm2, 0.5625, max_relative = 1e-9);
        let across = block(3, lines, Axis::Y).slabs(2.0);
        near!(across[3].groups[0].angle_deg, 60.0, epsilon = 1e-6);
    }

    #[test]
    fn support_is_left_out_and_a_short_part_is_one_slab() {
        let mut lines = vec![(Role::OuterWall, false, 0.4, vec![Point::new(5.2, 1.0), Point::new(6.1, 1.0)])];
        lines.push((Role::Support, false, 0.4, vec![Point::new(20.0, 0.0), Point::new(29.0, 0.0)]));
        let cuts = block(1, |_| lines.clone(), Axis::X).slabs(2.0);
        assert_eq!(cuts.len(), 1);
        near!(cuts[0].at_mm, 5.65, epsilon = 1e-9);
        near!(cuts[0].total().area_mm2, 0.08, max_relative = 1e-9);
    }

    fn line(role: Role, width_mm: f64, from: (f64, f64), to: (f64, f64)) -> (Role, bool, f64, Vec<Point>) {
        (role, false, width_mm, vec![Point::new(from.0, from.1), Point::new(to.0, to.1)])
    }

    // Four strips 0.4 wide and 0.2 high, each 1 mm further aside: about their common middle the places aside are -1.5, -0.5,
    // 0.5, 1.5 and those upwards -0.3, -0.1, 0.1, 0.3 mm, so the sums over 0.08 mm² each are 0.08 x (5, 0.2, 1), and each
    // strip's own b h³/12 comes on top (parallel-axis theorem).
    #[test]
    fn strips_that_climb_sideways_have_a_product_of_inertia() {
        let climb =
            |index: usize| vec![line(Role::OuterWall, 0.4, (0.0, 3.0 + index as f64), (30.0, 3.0 + index as f64))];
        let cuts = block(4, climb, Axis::X).slabs(2.0);
        assert_eq!(cuts.len(), 57);
        for cut in &cuts {
            let m = cut.total();
            near!(m.area_mm2, 0.32, max_relative = 1e-9);
            near!(m.centroid.x, 4.5, epsilon = 1e-9);
            near!(m.centroid.y, 0.4, epsilon = 1e-9);
            near!(m.iyy_mm4, 0.08 * 5.0 + 0.32 * 0.16 / 12.0, max_relative = 1e-9);
            near!(m.ixx_mm4, 0.08 * 0.2 + 0.32 * 0.04 / 12.0, max_relative = 1e-9);
            near!(m.ixy_mm4, 0.08, max_relative = 1e-9);
            assert_eq!(cut.groups.iter().map(|g| g.kind).collect::<Vec<_>>(), [BeadKind::Wall]);
            near!(cut.side_mm[0], 2.8, epsilon = 1e-9);
            near!(cut.side_mm[1], 6.2, epsilon = 1e-9);
        }
    }

    #[test]
    fn families_at_two_angles_are_told_apart() {
        let lines = |index: usize| hatch(Role::SparseInfill, 0.4, 1.0, [30.0, -60.0][index % 2], SIZE);
        let cuts = block(4, lines, Axis::X).slabs(3.0);
        let angles: Vec<f64> = cuts[cuts.len() / 2].groups.iter().map(|g| g.angle_deg).collect();
        assert_eq!(angles.len(), 2);
        near!(angles[0], 30.0, epsilon = 1e-6);
        near!(angles[1], 60.0, epsilon = 1e-6);
    }

    // From (0, 0) to (20, 10): in a slab of 2 mm it climbs 1 mm, about half of where the slab stands; b h³/12 of the slant on
    // top of its own width's, turned by the angle whose cosine is 2/√5.
    #[test]
    fn a_slanting_bead_lies_where_it_lies_in_every_slab() {
        for (from, to) in [((0.0, 0.0), (20.0, 10.0)), ((20.0, 10.0), (0.0, 0.0))] {
            let cuts = block(1, |_| vec![line(Role::OuterWall, 0.4, from, to)], Axis::X).slabs(2.0);
            assert!(cuts.len() > 30);
            for cut in &cuts {
                let m = cut.total();
                near!(m.area_mm2, 0.08 * 5f64.sqrt() / 2.0, max_relative = 1e-9);
                near!(m.centroid.x, 0.5 * cut.at_mm, epsilon = 1e-9);
                near!(m.iyy_mm4, m.area_mm2 * (1.0 / 12.0 + 0.16 / 12.0 * 0.8), max_relative = 1e-6);
                near!(cut.side_mm[0], 0.5 * cut.at_mm - 0.5 - 0.2 * 2.0 / 5f64.sqrt(), epsilon = 1e-9);
            }
        }
    }

    #[test]
    fn a_steep_bead_counts_the_same_laid_backwards() {
        let steep = |from, to| block(1, |_| vec![line(Role::OuterWall, 1.2, from, to)], Axis::X);
        let (there, back) = (steep((4.3, 1.0), (5.6, 7.0)), steep((5.6, 7.0), (4.3, 1.0)));
        let volumes = |cuts: &Cuts| -> Vec<f64> {
            cuts.slices.iter().map(|s| s.piles.iter().map(|p| p.1.volume).sum()).collect()
        };
        let (there, back) = (volumes(&there), volumes(&back));
        assert_eq!(there.len(), back.len());
        for (one, other) in there.iter().zip(&back) {
            near!(*one, *other, max_relative = 1e-9);
        }
    }

    /// What an earlier layer gave, added further up, is what the layer gives itself.
    #[test]
    fn a_layer_added_again_counts_as_if_it_were_laid_again() {
        for axis in [Axis::X, Axis::Y] {
            let first = layer(0, 0.2, &[line(Role::OuterWall, 0.4, (3.0, 6.5), (25.0, 2.0))]);
            let again = |index| layer(index, 0.2, &hatch(Role::SparseInfill, 0.4, 2.0, 30.0, SIZE));
            let (mut laid, mut told, mut one) = (Cuts::new(axis), Cuts::new(axis), Cuts::new(axis));
            laid.push(&first.0, &first.1);
            told.push(&first.0, &first.1);
            let (layer, roles) = again(1);
            one.push(&layer, &roles);
            for index in 1..5 {
                let (layer, roles) = again(index);
                laid.push(&layer, &roles);
                told.add(&one, 0.2 * (index - 1) as f64);
            }
            // Nothing adds nothing, and to nothing anything can be added.
            told.add(&Cuts::new(axis), 1.0);
            let mut alone = Cuts::new(axis);
            alone.add(&one, 0.0);
            assert_eq!(alone.slabs(3.0).len(), one.slabs(3.0).len());
            let (laid, told) = (laid.slabs(3.0), told.slabs(3.0));
            assert_eq!(laid.len(), told.len());
            for (laid, told) in laid.iter().zip(&told) {
                assert_eq!((laid.at_mm, laid.groups.len()), (told.at_mm, told.groups.len()));
                near!(laid.side_mm[..], told.side_mm[..], epsilon = 1e-9);
                near!(laid.z_mm[..], told.z_mm[..], epsilon = 1e-9);
                for (laid, told) in laid.groups.iter().zip(&told.groups) {
                    near!(laid.angle_deg, told.angle_deg, epsilon = 1e-6);
                    let (laid, told) = (laid.moments, told.moments);
                    near!(laid.area_mm2, told.area_mm2, max_relative = 1e-9);
                    near!(laid.centroid.distance(told.centroid), 0.0, epsilon = 1e-9);
                    near!(laid.ixx_mm4, told.ixx_mm4, max_relative = 1e-6);
                    near!(laid.iyy_mm4, told.iyy_mm4, max_relative = 1e-6);
                    near!(laid.ixy_mm4, told.ixy_mm4, epsilon = 1e-6);
                }
            }
        }
    }

    // 1 mm wide about x = 5.125: as four strips at 4.75, 5, 5.25 and 5.5, of which a slice of 0.5 mm holds 1, 2 and 1.
    #[test]
    fn a_bead_across_fills_the_slices_it_covers() {
        let cuts = block(1, |_| vec![line(Role::OuterWall, 1.0, (5.125, 1.0), (5.125, 7.0))], Axis::X);
        let volumes: Vec<f64> = cuts.slices.iter().map(|s| s.piles.iter().map(|p| p.1.volume).sum()).collect();
        assert_eq!((cuts.first, volumes.len()), (9, 3));
        for (volume, share) in volumes.iter().zip([0.25, 0.5, 0.25]) {
            near!(*volume, 1.2 * share, max_relative = 1e-9);
        }
    }

    // Slabs of 2 mm every 0.5 mm, the first as far in as the part begins, the last where it ends.
    #[test]
    fn slabs_reach_from_end_to_end_of_the_part() {
        for (x, angle) in [(0.0, 0.0), (0.0, 90.0), (40.0, 90.0), (-17.0, 0.0)] {
            let lines = |_| {
                let mut lines = hatch(Role::SolidInfill, 0.5, 0.5, angle, SIZE);
                lines.iter_mut().flat_map(|l| l.3.iter_mut()).for_each(|p| p.x += x);
                lines
            };
            let cuts = block(2, lines, Axis::X).slabs(2.0);
            assert_eq!(cuts.len(), 57, "{x} {angle}");
            near!(cuts[0].at_mm, x + 1.0, epsilon = 1e-9);
            near!(cuts[56].at_mm, x + 29.0, epsilon = 1e-9);
        }
    }

    #[test]
    fn a_part_of_one_millimetre_is_one_slab_of_one_millimetre() {
        let cuts = block(1, |_| vec![line(Role::OuterWall, 0.4, (5.0, 1.0), (6.0, 1.0))], Axis::X).slabs(2.0);
        assert_eq!(cuts.len(), 1);
        near!(cuts[0].thickness_mm, 1.0, epsilon = 1e-9);
        near!(cuts[0].total().area_mm2, 0.08, max_relative = 1e-9);
    }

    #[test]
    fn nothing_gives_no_slab() {
        assert!(Cuts::new(Axis::Y).slabs(2.0).is_empty());
    }

    proptest! {
        /// A layer added further up is the layer pushed where it lies: every slab has the same moments.
        #[test]
        fn a_layer_added_further_up_is_the_layer_there(angle in 0.0..180.0f64, raised in 1..40usize) {
            let lines = hatch(Role::SparseInfill, 0.4, 1.5, angle, SIZE);
            let ((low, roles), (high, _)) = (layer(0, 0.2, &lines), layer(raised, 0.2, &lines));
            for axis in [Axis::X, Axis::Y] {
                let (mut pushed, mut added, mut once) = (Cuts::new(axis), Cuts::new(axis), Cuts::new(axis));
                [&low, &high].into_iter().for_each(|layer| pushed.push(layer, &roles));
                once.push(&low, &roles);
                [0.0, high.z_mm - low.z_mm].into_iter().for_each(|up_mm| added.add(&once, up_mm));
                let (pushed, added) = (pushed.slabs(2.0), added.slabs(2.0));
                prop_assert_eq!(pushed.len(), added.len());
                for (a, b) in pushed.iter().zip(&added) {
                    let (m, n) = (a.total(), b.total());
                    for (x, y) in [(m.area_mm2, n.area_mm2), (m.ixx_mm4, n.ixx_mm4), (m.iyy_mm4, n.iyy_mm4), (m.centroid.y, n.centroid.y)] {
                        prop_assert!((x - y).abs() <= 1e-7 * x.abs().max(1.0), "{x} {y}");
                    }
                    prop_assert!((a.z_mm[1] - b.z_mm[1]).abs() < 1e-9 && (a.side_mm[0] - b.side_mm[0]).abs() < 1e-12);
                }
            }
        }

        /// Slices share out every bead: their volumes add up to the part's.
        #[test]
        fn slices_add_up_to_the_volume(angle in 0.0..180.0f64, pitch in 0.5..3.0f64) {
            let lines = hatch(Role::SparseInfill, 0.4, pitch, angle, SIZE);
            let (layer, roles) = layer(0, 0.2, &lines);
            for axis in [Axis::X, Axis::Y] {
                let mut cuts = Cuts::new(axis);
                cuts.push(&layer, &roles);
                let volume: f64 = cuts.slices.iter().flat_map(|s| s.piles.iter()).map(|p| p.1.volume).sum();
                prop_assert!((volume - layer.volume_mm3()).abs() < 1e-9 * volume);
            }
        }
    }
}
