//! Layers laid too quickly to cool, or so slowly that they bond poorly.

use super::Rule;
use super::bands::{bands, over};
use crate::audit::{AuditContext, Finding, Weight};
use crate::profile::Material;

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
        let materials = || context.measures.tools.iter().filter_map(|t| context.setup.material(t.tool));
        let least = materials().filter_map(|m: &Material| m.min_layer_s).max_by(f64::total_cmp);
        let most = materials().filter_map(|m: &Material| m.max_layer_s).min_by(f64::total_cmp);
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
            found.extend(bands(inner, |l| l.time_s > most).into_iter().map(|band| {
                let slowest = band.iter().map(|l| l.time_s).max_by(f64::total_cmp).unwrap_or_default();
                let message = format!(
                    "a layer takes {:.0} s; past {most:.0} s the layer below is too cold to bond well",
                    slowest
                );
                over(
                    Finding::new(
                        "slow-layer",
                        Weight::Warning,
                        message,
                        "print fewer copies at once, or in a warm chamber",
                    ),
                    band,
                )
            }));
        }
        found
    }
}
