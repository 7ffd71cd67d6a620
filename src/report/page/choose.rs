//! Which layers are worth a drawing, and why.

use crate::audit::{Finding, Verdict, Weight};
use crate::geom::{Point, Polygon};
use crate::measure::LayerMeasure;
use crate::report::words::layer_range;
use crate::report::{AuditedFile, Figures};
use crate::shape::{Access, Pocket};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Drawings on one page at most.
const MOST_DRAWINGS: usize = 12;

/// A layer to draw.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerToDraw {
    /// Its index.
    pub index: usize,
    /// Why; the most telling reason first.
    pub reasons: Vec<Reason>,
}

/// Why a layer is worth a drawing, and what to mark in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// A few words, such as "thinnest wall".
    pub title: String,
    /// What is so.
    pub text: String,
    /// A place to ring.
    pub at: Option<Point>,
    /// An opening to hatch.
    pub opening: Option<Arc<Polygon>>,
    /// Mark the edge where it has fewer walls than this.
    pub fewer_walls_than: Option<u32>,
}

impl Reason {
    fn new(title: impl Into<String>, text: String) -> Self {
        Self { title: title.into(), text, at: None, opening: None, fewer_walls_than: None }
    }
}

/// The layers that matter: the worst wall, the weakest plane, pockets, stops, and where findings point.
#[must_use]
pub fn layers_to_draw(file: &AuditedFile, figures: Figures) -> Vec<LayerToDraw> {
    let mut chosen = Chosen::default();
    if let Some((index, reason)) = worst_wall(file, figures) {
        chosen.add(index, reason);
    }
    if let Some((index, reason)) = weakest_plane(file, figures) {
        chosen.add(index, reason);
    }
    for (number, pocket) in file.measures.pockets.iter().enumerate() {
        if let Some((index, reason)) = open_pocket(number, pocket, figures) {
            chosen.add(index, reason);
        }
    }
    for stop in &file.measures.stops {
        if let Some(index) = stop.after_layer {
            chosen.add(index, Reason::new("stop", format!("the machine waits after this layer (line {})", stop.line)));
        }
    }
    for (number, finding) in file.audit.findings.iter().enumerate() {
        if let Some((index, reason)) = pointed_at(number, finding) {
            chosen.add(index, reason);
        }
    }
    chosen.layers.truncate(MOST_DRAWINGS);
    chosen.layers
}

/// Layers in the order in which they were first asked for.
#[derive(Default)]
struct Chosen {
    layers: Vec<LayerToDraw>,
    places: BTreeMap<usize, usize>,
}

impl Chosen {
    fn add(&mut self, index: usize, reason: Reason) {
        let place = *self.places.entry(index).or_insert(self.layers.len());
        match self.layers.get_mut(place) {
            Some(layer) => layer.reasons.push(reason),
            None => self.layers.push(LayerToDraw { index, reasons: vec![reason] }),
        }
    }
}

/// The layer with the thinnest walls, of those that are not skin.
fn worst_wall(file: &AuditedFile, figures: Figures) -> Option<(usize, Reason)> {
    let layers = &file.measures.layers;
    let inner = || layers.iter().skip(1).filter(|l| !l.solid);
    let thinnest = |of: &mut dyn Iterator<Item = &LayerMeasure>| {
        of.filter_map(|l| l.wall_thickness_min.map(|(mm, at)| (l.index, mm, at))).min_by(|a, b| a.1.total_cmp(&b.1))
    };
    let (index, mm, at) = thinnest(&mut inner()).or_else(|| thinnest(&mut layers.iter()))?;
    let text = format!("walls are {} thick at the ring, the least of the part", figures.length(mm));
    let mut reason = Reason::new("thinnest wall", text);
    reason.at = Some(at);
    Some((index, reason))
}

/// The layer that hangs on the least bond area; nothing where all are much alike.
fn weakest_plane(file: &AuditedFile, figures: Figures) -> Option<(usize, Reason)> {
    let layers = &file.measures.layers;
    let (index, area) =
        layers.iter().filter_map(|l| l.bond_area_mm2.map(|a| (l.index, a))).min_by(|a, b| a.1.total_cmp(&b.1))?;
    let text = format!("fuses to the layer below over {}, the least of the part", figures.area(area));
    Some((index, Reason::new("weakest plane", text)))
}

/// The layer after which an insert goes into a closed pocket.
fn open_pocket(number: usize, pocket: &Pocket, figures: Figures) -> Option<(usize, Reason)> {
    if pocket.access != Access::Closed {
        return None;
    }
    let index = pocket.stop_after_layer?;
    let size = match pocket.length_mm {
        Some(length) => format!("{} x {}", figures.bare_length(pocket.size_mm), figures.length(length)),
        None => figures.length(pocket.size_mm),
    };
    let text = format!(
        "{} pocket {size} wide and {} deep, open for the last time",
        pocket.shape.word(),
        figures.length(pocket.depth_mm)
    );
    let mut reason = Reason::new(format!("pocket {}", number + 1), text);
    reason.opening = pocket.layers.iter().find(|l| l.layer == index).map(|l| Arc::clone(&l.opening));
    Some((index, reason))
}

/// Where a finding that matters points.
fn pointed_at(number: usize, finding: &Finding) -> Option<(usize, Reason)> {
    let layers = finding.layers?;
    if finding.weight < Weight::Warning || (finding.at.is_none() && finding.weight < Weight::Undetermined) {
        return None;
    }
    let (first, last) = layers;
    // Of a whole band its middle is as good as any, and no skin.
    let index = if finding.at.is_some() { first } else { first + (last - first) / 2 };
    let text = format!("{} ({})", finding.message, layer_range(layers));
    let mut reason = Reason::new(format!("finding {}", number + 1), text);
    reason.at = finding.at;
    Some((index, reason))
}

/// Fewer walls than the profile asks are marked along the edge.
pub(super) fn fewer_walls_than(file: &AuditedFile, wanted: Option<u32>) -> Option<u32> {
    wanted.filter(|_| file.audit.verdict != Verdict::Unchecked)
}
