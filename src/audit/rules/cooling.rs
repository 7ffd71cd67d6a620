//! Layers laid too quickly to cool, or so slowly that they bond poorly.

use super::Rule;
use super::bands::{bands, over};
use crate::audit::{AuditContext, Finding, Weight};
use crate::measure::LayerMeasure;
use crate::units::Time;

/// Bonding depends on the time between layers only within the first few seconds (Ai & Vogt, Progress in Additive
/// Manufacturing (2022), DOI 10.1007/s40964-022-00275-w, abstract), so a long time by itself is no fault; a layer
/// that takes this many times as long as the rest is worth a word.
const FAR_ABOVE: f64 = 4.0;

/// Time per layer against what the material wants.
pub(super) struct LayerTime;

impl Rule for LayerTime {
    fn about(&self) -> &'static str {
        "layers take long enough to cool and not so long that the next one bonds poorly"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["short-layer", "slow-layer"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let materials = context.materials();
        let least = materials.iter().filter_map(|m| m.min_layer_s).max_by(f64::total_cmp);
        let most = materials.iter().filter_map(|m| m.max_layer_s).min_by(f64::total_cmp);
        // Nothing is laid onto the last layer, and the first rests on a bed that is warm by itself.
        let layers = context.layers();
        let inner = layers.get(1..layers.len().saturating_sub(1)).unwrap_or_default();
        let mut found = Vec::new();
        if let Some(least) = least {
            found.extend(bands(inner, |l| l.time_s < least).into_iter().map(|band| {
                let quickest = band.iter().map(|l| l.time_s).min_by(f64::total_cmp).unwrap_or_default();
                let message =
                    format!("a layer takes {quickest:.1} s; this material wants at least {least:.0} s to cool");
                over(
                    Finding::new("short-layer", Weight::Warning, message, "print slower there, or two copies at once"),
                    band,
                )
            }));
        }
        if let Some(most) = most {
            let much = most.max(FAR_ABOVE * usual_time_s(inner));
            found.extend(bands(inner, |l| l.time_s > much).into_iter().map(|band| {
                let slowest = band.iter().map(|l| l.time_s).max_by(f64::total_cmp).unwrap_or_default();
                let message = format!(
                    "a layer takes {}, far longer than the rest; the layer below it is cold and bonds less well",
                    Time::from_seconds(slowest).show()
                );
                let remedy = "look what keeps the machine there; split the print, or use a warm chamber";
                over(Finding::new("slow-layer", Weight::Note, message, remedy), band)
            }));
        }
        found
    }
}

/// Median time of layers, s; 0 when there are none.
fn usual_time_s(layers: &[LayerMeasure]) -> f64 {
    let mut times: Vec<f64> = layers.iter().map(|l| l.time_s).collect();
    times.sort_by(f64::total_cmp);
    times.get(times.len() / 2).copied().unwrap_or_default()
}
