//! Layers too tall for the nozzle.

use super::Rule;
use super::bands::{bands, over};
use crate::audit::{AuditContext, Finding, Weight};

/// Layers above this share of the nozzle's bore bond poorly, whatever is printed (common practice, no source:
/// 25 to 75 %, at most 80 %).
const TALLEST_SHARE: f64 = 0.8;
/// Heights are written with three digits or fewer, mm.
const HEIGHT_SLACK_MM: f64 = 0.005;

/// Layers taller than the nozzle can squeeze.
pub(super) struct TallLayer;

impl Rule for TallLayer {
    fn about(&self) -> &'static str {
        "layers are thin enough for the nozzle's bore to press them onto the layer below"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["tall-layer"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let nozzle_mm = context.setup.machine.nozzle_mm;
        let asked = context.strength.and_then(|s| s.max_layer_height_share);
        let (share, weight) = asked.map_or((TALLEST_SHARE, Weight::Warning), |share| (share, Weight::Fail));
        let most_mm = share * nozzle_mm;
        // The first layer may be thick on purpose: it levels out the bed.
        let layers = context.layers().get(1..).unwrap_or_default();
        bands(layers, |l| !(l.height_mm <= most_mm + HEIGHT_SLACK_MM))
            .into_iter()
            .map(|band| {
                let tallest = band.iter().map(|l| l.height_mm).max_by(f64::total_cmp).unwrap_or_default();
                let message = format!(
                    "layers {tallest:.2} mm tall from a {nozzle_mm:.2} mm nozzle; at most {most_mm:.2} mm bonds well"
                );
                let remedy = format!("slice with layers of {most_mm:.2} mm or less, or fit a larger nozzle");
                over(Finding::new("tall-layer", weight, message, remedy), band)
            })
            .collect()
    }
}
