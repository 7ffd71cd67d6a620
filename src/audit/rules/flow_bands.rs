//! Starved or swollen beads in a band of layers.
//!
//! A bead's section over its layer's height (A/h) is steady in a sound print, role by role, even where layer
//! heights vary. A band of layers in which most plastic lies in beads that are far from the usual section of
//! their role is starved or swollen, whoever did it: the slicer, or a flow override. So is a place in some layers.

use super::Rule;
use super::bands::{grown_bands, over};
use super::flow_places::at_places;
use crate::audit::{AuditContext, Finding, Weight};
use crate::measure::{LayerMeasure, RoleFlow};
use crate::profile::Role;
use std::collections::BTreeMap;

/// Below this share of the usual section a layer is starved; common slicing changes it by less than a tenth.
const STARVED: f64 = 0.85;
/// Above this share it is swollen.
const SWOLLEN: f64 = 1.2;
/// A band goes on over layers that are this far from usual: what was asked of all of it comes out a little different
/// from layer to layer.
const STILL_STARVED: f64 = 0.9;
const STILL_SWOLLEN: f64 = 1.13;
/// Fewer layers have no usual section.
const LEAST_LAYERS: usize = 5;
/// A role must be found in this many layers to have a usual section.
const LEAST_LAYERS_OF_ROLE: usize = 4;

/// Flow and the distance of walls agree within this share (real walls lie closer than their flow asks for by up to a
/// tenth).
const AGREES: f64 = 0.12;

fn agrees(flow_ratio: f64) -> bool {
    (flow_ratio - 1.0).abs() <= AGREES
}

/// Flow far from what the rest of the print has.
pub(super) struct FlowBands;

impl Rule for FlowBands {
    fn about(&self) -> &'static str {
        "no band of layers and no place has beads much thinner or fatter than the same beads elsewhere in the print"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["starved-flow", "excess-flow"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        // The first layer is often laid wide or squeezed on purpose.
        let layers = context.layers().get(1..).unwrap_or_default();
        if layers.len() < LEAST_LAYERS {
            return Vec::new();
        }
        // A band may cover most of the print: usual is what walls lie as far apart for, where that is known.
        let agreed: Vec<&LayerMeasure> = layers.iter().filter(|l| l.flow_ratio.is_some_and(agrees)).collect();
        let known = agreed.len() >= LEAST_LAYERS_OF_ROLE;
        let usual = usual_widths(if known { agreed } else { layers.iter().collect() });
        let share = |l: &LayerMeasure| share_of_usual(l, &usual);
        let below = |most: f64| move |l: &LayerMeasure| share(l).is_some_and(|s| s < most);
        let above = |least: f64| move |l: &LayerMeasure| share(l).is_some_and(|s| s > least);
        let starved = grown_bands(layers, below(STARVED), below(STILL_STARVED)).into_iter().map(|band| {
            let least = band.iter().filter_map(share).min_by(f64::total_cmp).unwrap_or_default();
            let message = format!("beads get {:.0} % of the plastic they get in the rest of the print", least * 100.0);
            let remedy = "look for a flow override or a setting at these heights; a starved band breaks first";
            over(Finding::new("starved-flow", Weight::Warning, message, remedy), band)
        });
        let swollen = grown_bands(layers, above(SWOLLEN), above(STILL_SWOLLEN)).into_iter().map(|band| {
            let most = band.iter().filter_map(share).max_by(f64::total_cmp).unwrap_or_default();
            let message = format!("beads get {:.0} % of the plastic they get in the rest of the print", most * 100.0);
            let remedy = "look for a flow override or a setting at these heights; the surface will bulge";
            over(Finding::new("excess-flow", Weight::Warning, message, remedy), band)
        });
        let mut found: Vec<Finding> = starved.chain(swollen).collect();
        found.extend(at_places(context, &found));
        found
    }
}

/// Mean section over height of a role's beads in a layer, mm: their volume-true width.
fn width_mm(layer: &LayerMeasure, flow: &RoleFlow) -> Option<f64> {
    (flow.length_mm > 0.0 && layer.height_mm > 0.0).then(|| flow.volume_mm3 / flow.length_mm / layer.height_mm)
}

/// Median over layers of each role's width, mm. Bridges and supports are laid as the place demands.
fn usual_widths(layers: Vec<&LayerMeasure>) -> BTreeMap<Role, f64> {
    let mut widths: BTreeMap<Role, Vec<f64>> = BTreeMap::new();
    for layer in layers {
        for flow in layer.role_flow.iter().filter(|f| has_usual_width(f.role)) {
            widths.entry(flow.role).or_default().extend(width_mm(layer, flow));
        }
    }
    widths.retain(|_, values| values.len() >= LEAST_LAYERS_OF_ROLE);
    widths
        .into_iter()
        .filter_map(|(role, mut values)| {
            values.sort_by(f64::total_cmp);
            values.get(values.len() / 2).map(|&median| (role, median))
        })
        .collect()
}

const fn has_usual_width(role: Role) -> bool {
    matches!(role, Role::OuterWall | Role::InnerWall | Role::SparseInfill | Role::SolidInfill)
}

/// How the layer's beads compare with the usual ones: the median over its roles, weighted by length.
fn share_of_usual(layer: &LayerMeasure, usual: &BTreeMap<Role, f64>) -> Option<f64> {
    let mut shares: Vec<(f64, f64)> = layer
        .role_flow
        .iter()
        .filter_map(|flow| Some((width_mm(layer, flow)? / usual.get(&flow.role)?, flow.length_mm)))
        .collect();
    shares.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = 0.5 * shares.iter().map(|(_, length)| length).sum::<f64>();
    let mut below = 0.0;
    shares.into_iter().find_map(|(share, length)| {
        below += length;
        (below >= half).then_some(share)
    })
}
