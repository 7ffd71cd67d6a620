//! Pockets: holes of the outline followed from layer to layer, from the floor they start on to the roof
//! that closes them, and what could be put in before it does.
//!
//! ```text
//!   ##########################   roof: covers the opening, at once or over several layers
//!   ######   last layer  ######  <- the printer stops after this one
//!   ######               ######     steady section: an insert passes through every layer of it
//!   ######  first layer  ######
//!   ##########################   floor: the layer below fills the opening
//! ```
//!
//! A bolt hole may go on through floor or roof, as under a captive nut: what counts is that an insert
//! as wide as the pocket cannot pass. Cracks between beads, holes that change from layer to layer, holes
//! that start at the bed, lids that rest on nothing and cells of a part printed without fill are not
//! pockets; holes that stay open at the top or the side are listed as such.

use super::LayerShape;
use super::openings::{LEAST_BORE_MM, Opening, Openings, identical};
use super::pocket_ends::{Ending, Fate, Floor};
use super::pocket_shape::{PlanFit, PocketShape, fit_plan};
use super::rounds::median;
use crate::geom::{Point, Polygon, difference, holds_circle, offset};
use crate::profile::Role;
use std::sync::Arc;

/// Shallower places hold nothing, mm.
const LEAST_DEPTH_MM: f64 = 0.8;

/// How far an edge may come into the opening while an insert still passes, mm.
const PASSES_MM: f64 = 0.1;

/// Share of the opening that may be lost to bumps beyond that (seams), and how much it may widen.
const BUMPS: f64 = 0.005;
const WIDER: f64 = 1.15;

/// Layers of a pocket whose shape is fitted.
const FITTED: usize = 9;

/// How an insert gets into a pocket.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Access {
    /// Only while it is printed: the printer has to stop.
    Closed,
    /// From above, at any time.
    Top,
    /// From the side, at any time.
    Side,
}

impl Access {
    /// The word used in JSON and reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Closed => "closed",
            Self::Top => "top",
            Self::Side => "side",
        }
    }
}

/// The opening of a pocket in one layer.
#[derive(Debug, Clone, PartialEq)]
pub struct PocketLayer {
    /// Index of the layer.
    pub layer: usize,
    /// Its top, mm.
    pub z_mm: f64,
    /// What it leaves open, outer ring counter-clockwise.
    pub opening: Arc<Polygon>,
}

/// A place where an insert can be built in.
#[derive(Debug, Clone, PartialEq)]
pub struct Pocket {
    /// What it looks like from above.
    pub shape: PocketShape,
    /// Its middle, mm.
    pub centre: Point,
    /// Diameter, distance across flats, short side, or the widest circle inside, mm.
    pub size_mm: f64,
    /// Long side of a box, mm.
    pub length_mm: Option<f64>,
    /// Where its floor is, mm.
    pub floor_z_mm: f64,
    /// Where its roof is: the lowest layer that leaves less than a tenth open, mm. `None` without one.
    pub roof_z_mm: Option<f64>,
    /// From the floor to the roof, or to the top of the opening, mm.
    pub depth_mm: f64,
    /// How an insert gets in.
    pub access: Access,
    /// Last layer to print before the insert goes in: the last through whose opening something as wide as
    /// the pocket passes. `None` when no stop is needed.
    pub stop_after_layer: Option<usize>,
    /// Its openings from the floor up, with those of a roof that narrows.
    pub layers: Vec<PocketLayer>,
}

/// What a pocket is called: `p1` for the first of a print, and so on.
#[must_use]
pub fn pocket_id(index: usize) -> String {
    format!("p{}", index + 1)
}

/// A hole while it is followed upwards.
#[derive(Debug, Clone)]
pub(super) struct Chain {
    pub layers: Vec<PocketLayer>,
    pub area_mm2: f64,
    pub low: Point,
    pub high: Point,
    pub side: bool,
    pub floor_z_mm: f64,
    /// Layers through which it goes that hold no fill at all.
    unfilled: usize,
    /// The first opening less the rim that may come in: what has to stay free. Most holes end before anybody asks.
    free: Option<Vec<Polygon>>,
    /// Outline of the layer below the first, until the floor has been looked at.
    below: Option<Arc<Vec<Polygon>>>,
    floor: Option<Floor>,
}

impl Chain {
    fn new(opening: &Opening, shape: &LayerShape, below: Arc<Vec<Polygon>>) -> Self {
        let polygon = Arc::new(opening.polygon.clone());
        Self {
            free: None,
            layers: vec![PocketLayer { layer: shape.index, z_mm: shape.z_mm, opening: polygon }],
            area_mm2: opening.area_mm2,
            low: opening.low,
            high: opening.high,
            side: opening.side,
            floor_z_mm: shape.z_mm - shape.height_mm,
            unfilled: usize::from(!has_fill(shape)),
            below: Some(below),
            floor: None,
        }
    }

    pub fn last(&self) -> Option<&PocketLayer> {
        self.layers.last()
    }

    /// Goes up through an opening of the next layer if an insert that lies in the pocket passes it too.
    fn continue_through(&mut self, opening: &Opening, shape: &LayerShape) -> bool {
        let Some(last) = self.layers.last().map(|last| Arc::clone(&last.opening)) else { return false };
        if self.side != opening.side || !opening.is_near(self.low, self.high) {
            return false;
        }
        let same = identical(&last, &opening.polygon);
        if !same && !self.passes(opening) {
            return false;
        }
        // Layers alike share one polygon: a deep bore costs no more than a shallow one.
        let polygon = if same { last } else { Arc::new(opening.polygon.clone()) };
        self.layers.push(PocketLayer { layer: shape.index, z_mm: shape.z_mm, opening: polygon });
        self.unfilled += usize::from(!has_fill(shape));
        true
    }

    fn passes(&mut self, opening: &Opening) -> bool {
        if !((1.0 / WIDER)..=WIDER).contains(&(opening.area_mm2 / self.area_mm2)) {
            return false;
        }
        let first = || self.layers.first().map(|first| Polygon::clone(&first.opening));
        let free = self.free.take().unwrap_or_else(|| offset(&Vec::from_iter(first()), -PASSES_MM));
        let taken: f64 = difference(&free, std::slice::from_ref(&opening.polygon)).iter().map(Polygon::area_mm2).sum();
        self.free = Some(free);
        taken <= BUMPS * self.area_mm2
    }

    fn height_mm(&self) -> f64 {
        self.last().map_or(0.0, |l| l.z_mm - self.floor_z_mm)
    }

    /// Looks at the floor as soon as the hole is deep enough to matter, then forgets the layer below it.
    fn look_at_floor(&mut self) {
        if self.layers.len() > 1
            && self.height_mm() >= LEAST_DEPTH_MM - 1e-6
            && let Some(below) = self.below.take()
        {
            self.floor = self.layers.first().map(|first| Floor::of(&first.opening, self.area_mm2, &below));
        }
    }

    /// Deep enough, wide enough and on a floor.
    fn is_pocket(&self) -> bool {
        let middle = self.layers.get(self.layers.len() / 2);
        self.floor.as_ref().is_some_and(Floor::holds) && middle.is_some_and(|l| is_wide(&l.opening))
    }

    fn fit(&self) -> Option<PlanFit> {
        let step = self.layers.len().div_ceil(FITTED).max(1);
        let fits: Vec<PlanFit> = self.layers.iter().step_by(step).filter_map(|l| fit_plan(&l.opening)).collect();
        let count = |shape| fits.iter().filter(|f| f.shape == shape).count();
        let shape = fits.iter().map(|f| f.shape).max_by_key(|&s| count(s))?;
        let of = |what: fn(&PlanFit) -> Option<f64>| {
            let values: Vec<f64> = fits.iter().filter(|f| f.shape == shape).filter_map(what).collect();
            (!values.is_empty()).then(|| median(values))
        };
        Some(PlanFit {
            shape,
            centre: Point::new(of(|f| Some(f.centre.x))?, of(|f| Some(f.centre.y))?),
            size_mm: of(|f| Some(f.size_mm))?,
            length_mm: of(|f| f.length_mm),
        })
    }
}

/// Whether the layer is filled anywhere: a print without fill leaves cells everywhere.
fn has_fill(shape: &LayerShape) -> bool {
    shape.roles.iter().any(|role| matches!(role, Role::SparseInfill | Role::SolidInfill | Role::Bridge))
}

/// Whether the least bore fits in; chords take a little off it.
fn is_wide(opening: &Polygon) -> bool {
    holds_circle(opening, 0.5 * 0.975 * LEAST_BORE_MM)
}

/// Follows pockets, fed layer by layer in print order.
///
/// Memory: one outline, and the openings of the holes that are open at the moment or were pockets.
#[derive(Debug, Clone, Default)]
pub struct Pockets {
    open: Vec<Chain>,
    ending: Vec<Ending>,
    found: Vec<Pocket>,
    below: Option<Arc<Vec<Polygon>>>,
    top_mm: Option<f64>,
}

impl Pockets {
    /// Takes what was found in one layer of the part, and its openings.
    pub fn push(&mut self, shape: &LayerShape, openings: &Openings) {
        if starts_another_object(shape, self.top_mm.replace(shape.z_mm)) {
            self.settle();
        }
        let outline = Arc::new(shape.outline.clone());
        let mut openings: Vec<&Opening> = openings.0.iter().collect();
        let Some(below) = self.below.replace(Arc::clone(&outline)) else {
            // Holes in the first layer start at the bed: they have no floor.
            return;
        };
        for mut chain in std::mem::take(&mut self.open) {
            match openings.iter().position(|o| chain.continue_through(o, shape)) {
                Some(at) => {
                    openings.swap_remove(at);
                    chain.look_at_floor();
                    self.open.push(chain);
                }
                None if chain.is_pocket() => self.ending.push(Ending::new(chain, &below)),
                None => {}
            }
        }
        self.end(shape, &outline);
        self.open.extend(
            openings.into_iter().filter(|o| is_wide(&o.polygon)).map(|o| Chain::new(o, shape, Arc::clone(&below))),
        );
    }

    /// Lets the layer decide what becomes of holes that have come to an end.
    fn end(&mut self, shape: &LayerShape, outline: &[Polygon]) {
        for mut ending in std::mem::take(&mut self.ending) {
            match ending.step(shape, outline) {
                Fate::Undecided => self.ending.push(ending),
                fate => self.found.extend(pocket(ending, fate)),
            }
        }
    }

    /// Nothing more comes above what there is: the print or one of its objects ends.
    fn settle(&mut self) {
        let nothing_above = self.below.take().unwrap_or_default();
        for chain in std::mem::take(&mut self.open) {
            if chain.is_pocket() {
                self.found.extend(pocket(Ending::new(chain, &nothing_above), Fate::Open));
            }
        }
        for mut ending in std::mem::take(&mut self.ending) {
            let fate = ending.last_word();
            self.found.extend(pocket(ending, fate));
        }
    }

    /// Pockets from the bottom up, then by place.
    #[must_use]
    pub fn finish(mut self) -> Vec<Pocket> {
        self.settle();
        self.found.sort_by(|a, b| {
            let key = |p: &Pocket| [p.floor_z_mm, p.centre.y, p.centre.x];
            key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal)
        });
        self.found
    }
}

/// A layer on the bed after higher ones begins the next of several objects printed one after another.
fn starts_another_object(shape: &LayerShape, last_top_mm: Option<f64>) -> bool {
    let on_bed = shape.z_mm - shape.height_mm < 0.5 * shape.height_mm;
    on_bed && last_top_mm.is_some_and(|top| top > shape.z_mm - 1e-6)
}

/// Makes a pocket of a hole that has come to its end, if it is one.
fn pocket(ending: Ending, fate: Fate) -> Option<Pocket> {
    let Ending { mut chain, above, .. } = ending;
    let fit = chain.fit()?;
    let (stop, open_to_mm) = chain.last().map(|l| (l.layer, l.z_mm))?;
    let (access, roof_z_mm) = match fate {
        Fate::Roofed { z_mm } if chain.side => (Access::Side, Some(z_mm)),
        Fate::Roofed { z_mm } => (Access::Closed, Some(z_mm)),
        // A bay open above as well is a notch in the part's edge.
        Fate::Open if chain.side => return None,
        Fate::Open => (Access::Top, None),
        Fate::Nothing | Fate::Undecided => return None,
    };
    // A cell of no insert's shape in a part printed without fill is the part's own hollow.
    let hollow = fit.shape == PocketShape::Other && 2 * chain.unfilled > chain.layers.len();
    if hollow && access != Access::Top {
        return None;
    }
    if access == Access::Closed {
        chain.layers.extend(above);
    }
    Some(Pocket {
        shape: fit.shape,
        centre: fit.centre,
        size_mm: fit.size_mm,
        length_mm: fit.length_mm,
        floor_z_mm: chain.floor_z_mm,
        roof_z_mm,
        depth_mm: roof_z_mm.unwrap_or(open_to_mm) - chain.floor_z_mm,
        access,
        stop_after_layer: (access == Access::Closed).then_some(stop),
        layers: chain.layers,
    })
}

#[cfg(test)]
#[path = "pockets_tests.rs"]
pub(super) mod tests;
