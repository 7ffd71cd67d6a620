//! Core: less full than the strength profile asks.

use super::Rule;
use super::bands::{bands_by_place, over};
use crate::audit::{AuditContext, Finding, Weight};
use crate::measure::LayerMeasure;

/// Density is measured to about this much; a core asked for in whole percents must not fail by rounding.
const DENSITY_SLACK: f64 = 0.015;
/// Lines of a core turn from layer to layer, and a small core holds now more, now fewer of them: what counts is
/// the mean over this many layers to each side.
const NEIGHBOURS: usize = 3;

/// Core sparser than the profile asks.
pub(super) struct SparseCore;

impl Rule for SparseCore {
    fn about(&self) -> &'static str {
        "the core is as full as the strength profile asks, wherever there is one"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["sparse-core"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let Some(profile) = context.strength else { return Vec::new() };
        let Some(wanted) = profile.min_core_density else { return Vec::new() };
        let layers = context.layers();
        let densities: Vec<Option<f64>> = (0..layers.len()).map(|i| density_around(layers, i)).collect();
        let too_sparse = |i: usize| {
            // Layers without a core, or with one too small to speak of, have nothing that could be too sparse.
            layers.get(i).is_some_and(|l| l.core_density.is_some())
                && densities.get(i).copied().flatten().is_none_or(|d| !(d >= wanted - DENSITY_SLACK))
        };
        bands_by_place(layers.len(), too_sparse)
            .into_iter()
            .map(|band| {
                let seen = densities.get(band.clone()).unwrap_or_default().iter().flatten();
                let least = seen.copied().min_by(f64::total_cmp).unwrap_or_default();
                let message = format!(
                    "core {:.0} % filled; {} wants at least {:.0} %",
                    least * 100.0,
                    profile.name,
                    wanted * 100.0
                );
                let remedy = format!("slice with a core density of {:.0} %", wanted * 100.0);
                let finding = Finding::new("sparse-core", Weight::Fail, message, remedy);
                over(finding, layers.get(band).unwrap_or_default())
            })
            .collect()
    }
}

/// Core density around a layer: plastic over space, over the layer and its neighbours that have a sparse core too.
///
/// A solid layer next to it would hide a sparse one, so solid and sparse are not mixed.
fn density_around(layers: &[LayerMeasure], at: usize) -> Option<f64> {
    let solid = layers.get(at)?.solid;
    let near = layers.get(at.saturating_sub(NEIGHBOURS)..(at + NEIGHBOURS + 1).min(layers.len()))?;
    let mut filled = 0.0;
    let mut whole = 0.0;
    for layer in near.iter().filter(|l| l.solid == solid) {
        if let Some(density) = layer.core_density {
            let volume_mm3 = layer.core_area_mm2 * layer.height_mm;
            filled += density * volume_mm3;
            whole += volume_mm3;
        }
    }
    (whole > 0.0).then(|| filled / whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turning_lines_are_averaged_and_solid_layers_kept_apart() {
        let layer = |density, solid| LayerMeasure {
            core_density: Some(density),
            core_area_mm2: 30.0,
            height_mm: 0.2,
            solid,
            ..LayerMeasure::default()
        };
        let layers = [layer(0.1, false), layer(0.3, false), layer(0.1, false), layer(0.3, false), layer(1.0, true)];
        let around = density_around(&layers, 2).expect("there is a core");
        assert!((around - 0.2).abs() < 1e-12, "{around}");
        assert_eq!(density_around(&layers, 9), None);
    }
}
