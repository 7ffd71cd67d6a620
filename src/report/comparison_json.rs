//! Slices side by side as JSON: `beadwise/compare/1`.

use crate::audit::Verdict;
use crate::compare::{Comparison, Slice};
use schemars::JsonSchema;
use serde::Serialize;

#[derive(Serialize, JsonSchema)]
pub(super) struct ComparisonReport<'a> {
    /// Name and version of this form; a new version only where a key changes its meaning or goes.
    #[schemars(extend("const" = "beadwise/compare/1"))]
    schema: &'static str,
    slices: Vec<SliceReport<'a>>,
    /// Why these may not be slices of one part; empty when they look alike.
    differences: &'a [String],
}

#[derive(Serialize, JsonSchema)]
pub(super) struct SliceReport<'a> {
    name: &'a str,
    mass_g: Option<f64>,
    volume_mm3: f64,
    cost: Option<f64>,
    time_s: f64,
    layers: usize,
    layer_height_mm: Option<f64>,
    walls: Option<f64>,
    wall_thickness_mm: Option<f64>,
    core_density: Option<f64>,
    bottom_skin_layers: Option<u32>,
    top_skin_layers: Option<u32>,
    least_section_mm2: Option<f64>,
    least_bond_area_mm2: Option<f64>,
    verdict: Verdict,
    cases: Vec<SliceCaseReport<'a>>,
    /// Another slice that is at least as good on every count, and better on one.
    beaten_by: Option<&'a str>,
}

#[derive(Serialize, JsonSchema)]
pub(super) struct SliceCaseReport<'a> {
    name: &'a str,
    capacity: Option<f64>,
    reserve: Option<f64>,
    reserve_per_gram: Option<f64>,
    reserve_per_hour: Option<f64>,
}

fn cases(slice: &Slice) -> Vec<SliceCaseReport<'_>> {
    slice
        .cases
        .iter()
        .enumerate()
        .map(|(i, case)| SliceCaseReport {
            name: &case.name,
            capacity: case.capacity,
            reserve: case.reserve,
            reserve_per_gram: slice.reserve_per_gram(i),
            reserve_per_hour: slice.reserve_per_hour(i),
        })
        .collect()
}

/// The comparison as JSON text, with a newline at its end.
#[must_use]
pub fn comparison_json(comparison: &Comparison) -> String {
    let slices = comparison
        .slices
        .iter()
        .zip(&comparison.beaten_by)
        .map(|(s, beaten_by)| SliceReport {
            name: &s.name,
            mass_g: s.mass_g,
            volume_mm3: s.volume_mm3,
            cost: s.cost,
            time_s: s.time_s,
            layers: s.layers,
            layer_height_mm: s.layer_height_mm,
            walls: s.walls,
            wall_thickness_mm: s.wall_thickness_mm,
            core_density: s.core_density,
            bottom_skin_layers: s.bottom_skin_layers,
            top_skin_layers: s.top_skin_layers,
            least_section_mm2: s.least_section_mm2,
            least_bond_area_mm2: s.least_bond_area_mm2,
            verdict: s.verdict,
            cases: cases(s),
            beaten_by: beaten_by.and_then(|i| comparison.slices.get(i)).map(|s| s.name.as_str()),
        })
        .collect();
    let report = ComparisonReport { schema: "beadwise/compare/1", slices, differences: &comparison.differences };
    // Every value is a number, text, list or map with text keys: nothing that JSON cannot hold.
    let mut text = serde_json::to_string_pretty(&report).unwrap_or_default();
    text.push('\n');
    text
}
