//! Core: less full than the strength profile asks.

use super::Rule;
use super::bands::{bands, over};
use crate::audit::{AuditContext, Finding, Weight};

/// Density is measured to about this much; a core asked for in whole percents must not fail by rounding.
const DENSITY_SLACK: f64 = 0.01;

/// Core sparser than the profile asks.
pub(super) struct SparseCore;

impl Rule for SparseCore {
    fn about(&self) -> &'static str {
        "the core is as full as the strength profile asks, in every layer that has one"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["sparse-core"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let Some(profile) = context.strength else { return Vec::new() };
        let Some(wanted) = profile.min_core_density else { return Vec::new() };
        // Layers without a core, or with one too small to speak of, have nothing that could be too sparse.
        bands(context.layers(), |l| l.core_density.is_some_and(|d| !(d >= wanted - DENSITY_SLACK)))
            .into_iter()
            .map(|band| {
                let least = band.iter().filter_map(|l| l.core_density).min_by(f64::total_cmp).unwrap_or_default();
                let message = format!(
                    "core {:.0} % filled; {} wants at least {:.0} %",
                    least * 100.0,
                    profile.name,
                    wanted * 100.0
                );
                let remedy = format!("slice with a core density of {:.0} %", wanted * 100.0);
                over(Finding::new("sparse-core", Weight::Fail, message, remedy), band)
            })
            .collect()
    }
}
