//! Families of parallel lines, cut to a region and joined where they can be.

use crate::geom::{Point, Polygon};

/// Where the lines of a family lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Family {
    /// Direction, degrees from x.
    pub angle_deg: f64,
    /// Distance between neighbours, mm.
    pub pitch_mm: f64,
    /// One line passes at this distance to the left of the origin, mm.
    pub phase_mm: f64,
}

/// A line cut to the region: the number of its line in the family, and where it begins and ends.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Piece {
    line: i64,
    from: Point,
    to: Point,
}

/// The lines of a family within a region, to and fro, each by itself.
#[must_use]
pub fn separate_lines(region: &[Polygon], family: Family) -> Vec<Vec<Point>> {
    let turned = |p: &Piece| if p.line.rem_euclid(2) == 0 { vec![p.from, p.to] } else { vec![p.to, p.from] };
    pieces(region, family).iter().map(turned).collect()
}

/// The lines of a family within a region, joined end to end with their neighbours where the join stays in `bounds`.
#[must_use]
pub fn joined_lines(region: &[Polygon], family: Family, bounds: &[Polygon]) -> Vec<Vec<Point>> {
    let pieces = pieces(region, family);
    let mut used = vec![false; pieces.len()];
    let mut strands = Vec::new();
    for first in 0..pieces.len() {
        if used[first] {
            continue;
        }
        let mut at = first;
        let mut strand = vec![pieces[at].from, pieces[at].to];
        used[at] = true;
        while let Some(end) = strand.last().copied() {
            let Some((next, forwards)) = neighbour(&pieces, &used, at, end, family.pitch_mm, bounds) else { break };
            let Piece { from, to, .. } = pieces[next];
            strand.extend(if forwards { [from, to] } else { [to, from] });
            used[next] = true;
            at = next;
        }
        strands.push(strand);
    }
    strands
}

/// The unused piece on the next line whose nearer end can be reached from `end`, and whether it runs forwards.
fn neighbour(
    pieces: &[Piece],
    used: &[bool],
    at: usize,
    end: Point,
    pitch_mm: f64,
    bounds: &[Polygon],
) -> Option<(usize, bool)> {
    let line = pieces[at].line + 1;
    let mut best: Option<(f64, usize, bool)> = None;
    for (i, piece) in pieces.iter().enumerate().skip(at + 1).take_while(|(_, p)| p.line <= line) {
        if piece.line != line || used[i] {
            continue;
        }
        for (start, forwards) in [(piece.from, true), (piece.to, false)] {
            let way = end.distance(start);
            if way < 3.0 * pitch_mm && best.is_none_or(|b| way < b.0) && stays_inside(end, start, bounds) {
                best = Some((way, i, forwards));
            }
        }
    }
    best.map(|(_, i, forwards)| (i, forwards))
}

fn stays_inside(from: Point, to: Point, bounds: &[Polygon]) -> bool {
    [0.25, 0.5, 0.75].iter().all(|&t| contains(bounds, from.lerp(to, t)))
}

/// Whether a point lies inside polygons with holes (an odd number of rings lies to its right).
#[must_use]
pub fn contains(polygons: &[Polygon], at: Point) -> bool {
    let mut inside = false;
    for ring in polygons.iter().flat_map(Polygon::rings) {
        for i in 0..ring.len() {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            if (a.y > at.y) != (b.y > at.y) && at.x < a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x) {
                inside = !inside;
            }
        }
    }
    inside
}

/// All pieces, line by line from one side of the region to the other.
fn pieces(region: &[Polygon], family: Family) -> Vec<Piece> {
    let along = Point::new(family.angle_deg.to_radians().cos(), family.angle_deg.to_radians().sin());
    let across = along.left();
    let mut crossings: Vec<(i64, f64)> = Vec::new();
    for ring in region.iter().flat_map(Polygon::rings) {
        for i in 0..ring.len() {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            cross_edge(a, b, along, across, family, &mut crossings);
        }
    }
    crossings.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut pieces = Vec::with_capacity(crossings.len() / 2);
    for same_line in crossings.chunk_by(|a, b| a.0 == b.0) {
        for pair in same_line.chunks_exact(2) {
            let height = family.phase_mm + pair[0].0 as f64 * family.pitch_mm;
            let at = |distance: f64| along * distance + across * height;
            if pair[1].1 - pair[0].1 > 1e-3 {
                pieces.push(Piece { line: pair[0].0, from: at(pair[0].1), to: at(pair[1].1) });
            }
        }
    }
    pieces
}

/// Adds every line of the family that crosses an edge, with the place along the line.
fn cross_edge(a: Point, b: Point, along: Point, across: Point, family: Family, into: &mut Vec<(i64, f64)>) {
    let (ya, yb) = (a.dot(across), b.dot(across));
    let number = |y: f64| (y - family.phase_mm) / family.pitch_mm;
    let (low, high) = if ya < yb { (number(ya), number(yb)) } else { (number(yb), number(ya)) };
    // Half-open, so that a corner on a line counts once.
    let (first, last) = (low.ceil(), high.ceil() - 1.0);
    if !(first.is_finite() && last.is_finite() && last - first < 1e6) {
        return;
    }
    for line in first as i64..=last as i64 {
        let height = family.phase_mm + line as f64 * family.pitch_mm;
        let t = (height - ya) / (yb - ya);
        into.push((line, a.dot(along) + t * (b - a).dot(along)));
    }
}

/// Least and greatest distance of a region to the left of the origin, seen along `angle_deg`.
#[must_use]
pub fn extent(region: &[Polygon], angle_deg: f64) -> Option<(f64, f64)> {
    let across = Point::new(angle_deg.to_radians().cos(), angle_deg.to_radians().sin()).left();
    let heights = region.iter().flat_map(|p| &p.outer).map(|p| p.dot(across));
    heights.fold(None, |range, y| match range {
        None => Some((y, y)),
        Some((low, high)) => Some((y.min(low), y.max(high))),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{difference, offset};
    use crate::rebead::drawing::{circle, rectangle};
    use approx::assert_relative_eq;

    fn plate() -> Vec<Polygon> {
        difference(&[rectangle(Point::new(2.0, 1.0), Point::new(42.0, 25.0))], &[circle(Point::new(15.0, 11.0), 9.0)])
    }

    fn length(lines: &[Vec<Point>]) -> f64 {
        lines.iter().flat_map(|l| l.windows(2)).map(|p| p[0].distance(p[1])).sum()
    }

    #[test]
    fn length_times_pitch_is_the_area() {
        let area: f64 = plate().iter().map(Polygon::area_mm2).sum();
        for angle_deg in [0.0, 17.0, 45.0, 135.0] {
            let lines = separate_lines(&plate(), Family { angle_deg, pitch_mm: 0.4, phase_mm: 0.11 });
            assert_relative_eq!(length(&lines) * 0.4, area, max_relative = 0.005);
        }
    }

    #[test]
    fn joined_lines_stay_inside_and_leave_nothing_out() {
        let smaller = offset(&plate(), -0.2);
        let family = Family { angle_deg: 45.0, pitch_mm: 0.4, phase_mm: 0.0 };
        let strands = joined_lines(&smaller, family, &plate());
        assert!(strands.len() < 8, "{} strands", strands.len());
        for p in strands.iter().flatten() {
            assert!(contains(&plate(), *p), "{p:?} lies outside");
        }
        let area: f64 = plate().iter().map(Polygon::area_mm2).sum();
        assert_relative_eq!(length(&strands) * 0.4, area, max_relative = 0.01);
    }

    #[test]
    fn a_pitch_that_is_no_number_gives_no_lines() {
        assert!(separate_lines(&plate(), Family { angle_deg: 0.0, pitch_mm: f64::NAN, phase_mm: 0.0 }).is_empty());
        assert!(separate_lines(&plate(), Family { angle_deg: 0.0, pitch_mm: 0.0, phase_mm: 0.0 }).is_empty());
    }
}
