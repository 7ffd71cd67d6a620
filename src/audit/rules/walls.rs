//! Walls: fewer or thinner than the strength profile asks, or than the rest of the print has.

use super::Rule;
use super::bands::{bands, over};
use crate::audit::{AuditContext, Finding, Weight};
use crate::measure::LayerMeasure;

/// Wall thickness may fall short by this much before it counts, mm: flow and positions are written with few digits.
const THICKNESS_SLACK_MM: f64 = 0.02;

/// Too few walls, or walls too thin.
pub(super) struct Walls;

impl Rule for Walls {
    fn about(&self) -> &'static str {
        "walls are as many and as thick as the strength profile asks, and no layer has fewer than the rest of the print"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["few-walls", "thin-wall"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let wanted = context.strength.and_then(|s| s.min_walls);
        let wanted_mm = context.strength.and_then(|s| s.min_wall_thickness_mm);
        let mut found = Vec::new();
        if let Some(wanted) = wanted {
            found.extend(too_few(context, wanted));
        }
        if let Some(wanted_mm) = wanted_mm {
            found.extend(too_thin(context, wanted_mm));
        }
        found.extend(fewer_than_elsewhere(context, wanted));
        found
    }
}

/// Layers with fewer walls than the profile asks, by the median: what most of the edge has.
fn too_few(context: &AuditContext<'_>, wanted: u32) -> Vec<Finding> {
    let profile = context.strength.map_or("", |s| s.name.as_str());
    let few = bands(context.layers(), |l| l.walls_median.is_none_or(|w| w < wanted));
    few.into_iter()
        .map(|band| {
            let counts = || band.iter().filter_map(|l| l.walls_median);
            let Some(least) = counts().min() else {
                return over(unknown("few-walls", "the walls of these layers could not be counted"), band);
            };
            let most = counts().max().unwrap_or(least);
            let counted = if least == most { least.to_string() } else { format!("{least} to {most}") };
            let message = format!("{counted} {} along the edge; {profile} wants at least {wanted}", beads(most));
            let finding = Finding::new("few-walls", Weight::Fail, message, format!("slice with {wanted} walls"));
            over(finding.at(worst_place(band)), band)
        })
        .collect()
}

/// Layers whose walls are thinner than the profile asks.
fn too_thin(context: &AuditContext<'_>, wanted_mm: f64) -> Vec<Finding> {
    let profile = context.strength.map_or("", |s| s.name.as_str());
    let enough = |l: &LayerMeasure| l.wall_thickness_median_mm.is_some_and(|mm| mm >= wanted_mm - THICKNESS_SLACK_MM);
    bands(context.layers(), |l| !enough(l))
        .into_iter()
        .map(|band| {
            let least = band.iter().filter_map(|l| l.wall_thickness_median_mm).min_by(f64::total_cmp);
            let Some(least) = least else {
                return over(unknown("thin-wall", "the wall thickness of these layers could not be measured"), band);
            };
            let message = format!("walls {least:.2} mm thick; {profile} wants at least {wanted_mm:.2} mm");
            let remedy = "slice with more walls or with wider beads";
            over(Finding::new("thin-wall", Weight::Fail, message, remedy).at(worst_place(band)), band)
        })
        .collect()
}

/// Bands of layers with fewer walls than the layers right below and above them: a fault of slicing, whatever
/// the profile. Layers that already fail the profile are not named twice.
fn fewer_than_elsewhere(context: &AuditContext<'_>, wanted: Option<u32>) -> Vec<Finding> {
    let layers = context.layers();
    let Some(usual) = usual_walls(layers) else { return Vec::new() };
    let fails_anyway = |count: u32| wanted.is_some_and(|w| count < w);
    bands(layers, |l| l.walls_median.is_some_and(|w| w < usual && !fails_anyway(w)))
        .into_iter()
        .filter(|band| 2 * band.len() < layers.len())
        .map(|band| {
            let least = band.iter().filter_map(|l| l.walls_median).min().unwrap_or_default();
            let message = format!("{least} {} along the edge where the rest of the print has {usual}", beads(least));
            let remedy = "look for a setting or a range of heights that changes the walls there, and slice again";
            over(Finding::new("few-walls", Weight::Warning, message, remedy).at(worst_place(band)), band)
        })
        .collect()
}

/// Wall count of at least half of the layers that are not solid.
fn usual_walls(layers: &[LayerMeasure]) -> Option<u32> {
    let mut counts: Vec<u32> = layers.iter().filter(|l| !l.solid).filter_map(|l| l.walls_median).collect();
    if counts.is_empty() {
        counts = layers.iter().filter_map(|l| l.walls_median).collect();
    }
    counts.sort_unstable();
    counts.get(counts.len().checked_sub(1)? / 2).copied()
}

fn worst_place(band: &[LayerMeasure]) -> Option<crate::geom::Point> {
    band.iter().filter_map(|l| l.walls_min).min_by_key(|(count, _)| *count).map(|(_, at)| at)
}

fn unknown(code: &'static str, message: &str) -> Finding {
    Finding::new(code, Weight::Undetermined, message, "look at the file: is there an outline at these heights?")
}

fn beads(count: u32) -> &'static str {
    if count == 1 { "bead" } else { "beads" }
}
