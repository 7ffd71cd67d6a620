//! What pattern a core is laid in, told from the directions of its lines.
//!
//! Lines have no front and back, so directions are added up as vectors at twice their angle; the sum is as long as
//! all lines together where they are parallel, and nothing for a grid. At four times the angle the two families of a
//! grid agree, at six times the three of a triangle pattern:
//!
//! ```text
//!   parallel: |sum at 2x| = 1     grid: |sum at 4x| = 1     triangles: |sum at 6x| = 1     loops: most is closed
//! ```

use crate::deposit::Bead;
use crate::geom::Point;
use crate::rebead::{CoreFill, Lie, Pattern};

/// Sums this near to their most are one pattern.
const AGREE: f64 = 0.72;

/// A join along a wall turns more than this against its line, degrees.
const JOIN_DEG: f64 = 50.0;

/// Lines of some layers, added up.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Lines {
    length_mm: f64,
    closed_mm: f64,
    /// Length of beads that bend gently into the next.
    bent_mm: f64,
    /// Length in strands that turn back at their end.
    joined_mm: f64,
    sums: [Point; 3],
}

impl Lines {
    /// Adds one strand.
    pub(super) fn add(&mut self, beads: &[Bead], closed: bool) {
        let whole: f64 = beads.iter().map(|b| b.length_mm).sum();
        self.length_mm += whole;
        if closed {
            self.closed_mm += whole;
        }
        for bead in beads {
            let angle = (bead.to.y - bead.from.y).atan2(bead.to.x - bead.from.x);
            for (sum, times) in self.sums.iter_mut().zip([2.0, 4.0, 6.0]) {
                let (s, c) = (times * angle).sin_cos();
                *sum = *sum + Point::new(c, s) * bead.length_mm;
            }
        }
        let mut turns_back = false;
        for pair in beads.windows(2) {
            let turn = turn_deg(&pair[0], &pair[1]);
            turns_back |= turn > JOIN_DEG;
            if (2.0..JOIN_DEG).contains(&turn) {
                self.bent_mm += 0.5 * (pair[0].length_mm + pair[1].length_mm);
            }
        }
        if turns_back && !closed {
            self.joined_mm += whole;
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        !(self.length_mm > 0.0)
    }

    pub(super) fn plus(self, other: &Self) -> Self {
        Self {
            length_mm: self.length_mm + other.length_mm,
            closed_mm: self.closed_mm + other.closed_mm,
            bent_mm: self.bent_mm + other.bent_mm,
            joined_mm: self.joined_mm + other.joined_mm,
            sums: [0, 1, 2].map(|i| self.sums[i] + other.sums[i]),
        }
    }

    fn share(&self, of_mm: f64) -> f64 {
        if self.length_mm > 0.0 { of_mm / self.length_mm } else { 0.0 }
    }

    fn agreement(&self, i: usize) -> f64 {
        self.share(self.sums[i].length())
    }

    /// Direction of the first family, degrees, where the sum at this place of the list is the one that agrees.
    fn angle_deg(&self, i: usize) -> f64 {
        let times = 2.0 * (i as f64 + 1.0);
        self.sums[i].y.atan2(self.sums[i].x).to_degrees() / times
    }

    /// Direction of parallel lines, degrees, if these are parallel.
    pub(super) fn parallel_deg(&self) -> Option<f64> {
        (self.agreement(0) > AGREE).then(|| self.angle_deg(0))
    }

    fn pattern(&self) -> (Pattern, usize) {
        let wavy = self.share(self.bent_mm) > 0.6 && self.agreement(0) > 0.4;
        if self.share(self.closed_mm) > 0.5 {
            (Pattern::Concentric, 0)
        } else if wavy {
            (Pattern::Wavy, 0)
        } else if self.agreement(0) > AGREE {
            (Pattern::Straight, 0)
        } else if self.agreement(2) > AGREE && self.agreement(1) < AGREE {
            (Pattern::Triangles, 2)
        } else {
            (Pattern::Grid, 1)
        }
    }
}

fn turn_deg(a: &Bead, b: &Bead) -> f64 {
    match ((a.to - a.from).unit(), (b.to - b.from).unit()) {
        (Some(a), Some(b)) => a.cross(b).atan2(a.dot(b)).to_degrees().abs(),
        _ => 0.0,
    }
}

/// The core whose lines were seen in even and in odd layers; its density is measured elsewhere.
pub(super) fn core_of(even: &Lines, odd: &Lines, density: f64) -> CoreFill {
    let one = if even.is_empty() { odd } else { even };
    let (pattern, i) = one.pattern();
    let own_angle = one.angle_deg(i);
    // Families of a pattern come again after this angle; half of it is as far off as they can be.
    let again_deg = [180.0, 90.0, 60.0][i];
    let crossed = if even.is_empty() || odd.is_empty() {
        pattern == Pattern::Straight
    } else {
        let off = (odd.angle_deg(i) - even.angle_deg(i)).rem_euclid(again_deg);
        pattern == Pattern::Concentric || off.min(again_deg - off) > 0.25 * again_deg
    };
    let lie = if crossed { Lie::Crossed } else { Lie::Aligned };
    let turned_deg = if even.is_empty() && crossed { 0.5 * again_deg } else { 0.0 };
    let both = even.plus(odd);
    let joined = both.share(both.joined_mm) > 0.5;
    CoreFill { pattern, density, lie, angle_deg: own_angle - turned_deg, joined, ..CoreFill::default() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Polygon;
    use crate::profile::Role;
    use crate::rebead::drawing::rectangle;
    use crate::rebead::{Body, Settings, lay, slice};

    fn plan() -> Polygon {
        rectangle(Point::new(10.0, 10.0), Point::new(58.0, 44.0))
    }

    /// What is told of a core that was laid with known settings.
    fn told(core: CoreFill) -> CoreFill {
        let slices = slice(&[Body::new(0).add(0.0, 0.8, plan())], 0.2, 0.2);
        let settings = Settings { walls: 2, bottom_skins: 0, top_skins: 0, core, ..Settings::default() };
        let mut looks = [Lines::default(); 2];
        for (i, layer) in lay(&slices, &settings).layers_of_beads().iter().enumerate() {
            for strand in layer.strands.iter().filter(|s| s.role == Role::SparseInfill) {
                looks[i % 2].add(layer.strand_beads(strand), strand.closed);
            }
        }
        core_of(&looks[0], &looks[1], core.density)
    }

    #[test]
    fn every_pattern_is_told_from_the_others() {
        use Pattern::{Concentric, Grid, Straight, Triangles, Wavy};
        for (pattern, lies, again_deg) in [
            (Straight, &[Lie::Aligned, Lie::Crossed][..], 180.0),
            (Grid, &[Lie::Aligned, Lie::Crossed], 90.0),
            (Triangles, &[Lie::Aligned, Lie::Crossed], 60.0),
            (Wavy, &[Lie::Aligned, Lie::Crossed], 180.0),
            (Concentric, &[Lie::Crossed], 360.0),
        ] {
            for &lie in lies {
                for angle_deg in [20.0, 45.0] {
                    let found = told(CoreFill { pattern, density: 0.25, lie, angle_deg, ..CoreFill::default() });
                    assert_eq!((found.pattern, found.lie), (pattern, lie), "{pattern:?} {lie:?} {angle_deg}");
                    if pattern != Concentric {
                        let off = (found.angle_deg - angle_deg).rem_euclid(again_deg);
                        assert!(off.min(again_deg - off) < 3.0, "{pattern:?} at {} not {angle_deg}", found.angle_deg);
                    }
                    assert!(!found.joined, "{pattern:?} {lie:?}");
                }
            }
        }
    }

    #[test]
    fn joined_ends_are_seen() {
        let found = told(CoreFill { density: 0.25, joined: true, ..CoreFill::default() });
        assert!(found.joined && found.pattern == Pattern::Straight, "{found:?}");
    }
}
