//! Which layers are worth a drawing, and why.

use crate::audit::{Finding, Verdict, Weight};
use crate::geom::{Point, Polygon};
use crate::measure::LayerMeasure;
use crate::report::pocket_groups::{PocketGroup, groups};
use crate::report::translate::translate;
use crate::report::words::layer_range;
use crate::report::{AuditedFile, Figures};
use crate::shape::{Access, Pocket};
use crate::strength::CaseResult;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Drawings on one page at most.
const MOST_DRAWINGS: usize = 12;

/// Layers that are drawn for findings of one code at most: the third says nothing new.
const MOST_OF_ONE_CODE: usize = 2;

/// So many layers with one fault are a band: any of them shows it.
const A_BAND: usize = 6;

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
    /// Openings to outline.
    pub openings: Vec<Arc<Polygon>>,
}

impl Reason {
    fn new(title: impl Into<String>, text: String) -> Self {
        Self { title: title.into(), text, at: None, openings: Vec::new() }
    }
}

/// The layers that matter: the worst wall, the weakest plane, pockets, stops, and where findings point.
#[must_use]
pub fn layers_to_draw(file: &AuditedFile, figures: Figures) -> Vec<LayerToDraw> {
    let mut chosen = Chosen::default();
    for case in &file.cases {
        if let Some((index, reason)) = gives_way(case, figures) {
            chosen.add(index, reason);
        }
    }
    if let Some((index, reason)) = worst_wall(file, figures) {
        chosen.add(index, reason);
    }
    if let Some((index, reason)) = weakest_plane(file, figures) {
        chosen.add(index, reason);
    }
    let closed = file.measures.pockets.iter().enumerate().filter(|(_, p)| p.access == Access::Closed);
    for group in groups(closed) {
        if let Some((index, reason)) = open_pockets(&group, figures) {
            chosen.add(index, reason);
        }
    }
    for stop in &file.measures.stops {
        if let Some(index) = stop.after_layer {
            chosen.add(index, Reason::new("stop", format!("the machine waits after this layer (line {})", stop.line)));
        }
    }
    let mut of_code: BTreeMap<&str, usize> = BTreeMap::new();
    for (number, finding) in file.audit.findings.iter().enumerate() {
        if let Some((index, reason)) = pointed_at(number, finding, &chosen, figures) {
            let seen = of_code.entry(finding.code).or_default();
            if *seen < MOST_OF_ONE_CODE || chosen.places.contains_key(&index) {
                *seen += 1;
                chosen.add(index, reason);
            }
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

/// Where a load case would break the part, whether it holds or not.
fn gives_way(case: &CaseResult, figures: Figures) -> Option<(usize, Reason)> {
    let worst = case.governing()?;
    let text = format!("{}, {}", worst.mode.word(), translate(&worst.place.words, figures));
    let mut reason = Reason::new(format!("gives first under {}", case.name), text);
    reason.at = worst.place.at;
    Some((worst.place.layer?, reason))
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

/// The layer after which inserts go into closed pockets.
fn open_pockets(group: &PocketGroup<'_>, figures: Figures) -> Option<(usize, Reason)> {
    let index = group.pockets.first()?.stop_after_layer?;
    let mut reason = Reason::new(group.name(), format!("{}, open for the last time", group.what(figures)));
    let opening = |p: &&Pocket| p.layers.iter().find(|l| l.layer == index).map(|l| Arc::clone(&l.opening));
    reason.openings = group.pockets.iter().filter_map(opening).collect();
    Some((index, reason))
}

/// Where a finding that matters points. What is so in a whole band of layers is shown in one that is drawn anyway.
fn pointed_at(number: usize, finding: &Finding, chosen: &Chosen, figures: Figures) -> Option<(usize, Reason)> {
    let (first, last) = finding.layers?;
    if finding.weight < Weight::Warning || (finding.at.is_none() && finding.weight < Weight::Undetermined) {
        return None;
    }
    let mut reason = Reason::new(
        format!("finding {}", number + 1),
        format!("{} ({})", translate(&finding.message, figures), layer_range((first, last))),
    );
    reason.at = finding.at;
    let drawn = chosen.layers.iter().map(|l| l.index).find(|index| (first..=last).contains(index));
    if let Some(index) = drawn.filter(|_| last - first + 1 >= A_BAND) {
        return Some((index, reason));
    }
    // Of a band without a place its middle is as good as any, and no skin.
    Some((if finding.at.is_some() { first } else { first + (last - first) / 2 }, reason))
}

/// Fewer walls than the profile asks are marked along the edge.
pub(super) fn fewer_walls_than(file: &AuditedFile, wanted: Option<u32>) -> Option<u32> {
    wanted.filter(|_| file.audit.verdict != Verdict::Unchecked)
}
