//! How much of a layer rests on, and fuses to, the layer below.
//!
//! Both layers are drawn as strips of width A/h, mitred at bends; their overlap is the bond area.
//! Strips of the flat width w - h would give a solid part 40 %, of width w more than all of it; A/h
//! gives a solid part 0.98 to 1.00, a crossed core of density d the share d², an aligned one d - d²/4.
//! Narrow gaps beside places that are laid twice count as filled: the plastic has nowhere else to go.
//!
//! The overlap is found on scan lines, exactly along each line and 0.1 mm apart. Lines along x would
//! hit or miss whole beads, as most beads run along x, y or a diagonal; so the lines lie at an angle
//! that no fill uses, and every bead is met many times at ever different offsets.

use super::part_beads::{Strip, StripScan, part_strands};
use crate::deposit::Layer;
use crate::geom::{Moments, Point, Polygon, box_of};
use crate::profile::Role;
use std::ops::{Range, RangeInclusive};

/// Direction of the scan lines, radians from x: 21.2 degrees, 9 or more from every multiple of 15 but
/// one, and an irrational slope.
const SCAN_ANGLE: f64 = 0.37;

/// Widest gap, mm, that plastic laid twice beside it closes: half a usual bead.
const CLOSED_GAP_MM: f64 = 0.2;

/// Distance between scan lines, mm: a quarter of a usual bead.
const SCAN_STEP_MM: f64 = 0.1;

/// The plan of a layer's plastic: pieces of scan lines that it covers.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Footprint {
    first_line: i64,
    /// Where each line's pieces begin in `pieces`, and one more for the end.
    starts: Vec<usize>,
    /// Covered pieces, sorted and apart from each other within a line.
    pieces: Vec<Piece>,
}

/// A covered piece of a scan line, in steps of a hundred-thousandth of a millimetre: half the memory of floats, and
/// whole numbers sort in less time. 21 m fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Piece {
    from: i32,
    to: i32,
}

const STEPS_PER_MM: f64 = 1e5;

impl Piece {
    /// From two x, mm; `None` where nothing is left between them.
    fn new((from, to): (f64, f64)) -> Option<Self> {
        // What lies beyond 21 m ends there by the cast.
        let piece = Self { from: (from * STEPS_PER_MM) as i32, to: (to * STEPS_PER_MM) as i32 };
        (piece.from < piece.to).then_some(piece)
    }

    fn length_mm(self) -> f64 {
        (f64::from(self.to) - f64::from(self.from)) / STEPS_PER_MM
    }

    fn middle_mm(self) -> f64 {
        0.5 * (f64::from(self.from) + f64::from(self.to)) / STEPS_PER_MM
    }
}

/// A strip in the frame of the scan lines (x along them, y across), and the lines that cross it.
fn scanned(strip: &Strip) -> Option<(StripScan, RangeInclusive<i64>)> {
    let turned = Strip { from: to_scan(strip.from), to: to_scan(strip.to), width_mm: strip.width_mm };
    let scan = turned.scan()?;
    let line = |q: f64| q / SCAN_STEP_MM - 0.5;
    Some((scan, line(scan.low_y).ceil() as i64..=line(scan.high_y).floor() as i64))
}

fn scan_q(line: i64) -> f64 {
    (line as f64 + 0.5) * SCAN_STEP_MM
}

/// A place in a frame turned so that no bead runs along it or at an even slope to it.
fn to_scan(p: Point) -> Point {
    let (s, c) = SCAN_ANGLE.sin_cos();
    Point::new(p.x * c + p.y * s, p.y * c - p.x * s)
}

fn from_scan(p: Point) -> Point {
    let (s, c) = SCAN_ANGLE.sin_cos();
    Point::new(p.x * c - p.y * s, p.x * s + p.y * c)
}

impl Footprint {
    /// The plan of the part's plastic in a layer; `roles` goes with [`Layer::strands`].
    #[must_use]
    pub fn of_layer(layer: &Layer, roles: &[Role]) -> Self {
        let strips: Vec<(StripScan, RangeInclusive<i64>)> = part_strands(layer, roles)
            .flat_map(|s| s.strips(layer.height_mm))
            .filter_map(|strip| scanned(&strip))
            .collect();
        Self::of_strips(&strips)
    }

    fn of_strips(strips: &[(StripScan, RangeInclusive<i64>)]) -> Self {
        let low = strips.iter().map(|s| *s.1.start()).min();
        let high = strips.iter().map(|s| *s.1.end()).max();
        let (Some(first_line), Some(last_line)) = (low, high) else { return Self::default() };
        if last_line < first_line {
            return Self::default();
        }
        let count = (last_line - first_line + 1) as usize;
        // How many pieces each line may get at most, and from that where its pieces begin in one list for all.
        let mut ends = vec![0_usize; count + 1];
        for (_, across) in strips.iter().filter(|s| s.1.start() <= s.1.end()) {
            for end in &mut ends[(across.start() - first_line) as usize..=(across.end() - first_line) as usize] {
                *end += 1;
            }
        }
        let mut all = 0;
        for end in &mut ends {
            all += std::mem::replace(end, all);
        }
        let begins = ends.clone();
        let mut met = vec![Piece::default(); all];
        for (scan, across) in strips {
            for line in across.clone() {
                if let Some(piece) = scan.piece_at(scan_q(line)).and_then(Piece::new) {
                    let end = &mut ends[(line - first_line) as usize];
                    met[*end] = piece;
                    *end += 1;
                }
            }
        }
        let (mut starts, mut pieces) = (Vec::with_capacity(count + 1), Vec::new());
        for (&begin, &end) in begins.iter().zip(&ends).take(count) {
            starts.push(pieces.len());
            merge_into(&mut met[begin..end], &mut pieces);
        }
        starts.push(pieces.len());
        // Many plans are alive at once.
        pieces.shrink_to_fit();
        Self { first_line, starts, pieces }
    }

    fn line(&self, line: i64) -> &[Piece] {
        let Ok(at) = usize::try_from(line - self.first_line) else { return &[] };
        match (self.starts.get(at), self.starts.get(at + 1)) {
            (Some(&from), Some(&to)) => &self.pieces[from..to],
            _ => &[],
        }
    }

    fn line_numbers(&self) -> Range<i64> {
        self.first_line..self.first_line + self.starts.len().saturating_sub(1) as i64
    }

    /// The plan of polygons with holes.
    #[must_use]
    pub fn of_polygons(polygons: &[Polygon]) -> Self {
        let rings = || polygons.iter().flat_map(Polygon::rings);
        let turned: Vec<Vec<Point>> = rings().map(|ring| ring.iter().map(|&p| to_scan(p)).collect()).collect();
        let corners: Vec<Point> = turned.iter().flatten().copied().collect();
        let Some((low, high)) = box_of(&corners) else { return Self::default() };
        let first_line = (low.y / SCAN_STEP_MM - 0.5).ceil() as i64;
        let last_line = (high.y / SCAN_STEP_MM - 0.5).floor() as i64;
        let (mut starts, mut pieces) = (Vec::new(), Vec::new());
        for line in first_line..=last_line {
            starts.push(pieces.len());
            let mut crossings: Vec<f64> = turned.iter().flat_map(|ring| crossings_of(ring, scan_q(line))).collect();
            crossings.sort_unstable_by(f64::total_cmp);
            pieces.extend(crossings.chunks_exact(2).filter_map(|pair| Piece::new((pair[0], pair[1]))));
        }
        starts.push(pieces.len());
        Self { first_line, starts, pieces }
    }

    /// The plan of what both cover.
    #[must_use]
    pub fn common(&self, other: &Self) -> Self {
        let (mut starts, mut pieces) = (Vec::new(), Vec::new());
        for line in self.line_numbers() {
            starts.push(pieces.len());
            common_pieces(self.line(line), other.line(line), |piece| pieces.push(piece));
        }
        starts.push(pieces.len());
        Self { first_line: self.first_line, starts, pieces }
    }

    /// Area covered, mm².
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        SCAN_STEP_MM * self.pieces.iter().map(|piece| piece.length_mm()).sum::<f64>()
    }

    /// Area and moments of what both plans cover.
    #[must_use]
    pub fn overlap(&self, other: &Self) -> Moments {
        let mut sum = PieceSums::default();
        for line in self.line_numbers() {
            common_pieces(self.line(line), other.line(line), |piece| sum.add(scan_q(line), piece));
        }
        sum.moments()
    }
}

/// Where a ring crosses the line at height `y`.
fn crossings_of(ring: &[Point], y: f64) -> impl Iterator<Item = f64> {
    (0..ring.len()).filter_map(move |i| {
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        ((a.y > y) != (b.y > y)).then(|| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
    })
}

/// Sorts the pieces of a line and appends them, joined where they touch or where what is laid twice closes the gap.
///
/// Where slanted lines of a skin meet a wall, every line's end overlaps the wall with one corner and leaves a gap at the
/// other. Plastic cannot be in one place twice: it fills the gap beside it, as far as there is enough of it.
///
/// ```text
///   ____________ wall      xx laid twice
///   xx/. /xx/. /           .  gap: closed when shorter than the xx on both sides of it together
///   x/  /xx/  /
/// ```
fn merge_into(line: &mut [Piece], into: &mut Vec<Piece>) {
    line.sort_unstable_by_key(|piece| piece.from);
    let closed_gap = (CLOSED_GAP_MM * STEPS_PER_MM) as i32;
    let mut runs = runs(line);
    let Some((mut joined, mut spare)) = runs.next() else { return };
    for (piece, twice) in runs {
        let gap = piece.from.saturating_sub(joined.to);
        let enough = spare.min(closed_gap) + twice.min(closed_gap);
        if gap <= closed_gap && gap <= enough {
            joined.to = piece.to;
            spare = enough - gap;
        } else {
            into.push(joined);
            (joined, spare) = (piece, twice);
        }
    }
    into.push(joined);
}

/// Runs of sorted pieces that touch, each with the length that is laid twice in it.
fn runs(sorted: &[Piece]) -> impl Iterator<Item = (Piece, i32)> {
    let mut rest = sorted;
    std::iter::from_fn(move || {
        let (&(mut run), mut left) = rest.split_first()?;
        let mut twice = 0_i32;
        while let Some((next, after)) = left.split_first() {
            if next.from > run.to {
                break;
            }
            twice = twice.saturating_add(run.to.min(next.to).saturating_sub(next.from));
            run.to = run.to.max(next.to);
            left = after;
        }
        rest = left;
        Some((run, twice))
    })
}

/// Calls `found` with every piece that lies in both sorted lists.
fn common_pieces(a: &[Piece], b: &[Piece], mut found: impl FnMut(Piece)) {
    let (mut i, mut j) = (0, 0);
    while let (Some(x), Some(y)) = (a.get(i), b.get(j)) {
        let piece = Piece { from: x.from.max(y.from), to: x.to.min(y.to) };
        if piece.from < piece.to {
            found(piece);
        }
        if x.to < y.to { i += 1 } else { j += 1 }
    }
}

/// Raw sums over pieces of scan lines, about the first piece.
#[derive(Default)]
struct PieceSums {
    origin: Option<Point>,
    area: f64,
    p: f64,
    q: f64,
    pp: f64,
    qq: f64,
    pq: f64,
}

impl PieceSums {
    fn add(&mut self, q: f64, piece: Piece) {
        let middle = Point::new(piece.middle_mm(), q);
        let d = middle - *self.origin.get_or_insert(middle);
        let length = piece.length_mm();
        let area = length * SCAN_STEP_MM;
        self.area += area;
        self.p += area * d.x;
        self.q += area * d.y;
        self.pp += area * (d.x * d.x + length * length / 12.0);
        self.qq += area * (d.y * d.y + SCAN_STEP_MM * SCAN_STEP_MM / 12.0);
        self.pq += area * d.x * d.y;
    }

    fn moments(&self) -> Moments {
        let Some(origin) = self.origin else { return Moments::ZERO };
        let c = Point::new(self.p, self.q) * (1.0 / self.area);
        let (pp, qq, pq) =
            (self.pp - self.area * c.x * c.x, self.qq - self.area * c.y * c.y, self.pq - self.area * c.x * c.y);
        let (s, k) = SCAN_ANGLE.sin_cos();
        Moments {
            area_mm2: self.area,
            centroid: from_scan(origin + c),
            ixx_mm4: pp * s * s + qq * k * k + 2.0 * pq * s * k,
            iyy_mm4: pp * k * k + qq * s * s - 2.0 * pq * s * k,
            ixy_mm4: (pp - qq) * s * k + pq * (k * k - s * s),
        }
    }
}

/// Bond areas of a print, fed layer by layer in print order; keeps one layer.
#[derive(Debug, Clone, Default)]
pub struct Bond {
    below: Option<(f64, Footprint)>,
}

impl Bond {
    /// Area over which this layer fuses to the one before, with its moments.
    ///
    /// `None` for a layer that rests on the bed or begins a stack of its own: below it there is no layer to bond to.
    pub fn push(&mut self, layer: &Layer, roles: &[Role]) -> Option<Moments> {
        let plan = Footprint::of_layer(layer, roles);
        let bottom_mm = layer.z_mm - layer.height_mm;
        let below = self.below.replace((layer.z_mm, plan.clone()));
        // A layer whose foot is at the bed starts another object, whatever was printed before it.
        let rests_on_bed = bottom_mm < 0.5 * layer.height_mm && below.as_ref().is_none_or(|b| b.0 > layer.z_mm - 1e-6);
        match below {
            Some((_, below)) if !rests_on_bed => Some(plan.overlap(&below)),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::part_beads::tests::{hatch, layer};
    use super::*;
    use crate::geom::{intersect, union};
    use proptest::prelude::*;

    const S: f64 = 0.4;

    fn plan(lines: &[(Role, bool, f64, Vec<Point>)]) -> Footprint {
        let (layer, roles) = layer(0, 0.2, lines);
        Footprint::of_layer(&layer, &roles)
    }

    fn core(density: f64, angle_deg: f64) -> Vec<(Role, bool, f64, Vec<Point>)> {
        hatch(Role::SparseInfill, S, S / density, angle_deg, Point::new(41.0, 37.0))
    }

    const RECTANGLE_MM2: f64 = 41.0 * 37.0;

    /// Density as laid: the pitch does not divide the rectangle evenly.
    fn laid(lines: &[(Role, bool, f64, Vec<Point>)]) -> f64 {
        layer(0, 0.2, lines).0.volume_mm3() / 0.2 / RECTANGLE_MM2
    }

    // A full rectangle 12 x 6 at (30, 50): b d³/12, first principles; scan lines 0.1 mm apart see its edges a little blurred.
    #[test]
    fn the_bond_of_a_full_rectangle_has_its_moments() {
        let at = |angle| {
            let mut lines = hatch(Role::SolidInfill, S, S, angle, Point::new(12.0, 6.0));
            lines.iter_mut().flat_map(|l| l.3.iter_mut()).for_each(|p| *p = *p + Point::new(30.0, 50.0));
            plan(&lines)
        };
        let m = at(0.0).overlap(&at(90.0));
        assert!((m.area_mm2 - 72.0).abs() < 0.4, "{m:?}");
        assert!(m.centroid.distance(Point::new(36.0, 53.0)) < 0.02, "{m:?}");
        assert!((m.ixx_mm4 - 216.0).abs() < 3.0 && (m.iyy_mm4 - 864.0).abs() < 10.0 && m.ixy_mm4.abs() < 3.0, "{m:?}");
        // Polygons are drawn as exactly, wherever they lie.
        for (x, y) in [(30.0, 50.0), (-90.0, 140.0), (200.0, -70.0)] {
            let ring = [(0.0, 0.0), (12.0, 0.0), (12.0, 6.0), (0.0, 6.0)].map(|(u, v)| Point::new(x + u, y + v));
            let drawn = Footprint::of_polygons(&[Polygon { outer: ring.to_vec(), holes: vec![] }]);
            assert!((drawn.area_mm2() - 72.0).abs() < 0.1, "{}", drawn.area_mm2());
            assert!(drawn.overlap(&drawn).centroid.distance(Point::new(x + 6.0, y + 3.0)) < 0.01);
        }
    }

    // Shares d² and d - d²/4: geometry of crossing strips, the chance that two independent families
    // both cover a point, or that one of two does.
    #[test]
    fn crossed_core_bonds_over_density_squared() {
        for density in [0.15, 0.4] {
            let (up, down) = (core(density, 45.0), core(density, -45.0));
            let got = plan(&up).overlap(&plan(&down)).area_mm2 / RECTANGLE_MM2;
            let want = laid(&up) * laid(&down);
            // The rim of the rectangle cuts a whole row of crossings or leaves it: 1 in 20 at this size.
            assert!((got / want - 1.0).abs() < 0.05, "{density}: {got} against {want}");
        }
    }

    /// The same plan as exact polygons.
    fn polygons(lines: &[(Role, bool, f64, Vec<Point>)]) -> Vec<Polygon> {
        let (layer, roles) = layer(0, 0.2, lines);
        let strips = part_strands(&layer, &roles).flat_map(|s| s.strips(0.2)).map(|s| {
            let side = (s.to - s.from).unit().unwrap().left() * (0.5 * s.width_mm);
            Polygon { outer: vec![s.from - side, s.to - side, s.to + side, s.from + side], holes: Vec::new() }
        });
        union(&strips.collect::<Vec<_>>(), &[])
    }

    #[test]
    fn scan_lines_agree_with_exact_polygons() {
        for (below, above) in [(45.0, -45.0), (0.0, 90.0), (0.0, 0.0), (21.0, 81.0), (10.0, 111.0)] {
            let (a, b) = (core(0.25, below), core(0.3, above));
            let exact: f64 = intersect(&polygons(&a), &polygons(&b)).iter().map(Polygon::area_mm2).sum();
            let got = plan(&a).overlap(&plan(&b)).area_mm2;
            assert!((got / exact - 1.0).abs() < 0.01, "{below} under {above}: {got} against {exact}");
        }
    }

    #[test]
    fn aligned_core_bonds_over_density_less_its_crossings() {
        for density in [0.15_f64, 0.4] {
            let (along, across) = (core(density / 2.0, 0.0), core(density / 2.0, 90.0));
            let grid = plan(&[along.clone(), across.clone()].concat());
            let got = grid.overlap(&grid).area_mm2 / RECTANGLE_MM2;
            let (a, b) = (laid(&along), laid(&across));
            assert!((got / (a + b - a * b) - 1.0).abs() < 0.02, "{density}: {got} against {a} {b}");
        }
    }

    #[test]
    fn plans_of_polygons_have_their_areas() {
        let square = |low: f64, high: f64| {
            vec![Point::new(low, low), Point::new(high, low), Point::new(high, high), Point::new(low, high)]
        };
        let frame = Polygon { outer: square(0.0, 12.0), holes: vec![square(3.0, 7.0).into_iter().rev().collect()] };
        let plan = Footprint::of_polygons(std::slice::from_ref(&frame));
        assert!((plan.area_mm2() - 128.0).abs() < 0.3, "{}", plan.area_mm2());
        let corner = Footprint::of_polygons(&[Polygon { outer: square(2.0, 5.0), holes: Vec::new() }]);
        // 3 x 3 less the 2 x 2 that lies in the hole.
        assert!((plan.common(&corner).area_mm2() - 5.0).abs() < 0.1);
        assert!((corner.common(&plan).area_mm2() - plan.overlap(&corner).area_mm2).abs() < 1e-9);
        assert_eq!(Footprint::of_polygons(&[]).area_mm2(), 0.0);
    }

    #[test]
    fn solid_on_solid_bonds_all_over() {
        let along = plan(&hatch(Role::SolidInfill, S, S, 0.0, Point::new(20.0, 8.0)));
        let across = plan(&hatch(Role::SolidInfill, S, S, 90.0, Point::new(20.0, 8.0)));
        let bond = along.overlap(&across);
        assert!((bond.area_mm2 - 160.0).abs() < 0.8, "{bond:?}");
        assert!((bond.centroid.x - 10.0).abs() < 0.02 && (bond.centroid.y - 4.0).abs() < 0.02, "{bond:?}");
        // Rectangle 20 x 8: b d³/12.
        assert!((bond.ixx_mm4 / (20.0 * 512.0 / 12.0) - 1.0).abs() < 0.01, "{bond:?}");
        assert!((bond.iyy_mm4 / (8.0 * 8000.0 / 12.0) - 1.0).abs() < 0.01, "{bond:?}");
    }

    fn merged(pieces: &[(i32, i32)]) -> Vec<(i32, i32)> {
        let mut line: Vec<Piece> = pieces.iter().map(|&(from, to)| Piece { from, to }).collect();
        let mut into = Vec::new();
        merge_into(&mut line, &mut into);
        into.iter().map(|piece| (piece.from, piece.to)).collect()
    }

    #[test]
    fn what_is_laid_twice_closes_the_gap_beside_it() {
        let (bead, gap) = (40_000, 10_000);
        // Two lines that lie over each other by as much as the next one stands off.
        assert_eq!(merged(&[(0, bead), (bead - gap, 2 * bead - gap), (2 * bead, 3 * bead)]), [(0, 3 * bead)]);
        // The plastic on both sides counts together.
        let half = gap / 2;
        let both = [(0, bead), (bead - half, 2 * bead), (2 * bead + gap, 3 * bead), (3 * bead - half, 4 * bead)];
        assert_eq!(merged(&both), [(0, 4 * bead)]);
        // Once it is used up the next gap stays open, and so does one that is too wide to creep into.
        let spent = [(0, bead), (bead - gap, bead), (bead + gap, 2 * bead), (2 * bead + gap, 3 * bead)];
        assert_eq!(merged(&spent), [(0, 2 * bead), (2 * bead + gap, 3 * bead)]);
        assert_eq!(merged(&[(0, bead), (0, bead), (bead + 20_001, 2 * bead)]).len(), 2);
        // Thin beads side by side, nothing laid twice: every gap stays.
        assert_eq!(merged(&[(0, 30_000), (bead, 70_000), (2 * bead, 110_000)]).len(), 3);
    }

    #[test]
    fn the_first_layer_of_a_stack_has_none_below() {
        let lines = hatch(Role::SolidInfill, S, S, 0.0, Point::new(9.0, 4.0));
        let mut bond = Bond::default();
        let mut push = |index| {
            let (layer, roles) = layer(index, 0.2, &lines);
            bond.push(&layer, &roles).map(|m| m.area_mm2)
        };
        assert_eq!(push(0), None);
        assert!((push(1).unwrap() - 36.0).abs() < 0.4);
        assert_eq!(push(0), None, "a second object begins at the bed");
    }

    proptest! {
        /// A ring of chords covers its width times its length wherever it lies: within 1 %.
        #[test]
        fn a_layer_bonds_to_itself_over_its_own_area(x in -90.0..90.0f64, r in 3.0..20.0f64, chords in 5..80usize, turn in 0.0..1.0f64) {
            let ring: Vec<Point> = (0..chords).map(|i| {
                let angle = turn + std::f64::consts::TAU * i as f64 / chords as f64;
                Point::new(x + r * angle.cos(), 0.6 * x + r * angle.sin())
            }).collect();
            let (layer, roles) = layer(0, 0.2, &[(Role::OuterWall, true, S, ring)]);
            let plan = Footprint::of_layer(&layer, &roles);
            let want = layer.volume_mm3() / 0.2;
            prop_assert!((plan.overlap(&plan).area_mm2 / want - 1.0).abs() < 0.01, "{} {want}", plan.area_mm2());
        }

        /// Lone straight beads at any angle: within 1 % on 12 mm, the worst being along the scan lines.
        #[test]
        fn a_turned_part_bonds_the_same(angle in 0.0..180.0f64) {
            let plan = plan(&core(0.25, angle));
            let (layer, _) = layer(0, 0.2, &core(0.25, angle));
            prop_assert!((plan.area_mm2() / (layer.volume_mm3() / 0.2) - 1.0).abs() < 0.01);
        }
    }
}
