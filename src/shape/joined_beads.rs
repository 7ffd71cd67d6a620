//! Beads that lie on one line are one bead to whoever measures a layer.
//!
//! Curves are often written as pieces far shorter than a bead is wide, and straight lines come in pieces too. What is
//! measured does not depend on where a line was cut, but how long it takes does.
//!
//! ```text
//!   written    o--o-o---o--o--o           corners within 0.002 mm of one line, and the same section
//!   measured   o--------------o
//! ```

use crate::deposit::{Bead, Layer, Strand};
use crate::geom::Point;
use std::borrow::Cow;

/// Corners this near to one line lie on it, mm: twice what the third digit of a place amounts to.
const ON_LINE_MM: f64 = 0.002;

/// Sections that differ by less than this share are the same.
const SAME_SECTION: f64 = 0.02;

/// The layer with all beads joined that lie on one line and have the same section. Its strands, plastic, lengths and
/// times stay as they are.
#[must_use]
pub fn joined_beads(layer: &Layer) -> Cow<'_, Layer> {
    let mut beads: Vec<Bead> = Vec::with_capacity(layer.beads.len());
    let mut strands: Vec<Strand> = Vec::with_capacity(layer.strands.len());
    for strand in &layer.strands {
        let start = beads.len();
        join(layer.strand_beads(strand), &mut beads);
        strands.push(Strand { beads: start..beads.len(), ..*strand });
    }
    if beads.len() == layer.beads.len() {
        return Cow::Borrowed(layer);
    }
    Cow::Owned(Layer { beads, strands, ..*layer })
}

/// Adds the beads of a strand to `joined`, as few as they can be joined to.
fn join(beads: &[Bead], joined: &mut Vec<Bead>) {
    let mut beads = beads.iter();
    let Some(first) = beads.next() else { return };
    let mut run = Run::new(first);
    for bead in beads {
        if !run.take(bead) {
            joined.push(run.whole());
            run = Run::new(bead);
        }
    }
    joined.push(run.whole());
}

/// Beads on one line so far.
///
/// All corners lie near the line from the first of them to `to` as long as that runs through the gap that each leaves:
///
/// ```text
///                        ) left
///   from o- - - - - - - corner - - - - -> to
///                        ) right
/// ```
struct Run {
    first: Bead,
    /// All of it as one bead, but for section and width.
    whole: Bead,
    volume_mm3: f64,
    /// Width times length, mm².
    plan_mm2: f64,
    /// From the start to the left and the right end of the gap, once there is a corner.
    gap: Option<[Point; 2]>,
}

impl Run {
    fn new(bead: &Bead) -> Self {
        let (volume_mm3, plan_mm2) = (bead.volume_mm3(), bead.width_mm * bead.length_mm);
        Self { first: *bead, whole: *bead, volume_mm3, plan_mm2, gap: None }
    }

    /// Takes the next bead if the run with it still lies on one line.
    fn take(&mut self, bead: &Bead) -> bool {
        let alike = bead.from == self.whole.to
            && (bead.area_mm2 - self.first.area_mm2).abs() <= SAME_SECTION * self.first.area_mm2
            && (bead.z_mm - self.first.z_mm).abs() <= ON_LINE_MM;
        if !alike {
            return false;
        }
        let (corner, end) = (bead.from - self.first.from, bead.to - self.first.from);
        let gap = narrowed(self.gap, corner);
        // A path that turns back on itself would look like one line.
        let onwards = corner.dot(end - corner) > 0.0;
        let through = gap.is_none_or(|[left, right]| end.cross(left) >= 0.0 && right.cross(end) >= 0.0);
        if !(onwards && through) {
            return false;
        }
        self.gap = gap;
        self.whole.to = bead.to;
        self.whole.z_mm = bead.z_mm;
        self.whole.length_mm += bead.length_mm;
        self.whole.time_s += bead.time_s;
        self.volume_mm3 += bead.volume_mm3();
        self.plan_mm2 += bead.width_mm * bead.length_mm;
        true
    }

    /// All of it as one bead.
    fn whole(&self) -> Bead {
        if self.gap.is_none() {
            return self.first;
        }
        let length_mm = self.whole.length_mm;
        Bead { area_mm2: self.volume_mm3 / length_mm, width_mm: self.plan_mm2 / length_mm, ..self.whole }
    }
}

/// The gap that lines from the start may run through, once they have to pass this corner as well.
fn narrowed(gap: Option<[Point; 2]>, corner: Point) -> Option<[Point; 2]> {
    let Some(side) = corner.unit().map(|along| along.left() * ON_LINE_MM) else { return gap };
    let (left, right) = (corner + side, corner - side);
    Some(gap.map_or([left, right], |[l, r]| {
        [if left.cross(l) > 0.0 { left } else { l }, if right.cross(r) < 0.0 { right } else { r }]
    }))
}

#[cfg(test)]
mod tests {
    use super::super::part_beads::tests::layer;
    use super::*;
    use crate::geom::Segment;
    use crate::profile::Role;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn line(points: &[(f64, f64)]) -> Layer {
        let points = points.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        layer(1, 0.2, &[(Role::OuterWall, false, 0.45, points)]).0
    }

    #[test]
    fn pieces_of_one_line_are_one_bead() {
        let cut = line(&[(0.0, 0.0), (1.0, 0.001), (1.5, 0.0), (4.0, -0.001), (9.0, 0.0), (9.0, 7.0)]);
        let joined = joined_beads(&cut);
        let ends: Vec<Point> = joined.beads.iter().map(|bead| bead.to).collect();
        assert_eq!(ends, [Point::new(9.0, 0.0), Point::new(9.0, 7.0)]);
        assert_eq!(joined.strands[0].beads, 0..2);
        assert!((joined.volume_mm3() - cut.volume_mm3()).abs() < 1e-12);
    }

    #[test]
    fn what_is_bent_or_turns_back_stays_apart() {
        for points in [
            [(0.0, 0.0), (1.0, 0.005), (2.0, 0.0)],
            [(0.0, 0.0), (5.0, 0.0), (3.0, 0.0)],
            [(0.0, 0.0), (5.0, 0.0), (-3.0, 0.001)],
        ] {
            let layer = line(&points);
            assert!(matches!(joined_beads(&layer), Cow::Borrowed(_)), "{points:?}");
        }
    }

    #[test]
    fn beads_of_different_sections_stay_apart() {
        for share in [1.03, 0.97] {
            let mut layer = line(&[(2.0, 7.0), (3.0, 7.0), (4.0, 7.0), (5.0, 7.0)]);
            layer.beads[2].area_mm2 *= share;
            assert_eq!(joined_beads(&layer).beads.len(), 2);
        }
    }

    #[test]
    fn a_joined_bead_has_all_of_the_plastic_and_time() {
        let mut layer = line(&[(2.0, 7.0), (3.5, 7.0), (6.0, 7.0)]);
        for (bead, share) in layer.beads.iter_mut().zip([1.0, 1.01]) {
            (bead.area_mm2, bead.width_mm, bead.time_s) = (0.09 * share, 0.45 * share, 0.25 * bead.length_mm);
        }
        layer.beads[1].z_mm += 0.001;
        let joined = joined_beads(&layer);
        let [bead] = joined.beads[..] else { panic!("{:?}", joined.beads) };
        let mean = (1.5 + 2.5 * 1.01) / 4.0;
        assert_relative_eq!(bead.area_mm2, 0.09 * mean, max_relative = 1e-12);
        assert_relative_eq!(bead.width_mm, 0.45 * mean, max_relative = 1e-12);
        assert_eq!((bead.length_mm, bead.time_s, bead.z_mm), (4.0, 1.0, layer.beads[1].z_mm));
        assert_eq!((bead.from, bead.to, bead.line), (Point::new(2.0, 7.0), Point::new(6.0, 7.0), 1));
    }

    #[test]
    fn strands_and_climbing_beads_stay_apart() {
        let ends = [(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)].map(|(x, y)| Point::new(x, y));
        let strand = |from: usize| (Role::SolidInfill, false, 0.45, ends[from..from + 2].to_vec());
        assert_eq!(joined_beads(&layer(1, 0.2, &[strand(0), strand(1)]).0).beads.len(), 2);
        let mut climbing = line(&[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)]);
        climbing.beads[1].z_mm += 0.01;
        assert_eq!(joined_beads(&climbing).beads.len(), 2);
    }

    proptest! {
        /// However a path winds, joined beads pass all its corners in order, and hold the same plastic.
        #[test]
        fn joined_beads_pass_every_corner(
            steps in prop::collection::vec((0.001..0.8f64, prop_oneof![4 => -0.02..0.02f64, 1 => -3.1..3.1f64]), 2..120),
        ) {
            let (mut at, mut turned) = (Point::new(60.0, -20.0), 0.0_f64);
            let mut points = vec![at];
            for (length, turn) in steps {
                turned += turn;
                at = at + Point::new(turned.cos(), turned.sin()) * length;
                points.push(at);
            }
            let (winding, _) = layer(1, 0.2, &[(Role::OuterWall, false, 0.45, points)]);
            let joined = joined_beads(&winding);
            let sum = |layer: &Layer, of: fn(&Bead) -> f64| layer.beads.iter().map(of).sum::<f64>();
            for of in [Bead::volume_mm3, |bead: &Bead| bead.length_mm, |bead: &Bead| bead.time_s] {
                prop_assert!((sum(&joined, of) - sum(&winding, of)).abs() < 1e-9);
            }
            let mut left = winding.beads.iter();
            for whole in &joined.beads {
                for bead in left.by_ref() {
                    let off_mm = Segment::new(whole.from, whole.to).nearest(bead.to).0.distance(bead.to);
                    prop_assert!(off_mm <= ON_LINE_MM + 1e-9, "{off_mm} mm");
                    if bead.to == whole.to {
                        break;
                    }
                }
            }
            prop_assert!(left.next().is_none());
        }
    }
}
