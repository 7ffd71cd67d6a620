//! Changes to a part that is already laid: strands cut at a circle, starved or taken away within it.

use beadwise::geom::Point;
use beadwise::profile::Role;
use beadwise::rebead::{LaidLayer, LaidStrand};

/// A round place.
#[derive(Debug, Clone, Copy)]
pub struct Disc {
    pub centre: Point,
    pub radius_mm: f64,
}

impl Disc {
    pub fn holds(&self, p: Point) -> bool {
        p.distance(self.centre) < self.radius_mm
    }

    /// The shares of a straight piece at which it crosses the circle.
    fn crossings(&self, from: Point, to: Point) -> Vec<f64> {
        let (along, off) = (to - from, from - self.centre);
        let (a, half_b) = (along.dot(along), off.dot(along));
        let root = half_b * half_b - a * (off.dot(off) - self.radius_mm * self.radius_mm);
        if !(root > 0.0 && a > 0.0) {
            return Vec::new();
        }
        let both = [(-half_b - root.sqrt()) / a, (-half_b + root.sqrt()) / a];
        both.into_iter().filter(|t| (1e-6..1.0 - 1e-6).contains(t)).collect()
    }
}

/// Puts a corner wherever the strand crosses the circle; says for each piece whether it lies within.
fn split(strand: &mut LaidStrand, disc: Disc) -> Vec<bool> {
    let (mut points, mut areas, mut within) = (Vec::new(), Vec::new(), Vec::new());
    for (ends, &area) in strand.points.windows(2).zip(&strand.areas_mm2) {
        let mut from = ends[0];
        for share in disc.crossings(ends[0], ends[1]).into_iter().chain([1.0]) {
            let to = if share < 1.0 { ends[0].lerp(ends[1], share) } else { ends[1] };
            points.push(from);
            areas.push(area);
            within.push(disc.holds(from.lerp(to, 0.5)));
            from = to;
        }
    }
    points.extend(strand.points.last().copied());
    (strand.points, strand.areas_mm2) = (points, areas);
    within
}

/// Gives the chosen strands this share of their plastic within the disc; says where the middle of that plastic was.
pub fn change_flow(
    layer: &mut LaidLayer,
    disc: Disc,
    share: f64,
    chosen: impl Fn(&LaidStrand) -> bool,
) -> Option<Point> {
    let (mut sum, mut volume) = (Point::default(), 0.0);
    for strand in layer.strands.iter_mut().filter(|s| chosen(s)) {
        let within = split(strand, disc);
        for (i, _) in within.iter().enumerate().filter(|(_, within)| **within) {
            let (from, to) = (strand.points[i], strand.points[i + 1]);
            let plastic = from.distance(to) * strand.areas_mm2[i];
            sum = sum + from.lerp(to, 0.5) * plastic;
            volume += plastic;
            strand.areas_mm2[i] *= share;
        }
    }
    (volume > 0.0).then(|| sum * (1.0 / volume))
}

/// Takes what lies in the disc away from the chosen strands; what is left of each follows as strands of their own.
pub fn take_away(layer: &mut LaidLayer, disc: Disc, chosen: impl Fn(usize, &LaidStrand) -> bool) {
    let strands = std::mem::take(&mut layer.strands);
    for (number, mut strand) in strands.into_iter().enumerate() {
        if !chosen(number, &strand) {
            layer.strands.push(strand);
            continue;
        }
        let within = split(&mut strand, disc);
        if within.contains(&true) {
            layer.strands.extend(remains(&strand, &within));
        } else {
            layer.strands.push(strand);
        }
    }
}

/// The runs of pieces outside; a loop is joined again over its start.
fn remains(strand: &LaidStrand, within: &[bool]) -> Vec<LaidStrand> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (i, _) in within.iter().enumerate().filter(|(_, within)| !**within) {
        match runs.last_mut() {
            Some((_, end)) if *end == i => *end = i + 1,
            _ => runs.push((i, i + 1)),
        }
    }
    let part = |&(from, to): &(usize, usize)| LaidStrand {
        points: strand.points[from..=to].to_vec(),
        areas_mm2: strand.areas_mm2[from..to].to_vec(),
        closed: false,
        ..strand.clone()
    };
    let mut left: Vec<LaidStrand> = runs.iter().map(part).collect();
    let meets = strand.points.first() == strand.points.last();
    let over_start = runs.first().is_some_and(|r| r.0 == 0) && runs.last().is_some_and(|r| r.1 == within.len());
    if meets && over_start && runs.len() > 1 {
        let first = left.remove(0);
        if let Some(last) = left.last_mut() {
            last.points.extend(first.points.into_iter().skip(1));
            last.areas_mm2.extend(first.areas_mm2);
        }
    }
    left
}

/// Moves a whole layer in the plane.
pub fn shift(layer: &mut LaidLayer, by: Point) {
    layer.strands.iter_mut().flat_map(|s| &mut s.points).for_each(|p| *p = *p + by);
    for ring in layer.outline.iter_mut().flat_map(|o| std::iter::once(&mut o.outer).chain(&mut o.holes)) {
        ring.iter_mut().for_each(|p| *p = *p + by);
    }
}

/// A line of support, open and at one flow.
pub fn support_line(points: Vec<Point>, area_mm2: f64) -> LaidStrand {
    LaidStrand {
        role: Role::Support,
        tool: 0,
        areas_mm2: vec![area_mm2; points.len() - 1],
        closed: false,
        points,
        climbs: false,
        speed_mm_s: 60.0,
        flow: 1.0,
    }
}
