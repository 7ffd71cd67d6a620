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

use super::line_lists::LineLists;
use super::part_beads::{Strip, StripScan, part_strands};
use crate::deposit::Layer;
use crate::geom::{Moments, Point, Polygon, Ring, whole_above, whole_below};
use crate::profile::Role;
use std::ops::{Range, RangeInclusive};

/// Direction of the scan lines, radians from x: 21.2 degrees, 9 or more from every multiple of 15 but
/// one, and an irrational slope.
const SCAN_ANGLE: f64 = 0.37;

/// Widest gap, mm, that plastic laid twice beside it closes: half a usual bead.
const CLOSED_GAP_MM: f64 = 0.2;

/// Distance between scan lines, mm: a quarter of a usual bead. Lines 0.2 mm apart would make an upright bar of 10 x 14 mm
/// 0.8 % weaker, and 0.15 mm a thin ring 1.4 % narrower, for a twentieth and a fortieth of an audit's time.
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
    let lines = first_line_from(scan.low_y)..=last_line_to(scan.high_y);
    Some((scan, lines))
}

/// The first scan line at or above a place across them, mm.
fn first_line_from(q: f64) -> i64 {
    whole_above(q / SCAN_STEP_MM - 0.5)
}

/// The last one at or below it.
fn last_line_to(q: f64) -> i64 {
    whole_below(q / SCAN_STEP_MM - 0.5)
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
        let mut met = LineLists::for_crossings(strips.iter().map(|s| &s.1));
        for (scan, across) in strips {
            for line in across.clone() {
                if let Some(piece) = scan.piece_at(scan_q(line)).and_then(Piece::new) {
                    met.add(line, piece);
                }
            }
        }
        Self::of_lines(met, merge_into)
    }

    /// From what each line met; `put` appends the pieces that a line's list makes.
    fn of_lines<T>(mut met: LineLists<T>, put: impl Fn(&mut [T], &mut Vec<Piece>)) -> Self {
        let first_line = met.first_line();
        let lines = met.lines();
        let (mut starts, mut pieces) = (Vec::with_capacity(lines.size_hint().0 + 1), Vec::new());
        for line in lines {
            starts.push(pieces.len());
            put(line, &mut pieces);
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

    /// The lines that both plans have: one may be the face of a plate, the other a pin on it.
    fn lines_shared_with(&self, other: &Self) -> Range<i64> {
        let (own, others) = (self.line_numbers(), other.line_numbers());
        own.start.max(others.start)..own.end.min(others.end)
    }

    /// The plan of polygons with holes.
    #[must_use]
    pub fn of_polygons(polygons: &[Polygon]) -> Self {
        let edges: Vec<_> = polygons.iter().flat_map(Polygon::rings).flat_map(scanned_edges).collect();
        let mut met = LineLists::for_crossings(edges.iter().map(|edge| &edge.1));
        for ((a, b), across) in edges {
            let slope = (b.x - a.x) / (b.y - a.y);
            for line in across {
                met.add(line, a.x + slope * (scan_q(line) - a.y));
            }
        }
        Self::of_lines(met, |line, pieces| {
            line.sort_unstable_by(f64::total_cmp);
            pieces.extend(line.chunks_exact(2).filter_map(|pair| Piece::new((pair[0], pair[1]))));
        })
    }

    /// The plan of what both cover.
    #[must_use]
    pub fn common(&self, other: &Self) -> Self {
        let (mut starts, mut pieces) = (Vec::new(), Vec::new());
        let lines = self.lines_shared_with(other);
        let first_line = lines.start;
        for line in lines {
            starts.push(pieces.len());
            common_pieces(self.line(line), other.line(line), |piece| pieces.push(piece));
        }
        starts.push(pieces.len());
        Self { first_line, starts, pieces }
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
        for line in self.lines_shared_with(other) {
            common_pieces(self.line(line), other.line(line), |piece| sum.add(scan_q(line), piece));
        }
        sum.moments()
    }
}

/// The edges of a ring in the frame of the scan lines, each with the lines that cross it: those from its lower end on
/// and below its upper one, so that a line through a corner meets one of the two edges there or neither or both.
fn scanned_edges(ring: &Ring) -> impl Iterator<Item = ((Point, Point), RangeInclusive<i64>)> {
    let corner = |i: usize| to_scan(ring[i % ring.len()]);
    (0..ring.len()).map(move |i| {
        let (a, b) = (corner(i), corner(i + 1));
        ((a, b), first_line_from(a.y.min(b.y))..=first_line_from(a.y.max(b.y)) - 1)
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
#[path = "bond_tests.rs"]
mod tests;
