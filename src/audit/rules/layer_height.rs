//! Layers too tall for the nozzle.

use super::Rule;
use super::bands::{grown_bands, over};
use crate::audit::{AuditContext, Finding, Weight};
use crate::measure::LayerMeasure;

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
        // The first layer may be thick on purpose: it levels out the bed.
        tall(context.layers().get(1..).unwrap_or_default(), nozzle_mm, share * nozzle_mm, weight)
    }
}

/// What there is to say of layers above `most_mm`.
fn tall(layers: &[LayerMeasure], nozzle_mm: f64, most_mm: f64, weight: Weight) -> Vec<Finding> {
    // Where heights are written with two digits layers of one height come out a hundredth apart.
    let is_touched = |l: &LayerMeasure| l.height_mm > most_mm - HEIGHT_SLACK_MM;
    let bands = grown_bands(layers, |l| !(l.height_mm <= most_mm + HEIGHT_SLACK_MM), is_touched);
    let told = bands.into_iter().map(|band| {
        let message = format!(
            "layers {} mm tall from a {nozzle_mm:.2} mm nozzle; at most {most_mm:.2} mm bonds well",
            heights(band)
        );
        let remedy = format!("slice with layers of {most_mm:.2} mm or less, or fit a larger nozzle");
        over(Finding::new("tall-layer", weight, message, remedy), band)
    });
    told.collect()
}

/// How tall layers are, mm: all of one height as it is written, or up to the tallest.
fn heights(band: &[LayerMeasure]) -> String {
    let tallest = band.iter().map(|l| l.height_mm).max_by(f64::total_cmp).unwrap_or_default();
    let alike = band.iter().all(|l| (l.height_mm - tallest).abs() < HEIGHT_SLACK_MM);
    if alike { format!("{tallest:.2}") } else { format!("up to {tallest:.2}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(heights_mm: &[f64]) -> Vec<(String, Option<(usize, usize)>)> {
        let layer = |(index, &height_mm): (usize, &f64)| LayerMeasure { index, height_mm, ..LayerMeasure::default() };
        let layers: Vec<LayerMeasure> = heights_mm.iter().enumerate().map(layer).collect();
        let told = |f: Finding| (f.message.split(" mm tall").next().unwrap_or_default().to_owned(), f.layers);
        tall(&layers, 0.4, TALLEST_SHARE * 0.4, Weight::Warning).into_iter().map(told).collect()
    }

    // Four fifths of a bore of 0.4 mm are 0.32 mm.
    #[test]
    fn heights_a_rounding_apart_are_one_trouble() {
        assert_eq!(found(&[0.2, 0.33, 0.32, 0.33, 0.32, 0.34]), [("layers up to 0.34".to_owned(), Some((1, 5)))]);
        assert_eq!(found(&[0.2, 0.36, 0.36]), [("layers 0.36".to_owned(), Some((1, 2)))]);
        assert_eq!(found(&[0.3, 0.32, 0.32, 0.3]), []);
        let parted = found(&[0.2, 0.36, 0.3, 0.4]);
        assert_eq!(parted.iter().map(|f| f.1).collect::<Vec<_>>(), [Some((1, 1)), Some((3, 3))]);
    }
}
