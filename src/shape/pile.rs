//! Plain sums over beads: what a slice of a part holds of them, and what of a bead lies in a slice.

use crate::geom::{Moments, Point};

/// Volume, moments and direction of the beads of one group in one slice: plain sums, moments about the first bead of
/// all (a part is small enough for what that costs in digits: about 1e-9 of a bead's own moment).
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Pile {
    /// Not yet divided by a thickness, mm³.
    pub volume: f64,
    /// Volume times distance aside and upwards, mm⁴.
    pub first: [f64; 2],
    /// Volume times the squares of both, and times their product, mm⁵.
    pub second: [f64; 3],
    /// Sum of volume times cos².
    pub cosine_square: f64,
}

impl Pile {
    pub fn add(&mut self, other: &Self) {
        self.volume += other.volume;
        self.cosine_square += other.cosine_square;
        self.first.iter_mut().zip(other.first).for_each(|(sum, more)| *sum += more);
        self.second.iter_mut().zip(other.second).for_each(|(sum, more)| *sum += more);
    }

    /// The same plastic counted from a place that lies this far aside and down (parallel axes).
    pub fn counted_from(&self, aside: f64, down: f64) -> Self {
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
    pub fn moments(&self, about: Point, thickness_mm: f64) -> Moments {
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

/// A straight strip of bead to be shared out, `x` along the axis.
pub(super) struct Piece {
    /// Its ends, the one that lies further down the axis first.
    pub low: Point,
    pub high: Point,
    /// One over its length along the axis, 1/mm; 0 where it lies across.
    pub per_run: f64,
    pub volume_mm3: f64,
    /// Its middle's height, and what is taken off places aside: distances count from the first bead, mm.
    pub up_mm: f64,
    pub about_side_mm: f64,
    /// Own second moments per volume, of the height and of the width, mm².
    pub own_up: f64,
    pub own_side: f64,
    pub cosine_square: f64,
    /// How far its plastic reaches from its middle line aside, mm.
    pub half_side: f64,
    /// Least and greatest height of its plastic, mm.
    pub z_mm: [f64; 2],
}

impl Piece {
    /// Where its middle line is aside, at a place along the axis.
    pub fn side_at(&self, at: f64) -> f64 {
        self.low.y + (self.high.y - self.low.y) * ((at - self.low.x) * self.per_run).clamp(0.0, 1.0)
    }

    /// What of it lies between two places aside, a given share of the whole.
    pub fn between(&self, from_side: f64, to_side: f64, share: f64) -> Pile {
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
