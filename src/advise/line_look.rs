//! How far apart the straight lines of a core lie, and where: the density that was asked for, to a hair.
//!
//! The share of a core that is filled is measured from plastic over room, and in a narrow core it hangs on whether one
//! line more falls into it. The distance of the lines does not.
//!
//! ```text
//!      |     |     |     |     lines of one family, seen along them
//!      0    gap  2 gap 3 gap   their places are whole gaps from the first
//!   --x-|                      where they stand beside the middle of the part
//! ```

use crate::geom::Point;
use crate::rebead::CoreFill;

/// Layers whose lines are looked at, at most.
const MOST_LAYERS: usize = 24;
/// Beads kept of one layer, at most.
const MOST_BEADS: usize = 4000;
/// Beads that run along a family run within this angle of it: its cosine (4 degrees).
const ALONG: f64 = 0.9976;
/// Shorter beads say little about their direction, mm.
const LEAST_BEAD_MM: f64 = 0.3;
/// Places closer than this share of the beads' own distance are one line.
const SAME_LINE: f64 = 0.3;
/// A line stands at its place when it is off by less than this share of a gap.
const AT_PLACE: f64 = 0.1;
/// A lattice holds when this share of the lines' length stands at its places.
const HOLDS: f64 = 0.8;

/// Beads of the core of some layers, even and odd ones alike.
#[derive(Debug, Default)]
pub(super) struct CoreSamples {
    /// Of so many pairs of layers one is kept.
    stride: usize,
    kept: Vec<(usize, Vec<(Point, Point)>)>,
}

/// A core whose lines lie evenly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lattice {
    /// Share that is filled where the room is wide.
    pub density: f64,
    /// Where the lines stand, as in [`CoreFill::beside_mm`].
    pub beside_mm: [[f64; 3]; 2],
}

impl CoreSamples {
    /// Takes the core's beads of the next layer with this index.
    pub fn take(&mut self, index: usize, mut beads: Vec<(Point, Point)>) {
        let stride = self.stride.max(1);
        if beads.is_empty() || !(index / 2).is_multiple_of(stride) {
            return;
        }
        beads.truncate(MOST_BEADS);
        self.kept.push((index, beads));
        if self.kept.len() > MOST_LAYERS {
            self.stride = 2 * stride;
            self.kept.retain(|(index, _)| (index / 2).is_multiple_of(2 * stride));
        }
    }

    /// The lattice of a core of known pattern and angle; `anchor` is the middle of the part, and `pitch_mm` the distance
    /// of beads that leave no room.
    pub fn lattice(&self, core: &CoreFill, pitch_mm: f64, anchor: Point) -> Option<Lattice> {
        let families = |odd: bool| core.family_angles_deg(odd).into_iter().enumerate();
        let all = [false, true].into_iter().flat_map(|odd| families(odd).map(move |(family, deg)| (odd, family, deg)));
        let rows: Vec<(usize, usize, Vec<Row>)> = all
            .map(|(odd, family, angle_deg)| {
                let layers = self.kept.iter().filter(|(index, _)| (index % 2 == 1) == odd);
                let rows = layers.map(|(_, beads)| Row::of(beads, angle_deg, anchor, SAME_LINE * pitch_mm));
                (usize::from(odd), family, rows.filter(|row| row.0.len() > 1).collect())
            })
            .collect();
        let gap_mm = gap_mm(rows.iter().flat_map(|(_, _, rows)| rows))?;
        let mut beside_mm = [[0.0; 3]; 2];
        for (odd, family, rows) in rows.iter().filter(|(_, _, rows)| !rows.is_empty()) {
            beside_mm[*odd][*family] = phase_mm(rows, gap_mm)?;
        }
        let count = core.family_angles_deg(false).len() as f64;
        Some(Lattice { density: count * pitch_mm / gap_mm, beside_mm }).filter(|l| l.density < 0.9)
    }
}

/// Lines of one family in one layer: place to the left of the anchor, mm, and length, mm; in order of place.
struct Row(Vec<(f64, f64)>);

impl Row {
    fn of(beads: &[(Point, Point)], angle_deg: f64, anchor: Point, same_mm: f64) -> Self {
        let along = Point::new(angle_deg.to_radians().cos(), angle_deg.to_radians().sin());
        let mut places: Vec<(f64, f64)> = beads
            .iter()
            .filter_map(|&(from, to)| {
                let length = from.distance(to);
                let runs_along = (to - from).dot(along).abs() > ALONG * length;
                let place = (from.lerp(to, 0.5) - anchor).dot(along.left());
                (length > LEAST_BEAD_MM && runs_along && place.is_finite()).then_some((place, length))
            })
            .collect();
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut lines: Vec<(f64, f64)> = Vec::new();
        for (place, length) in places {
            match lines.last_mut() {
                Some(last) if place - last.0 < same_mm => {
                    last.0 += (place - last.0) * length / (last.1 + length);
                    last.1 += length;
                }
                _ => lines.push((place, length)),
            }
        }
        Self(lines)
    }
}

/// The distance of neighbouring lines: the middle one of all, then drawn out over whole rows.
fn gap_mm<'r>(rows: impl Iterator<Item = &'r Row> + Clone) -> Option<f64> {
    let mut gaps: Vec<f64> = rows.clone().flat_map(|row| row.0.windows(2).map(|pair| pair[1].0 - pair[0].0)).collect();
    gaps.sort_by(f64::total_cmp);
    let middle = *gaps.get(gaps.len() / 2)?;
    let (mut length, mut count) = (0.0, 0.0);
    for row in rows {
        let span = row.0.last()?.0 - row.0.first()?.0;
        let whole = (span / middle).round();
        if (span / middle - whole).abs() < 2.0 * AT_PLACE && whole > 0.0 {
            length += span;
            count += whole;
        }
    }
    (count > 0.0).then(|| length / count)
}

/// Where the lines of several rows stand; `None` where too few of them stand in one lattice.
fn phase_mm(rows: &[Row], gap_mm: f64) -> Option<f64> {
    let lines = || rows.iter().flat_map(|row| &row.0);
    let turn = std::f64::consts::TAU / gap_mm;
    let sum = lines().fold(Point::default(), |sum, &(place, length)| {
        sum + Point::new((turn * place).cos(), (turn * place).sin()) * length
    });
    let phase = sum.y.atan2(sum.x) / turn;
    let at_place = |place: f64| {
        let off = (place - phase) / gap_mm;
        (off - off.round()).abs() < AT_PLACE
    };
    let all: f64 = lines().map(|line| line.1).sum();
    let standing: f64 = lines().filter(|line| at_place(line.0)).map(|line| line.1).sum();
    (standing > HOLDS * all).then_some(phase)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::Role;
    use crate::rebead::drawing::{circle, rectangle};
    use crate::rebead::{Body, Lie, Pattern, Settings, lay, middle, slice};

    /// The lattice of a core that was laid in a narrow frame.
    fn found(core: CoreFill) -> Option<Lattice> {
        let plan = rectangle(Point::new(10.0, 10.0), Point::new(50.0, 38.0));
        let body = Body::new(0).add(0.0, 1.2, plan).cut(0.0, 1.2, circle(Point::new(31.0, 23.0), 20.0));
        let slices = slice(&[body], 0.2, 0.2);
        let settings = Settings { walls: 2, bottom_skins: 0, top_skins: 0, core, ..Settings::default() };
        let mut samples = CoreSamples::default();
        for (i, layer) in lay(&slices, &settings).layers_of_beads().iter().enumerate() {
            let core = layer.strands.iter().filter(|s| s.role == Role::SparseInfill);
            samples.take(i, core.flat_map(|s| layer.strand_beads(s)).map(|b| (b.from, b.to)).collect());
        }
        samples.lattice(&core, settings.pitch_mm(0.2), middle(&slices))
    }

    #[test]
    fn distance_and_place_of_the_lines_are_found_again() {
        for (pattern, lie) in
            [(Pattern::Straight, Lie::Crossed), (Pattern::Grid, Lie::Aligned), (Pattern::Triangles, Lie::Crossed)]
        {
            for joined in [false, true] {
                let beside_mm = [[0.3, -0.4, 0.1], [-0.2, 0.25, 0.35]];
                let core = CoreFill { pattern, lie, density: 0.23, joined, beside_mm, ..CoreFill::default() };
                let lattice = found(core).unwrap_or_else(|| panic!("{pattern:?} joined {joined}: nothing"));
                assert!((lattice.density - 0.23).abs() < 1e-3, "{pattern:?} {lattice:?}");
                let families = core.family_angles_deg(false).len();
                for (found, laid) in lattice.beside_mm.iter().zip(&beside_mm) {
                    for (found, laid) in found.iter().zip(laid).take(families) {
                        // Joins round the hole run along some family here and there.
                        let near_mm = if joined { 0.05 } else { 0.005 };
                        assert!((found - laid).abs() < near_mm, "{pattern:?}: {found} for {laid}");
                    }
                }
            }
        }
    }

    #[test]
    fn loops_have_no_lattice_and_a_full_core_needs_none() {
        assert_eq!(found(CoreFill { pattern: Pattern::Concentric, ..CoreFill::default() }), None);
        assert_eq!(found(CoreFill { density: 0.97, ..CoreFill::default() }), None);
    }
}
