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

    /// Upright lines, 8 mm long, at these places.
    fn upright(places_mm: &[f64]) -> Vec<LooseLine> {
        places_mm.iter().map(|&x| line(&[(x, 0.0), (x, 8.0)])).collect()
    }

    /// So many upright lines at one distance.
    fn row(count: u32, apart_mm: f64) -> Vec<LooseLine> {
        upright(&(0..count).map(|i| apart_mm * f64::from(i)).collect::<Vec<_>>())
    }

    #[test]
    fn three_lines_beside_walls_may_be_ribs_and_within_walls_they_are_a_row() {
        assert_eq!(in_rows(&row(3, 2.0), ROW_BESIDE), [false; 3]);
        assert_eq!(in_rows(&row(4, 2.0), ROW_BESIDE), [true; 4]);
        assert_eq!(in_rows(&row(2, 2.0), ROW_WITHIN), [false; 2]);
        assert_eq!(in_rows(&row(3, 2.0), ROW_WITHIN), [true; 3]);
        // One of the four that stands far off makes no row of the other three.
        assert_eq!(in_rows(&upright(&[0.0, 2.0, 4.0, 30.0]), ROW_BESIDE), [false; 4]);
        assert_eq!(in_rows(&upright(&[0.0, 2.0, 4.0, 6.0, 30.0]), ROW_BESIDE), [true, true, true, true, false]);
        assert!(in_rows(&[], ROW_BESIDE).is_empty());
    }

    /// Nine widths are 4.05 mm; 0.6 and 1.3 of them are 0.27 and 0.585 mm.
    #[test]
    fn lines_of_a_row_lie_neither_too_far_apart_nor_too_near() {
        for (rule, apart_mm, is_row) in [
            (ROW_BESIDE, 4.0, true),
            (ROW_BESIDE, 4.1, false),
            (ROW_BESIDE, 0.28, true),
            (ROW_BESIDE, 0.26, false),
            (ROW_ALONE, 0.6, true),
            (ROW_ALONE, 0.57, false),
        ] {
            assert_eq!(in_rows(&row(5, apart_mm), rule), [is_row; 5], "{rule:?} {apart_mm} mm apart");
        }
    }

    #[test]
    fn the_lines_of_a_row_lie_at_a_steady_distance() {
        for (last_mm, is_of_it) in [(8.15, true), (8.25, false), (7.85, true), (7.75, false)] {
            let found = in_rows(&upright(&[0.0, 2.0, 4.0, 6.0, last_mm]), ROW_BESIDE);
            assert_eq!(found, [true, true, true, true, is_of_it], "{last_mm}");
        }
        // A line that is laid twice is one line of the row.
        assert_eq!(in_rows(&upright(&[0.0, 2.0, 2.1, 4.0, 6.0, 8.0]), ROW_BESIDE), [true; 6]);
    }

    /// 20 mm away from the origin, so that it matters along which line distances are measured.
    #[test]
    fn lines_of_a_row_lie_beside_each_other_and_run_the_same_way() {
        let steps = |up_mm: f64| -> Vec<LooseLine> {
            let at = |i: u32| (20.0 + 2.0 * f64::from(i), 20.0 + up_mm * f64::from(i));
            (0..5).map(at).map(|(x, y)| line(&[(x, y), (x, y + 8.0)])).collect()
        };
        assert_eq!(in_rows(&steps(3.5), ROW_BESIDE), [true; 5]);
        assert_eq!(in_rows(&steps(4.5), ROW_BESIDE), [false; 5], "less than half of each lies beside the next");
        // A short one lies beside a long one with all of its length.
        let short = (0..5)
            .map(|i| 20.0 + 2.0 * f64::from(i))
            .map(|x| line(&[(x, 20.0), (x, if x % 4.0 < 1.0 { 23.0 } else { 28.0 })]));
        assert_eq!(in_rows(&short.collect::<Vec<_>>(), ROW_BESIDE), [true; 5]);
        // Every other line leans, about its middle.
        let leaning = |degrees: f64| -> Vec<LooseLine> {
            let aside = |i: u32| if i % 2 == 1 { 4.0 * degrees.to_radians().tan() } else { 0.0 };
            let at = |i: u32| (20.0 + 2.0 * f64::from(i), aside(i));
            (0..5).map(at).map(|(x, aside)| line(&[(x - aside, 20.0), (x + aside, 28.0)])).collect()
        };
        assert_eq!(in_rows(&leaning(4.5), ROW_BESIDE), [true; 5]);
        assert_eq!(in_rows(&leaning(5.5), ROW_BESIDE), [false; 5]);
        // Which way along a line it was laid makes no difference.
        let there_and_back =
            (0..4).map(|i| 2.0 * f64::from(i)).map(|x| line(&[(x, 4.0 * (x % 4.0)), (x, 8.0 - 4.0 * (x % 4.0))]));
        assert_eq!(in_rows(&there_and_back.collect::<Vec<_>>(), ROW_BESIDE), [true; 4]);
    }

    #[test]
    fn a_line_of_a_row_is_straight_for_most_of_its_length_and_longer_than_two_widths() {
        let bent = |first_mm: f64| -> Vec<LooseLine> {
            let bent = |x: f64| line(&[(x, 0.0), (x, first_mm), (x + 1.0, first_mm), (x + 1.0, 8.0)]);
            (0..5).map(|i| bent(3.0 * f64::from(i))).collect()
        };
        assert_eq!(in_rows(&bent(6.0), ROW_BESIDE), [true; 5]);
        assert_eq!(in_rows(&bent(4.2), ROW_BESIDE), [false; 5]);
        let short = |long_mm: f64| -> Vec<LooseLine> {
            (0..5).map(|i| 2.0 * f64::from(i)).map(|x| line(&[(x, 0.0), (x, long_mm)])).collect()
        };
        assert_eq!(in_rows(&short(1.0), ROW_BESIDE), [true; 5]);
        assert_eq!(in_rows(&short(0.8), ROW_BESIDE), [false; 5]);
    }

    /// Twenty legs of 9 mm, each so far from the next.
    fn zigzag(apart_mm: f64) -> LooseLine {
        let ends = |i: u32| if i.is_multiple_of(2) { [0.0, 9.0] } else { [9.0, 0.0] };
        let leg = |i: u32| ends(i).map(|y| (apart_mm * f64::from(i), y));
        line(&(0..20).flat_map(leg).collect::<Vec<_>>())
    }

    /// Where a layer has no walls its full places are part of the part. Beads 0.45 mm wide that lie 0.6 mm apart cover more
    /// than three quarters.
    #[test]
    fn a_zigzag_without_room_between_its_legs_is_a_row_beside_walls_only() {
        assert_eq!(in_rows(&[zigzag(0.6)], ROW_BESIDE), [true]);
        assert_eq!(in_rows(&[zigzag(0.6)], ROW_ALONE), [false]);
        assert_eq!(in_rows(&[zigzag(0.75)], ROW_ALONE), [true]);
        // Legs further apart than a row's lines are no zigzag.
        assert_eq!(in_rows(&[zigzag(5.9)], ROW_ALONE), [true]);
        assert_eq!(in_rows(&[zigzag(6.2)], ROW_ALONE), [false]);
        // A lone line leaves no room either, but it turns about nowhere.
        assert!(zigzag(0.6).is_full() && !line(&[(0.0, 0.0), (9.0, 0.0)]).is_full());
    }
}
