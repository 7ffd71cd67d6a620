//! Rows of lines outside of all loops: what holds the part up while it is printed.
//!
//! ```text
//!   =======#     a rib of a single bead stands out from the walls alone, or far from the next
//!          #
//!   |‾|_|‾|#     support is laid in rows: out and back again in one strand, or line by line at a steady distance
//! ```

use super::turns::about_turns;
use crate::geom::{Point, Segment, convex_hull, signed_area};

/// A strand outside of all loops.
#[derive(Debug, Clone)]
pub(super) struct LooseLine {
    pub points: Vec<Point>,
    pub width_mm: f64,
}

impl LooseLine {
    /// Hardly any room is left between its own lines.
    pub fn is_full(&self) -> bool {
        let length: f64 = self.points.windows(2).map(|p| p[0].distance(p[1])).sum();
        length * self.width_mm > FULL * signed_area(&convex_hull(&self.points)).abs() && self.is_zigzag()
    }

    /// It turns about again and again, to both sides.
    fn is_zigzag(&self) -> bool {
        let (left, right) = about_turns(&self.points, false, 1.5 * WIDEST_ROW * self.width_mm);
        left.min(right) > 0
    }
}

/// A strand that covers this share of its hull leaves no room.
const FULL: f64 = 0.75;

/// Lines of a row lie no further apart than this many widths. A rib may have company at ten widths and more.
const WIDEST_ROW: f64 = 9.0;

/// What counts as a row.
#[derive(Debug, Clone, Copy)]
pub(super) struct RowRule {
    /// Lines it has at least, if they are not joined.
    least: usize,
    /// Lines nearer than this many widths are no row but one place laid full.
    narrowest: f64,
}

/// Beside walls.
pub(super) const ROW_BESIDE: RowRule = RowRule { least: 4, narrowest: 0.6 };

/// Within walls that it keeps clear of.
pub(super) const ROW_WITHIN: RowRule = RowRule { least: 3, narrowest: 0.6 };

/// In a layer without walls, which may have been laid full of lines.
pub(super) const ROW_ALONE: RowRule = RowRule { least: 3, narrowest: 1.3 };

/// Lines nearer than this many widths are one line laid twice.
const SAME_LINE: f64 = 0.3;

/// Distances within a row differ by no more than this share.
const STEADY: f64 = 0.1;

/// Cosine of 5 degrees: lines of a row are parallel.
const PARALLEL: f64 = 0.9962;

/// For each strand whether it is a row of lines, or a line of one.
pub(super) fn in_rows(lines: &[LooseLine], rule: RowRule) -> Vec<bool> {
    let open_zigzag = |line: &LooseLine| line.is_zigzag() && !(rule.narrowest > 1.0 && line.is_full());
    let mut found: Vec<bool> = lines.iter().map(open_zigzag).collect();
    let straight: Vec<Option<Segment>> = lines.iter().map(longest_piece).collect();
    let mut left: Vec<usize> = (0..lines.len()).filter(|&i| straight[i].is_some()).collect();
    while let Some(first) = left.first().and_then(|&i| straight[i]).and_then(|s| s.direction()) {
        let beside =
            |i: &usize| straight[*i].and_then(|s| s.direction()).is_some_and(|d| d.dot(first).abs() > PARALLEL);
        let (family, rest): (Vec<usize>, Vec<usize>) = left.iter().partition(|i| beside(i));
        left = rest;
        mark_rows(lines, &straight, family, (first, rule), &mut found);
    }
    found
}

/// Marks the lines of one direction that have a line beside them at the distance that most have.
fn mark_rows(
    lines: &[LooseLine],
    straight: &[Option<Segment>],
    family: Vec<usize>,
    (along, rule): (Point, RowRule),
    found: &mut [bool],
) {
    if family.len() < rule.least {
        return;
    }
    let span = |i: usize| {
        let piece = straight[i]?;
        let (a, b) = (piece.from.dot(along), piece.to.dot(along));
        Some((along.cross(piece.middle()), a.min(b), a.max(b)))
    };
    let mut rows: Vec<(usize, (f64, f64, f64))> = family.into_iter().filter_map(|i| Some((i, span(i)?))).collect();
    rows.sort_by(|a, b| a.1.0.total_cmp(&b.1.0));
    // The next line that lies beside each, and how far off.
    let next: Vec<Option<(usize, f64)>> = (0..rows.len())
        .map(|k| {
            let (i, (at, low, high)) = rows[k];
            let reach = WIDEST_ROW * lines[i].width_mm;
            let overlaps = |r: &&(usize, (f64, f64, f64))| {
                r.1.2.min(high) - r.1.1.max(low) > 0.5 * (high - low).min(r.1.2 - r.1.1)
            };
            let near = rows[k + 1..].iter().take_while(|r| r.1.0 - at <= reach);
            let next = near.filter(|r| r.1.0 - at > SAME_LINE * lines[i].width_mm).find(overlaps)?;
            Some((next.0, next.1.0 - at)).filter(|(_, apart)| *apart >= rule.narrowest * lines[i].width_mm)
        })
        .collect();
    let mut apart: Vec<f64> = next.iter().flatten().map(|n| n.1).collect();
    apart.sort_by(f64::total_cmp);
    let Some(&usual) = apart.get(apart.len() / 2) else { return };
    let pairs: Vec<(usize, usize)> = rows
        .iter()
        .zip(&next)
        .filter_map(|(row, next)| next.filter(|n| (n.1 / usual - 1.0).abs() < STEADY).map(|n| (row.0, n.0)))
        .collect();
    if pairs.len() + 1 < rule.least {
        return;
    }
    for (one, other) in pairs {
        found[one] = true;
        found[other] = true;
    }
}

/// The longest straight piece of a strand, where that is most of it.
fn longest_piece(line: &LooseLine) -> Option<Segment> {
    let pieces = || line.points.windows(2).map(|p| Segment::new(p[0], p[1]));
    let longest = pieces().max_by(|a, b| a.length_mm().total_cmp(&b.length_mm()))?;
    let whole: f64 = pieces().map(|p| p.length_mm()).sum();
    (longest.length_mm() > 0.5 * whole && whole > 2.0 * line.width_mm).then_some(longest)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(points: &[(f64, f64)]) -> LooseLine {
        LooseLine { points: points.iter().map(|&(x, y)| Point::new(x, y)).collect(), width_mm: 0.45 }
    }

    #[test]
    fn lines_at_a_steady_distance_are_a_row_and_ribs_far_apart_are_not() {
        let row: Vec<LooseLine> = (0..5).map(|i| 2.2 * f64::from(i)).map(|x| line(&[(x, 0.1 * x), (x, 8.0)])).collect();
        assert_eq!(in_rows(&row, ROW_BESIDE), [true; 5]);
        let comb: Vec<LooseLine> = (0..5).map(|i| 9.0 * f64::from(i)).map(|x| line(&[(x, 0.0), (x, 8.0)])).collect();
        assert_eq!(in_rows(&comb, ROW_BESIDE), [false; 5]);
    }

    #[test]
    fn a_zigzag_is_a_row_and_a_bent_rib_is_not() {
        let zigzag = [(0.0, 0.0), (0.0, 9.0), (2.0, 9.0), (2.0, 0.0), (4.0, 0.0), (4.0, 9.0), (6.0, 9.0), (6.0, 0.0)];
        let bent = [(0.0, 20.0), (0.0, 29.0), (2.0, 29.0), (2.0, 20.0)];
        assert_eq!(in_rows(&[line(&zigzag), line(&bent)], ROW_BESIDE), [true, false]);
    }
}
