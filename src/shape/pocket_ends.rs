//! The two ends of a pocket: what its floor leaves open, and what becomes of it above.

use super::LayerShape;
use super::pockets::{Chain, PocketLayer};
use crate::geom::{Polygon, difference, intersect, offset, widest_circle};
use std::sync::Arc;

/// Share of an opening that may stay open when it counts as covered.
const OPEN_SHARE: f64 = 0.1;

/// Share that a bolt hole through floor or roof may take. Through a nut's seat, bolt hole to hexagon, it is
/// 0.32 to 0.42 (M3 to M8 with clearance, common practice, no source).
const BOLT_HOLE_SHARE: f64 = 0.6;

/// A bolt hole is narrower than this share of the pocket, so that an insert cannot pass.
const BOLT_HOLE_WIDTH: f64 = 0.9;

/// What is left open counts as steady when it loses less than this share over `STEADY_MM`.
const STEADY_SHARE: f64 = 0.03;
const STEADY_MM: f64 = 1.0;

/// Layers that have to keep a roof closed before it is believed.
const ROOF_LAYERS: u32 = 2;

/// Width of the rim that a roof has to rest on, mm, and the share of it that it must cover.
const RIM_MM: f64 = 1.0;
const RIM_SHARE: f64 = 0.5;

/// The floor of a hole.
#[derive(Debug, Clone)]
pub(super) struct Floor {
    holds: bool,
}

impl Floor {
    /// Looks at what the layer below puts under the first opening of a hole.
    pub fn of(opening: &Polygon, area_mm2: f64, below: &[Polygon]) -> Self {
        let open = difference(std::slice::from_ref(opening), below);
        Self { holds: is_closed(&open, opening, area_mm2) }
    }

    /// An insert lies on it.
    pub fn holds(&self) -> bool {
        self.holds
    }
}

fn area(of: &[Polygon]) -> f64 {
    of.iter().map(Polygon::area_mm2).sum()
}

/// Nearly all covered, or all but a hole too narrow for the insert.
fn is_closed(open: &[Polygon], opening: &Polygon, area_mm2: f64) -> bool {
    let share = area(open) / area_mm2;
    share <= OPEN_SHARE || share <= BOLT_HOLE_SHARE && is_narrow(open, opening)
}

fn is_narrow(open: &[Polygon], opening: &Polygon) -> bool {
    let width = |p: &Polygon| widest_circle(p, 0.02).map_or(0.0, |c| c.radius_mm);
    let widest = open.iter().map(width).fold(0.0, f64::max);
    widest <= BOLT_HOLE_WIDTH * width(opening)
}

/// What becomes of a hole above its steady section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Fate {
    /// It needs more layers to tell.
    Undecided,
    /// A roof at this height.
    Roofed { z_mm: f64 },
    /// It stays open.
    Open,
    /// It was no pocket.
    Nothing,
}

/// A hole past the end of its steady section.
#[derive(Debug, Clone)]
pub(super) struct Ending {
    pub chain: Chain,
    /// Narrower openings above the steady section.
    pub above: Vec<PocketLayer>,
    /// What no layer since has covered.
    left: Vec<Polygon>,
    rim: Vec<Polygon>,
    /// Where the roof begins, once there is one, and how many layers have kept it.
    roof: Option<(f64, u32)>,
    /// Area left and height when it last shrank.
    steady_since: (f64, f64),
    top_mm: f64,
    first: bool,
}

impl Ending {
    /// `rim_layer` is the outline of the hole's last layer.
    pub fn new(chain: Chain, rim_layer: &[Polygon]) -> Self {
        let left: Vec<Polygon> = chain.last().map(|l| (*l.opening).clone()).into_iter().collect();
        let rim = intersect(&difference(&offset(&left, RIM_MM), &left), rim_layer);
        let top_mm = chain.last().map_or(0.0, |l| l.z_mm);
        let steady_since = (area(&left), top_mm);
        Self { chain, above: Vec::new(), left, rim, roof: None, steady_since, top_mm, first: true }
    }

    /// Takes the next layer.
    pub fn step(&mut self, shape: &LayerShape, outline: &[Polygon]) -> Fate {
        if self.roof.is_some() {
            return self.keep_roof(outline);
        }
        let before_mm2 = area(&self.left);
        let bottom_mm = self.top_mm;
        self.top_mm = shape.z_mm;
        self.left = difference(&self.left, outline);
        let left_mm2 = area(&self.left);
        if std::mem::take(&mut self.first) {
            let rim_kept = area(&intersect(&self.rim, outline)) / area(&self.rim);
            // The rim ends here as well: open above. A lid that does not rest on the rim is another part.
            let tied = rim_kept >= RIM_SHARE;
            if !tied {
                return if left_mm2 < 0.5 * before_mm2 { Fate::Nothing } else { Fate::Open };
            }
        }
        if left_mm2 <= OPEN_SHARE * self.chain.area_mm2 {
            self.roof = Some((bottom_mm, 0));
            return Fate::Undecided;
        }
        self.remember(shape);
        if left_mm2 < (1.0 - STEADY_SHARE) * self.steady_since.0 {
            self.steady_since = (left_mm2, bottom_mm);
        } else if shape.z_mm - self.steady_since.1 >= STEADY_MM - 1e-6 {
            return self.settle();
        }
        Fate::Undecided
    }

    /// A roof has to stay: the bottom of the next copy in a stack does not.
    fn keep_roof(&mut self, outline: &[Polygon]) -> Fate {
        let Some((z_mm, layers)) = self.roof else { return Fate::Undecided };
        let opening: Vec<Polygon> = self.chain.last().map(|l| (*l.opening).clone()).into_iter().collect();
        let open = area(&difference(&opening, outline));
        if open > BOLT_HOLE_SHARE * self.chain.area_mm2 {
            // The next pocket begins above a thin floor: it leaves something of the roof or of what is round it.
            let stays = layers > 0 || area(&intersect(&self.rim, outline)) > RIM_SHARE * area(&self.rim);
            return if stays { Fate::Roofed { z_mm } } else { Fate::Nothing };
        }
        self.roof = Some((z_mm, layers + 1));
        if layers + 1 >= ROOF_LAYERS { Fate::Roofed { z_mm } } else { Fate::Undecided }
    }

    /// Nothing more comes in over what is left: a bolt hole through the roof, or no roof at all.
    fn settle(&self) -> Fate {
        let closed = self.chain.last().is_some_and(|l| is_closed(&self.left, &l.opening, self.chain.area_mm2));
        if closed { Fate::Roofed { z_mm: self.steady_since.1 } } else { Fate::Open }
    }

    /// What there is to say when the print ends.
    pub fn last_word(&mut self) -> Fate {
        match self.roof {
            Some((z_mm, _)) => Fate::Roofed { z_mm },
            None => self.settle(),
        }
    }

    fn remember(&mut self, shape: &LayerShape) {
        let widest = self.left.iter().max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()));
        if let Some(opening) = widest {
            let opening = Arc::new(opening.clone());
            self.above.push(PocketLayer { layer: shape.index, z_mm: shape.z_mm, opening });
        }
    }
}

#[cfg(test)]
#[path = "pocket_ends_tests.rs"]
mod tests;
