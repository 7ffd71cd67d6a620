//! The rules, one a file, and the list of them.

mod bad_lines;
mod bands;
mod bed;
mod cooling;
mod core;
mod flow_bands;
mod flow_limit;
mod flow_places;
mod layer_height;
mod low_reserve;
mod material;
mod places;
mod skins;
mod stops;
mod temperature;
mod thin_place;
mod thin_rib;
mod wall_gap;
mod walls;
mod weak_plane;
mod words;

use super::{AuditContext, Finding};

/// One rule of the audit.
pub trait Rule: Sync {
    /// What it looks for, in one sentence.
    fn about(&self) -> &'static str;
    /// The codes of the findings it may give.
    fn codes(&self) -> &'static [&'static str];
    /// Looks, and says what it found.
    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding>;
}

/// Every rule, in the order of the documentation.
pub const RULES: &[&dyn Rule] = &[
    &low_reserve::LowReserve,
    &walls::Walls,
    &wall_gap::WallGaps,
    &thin_rib::ThinRib,
    &thin_place::ThinPlaces,
    &core::SparseCore,
    &skins::ThinSkin,
    &layer_height::TallLayer,
    &flow_bands::FlowBands,
    &weak_plane::WeakPlane,
    &flow_limit::FlowLimit,
    &cooling::LayerTime,
    &temperature::Temperature,
    &bed::Bed,
    &material::MaterialAndMachine,
    &words::WordsDisagree,
    &stops::StopPresent,
    &bad_lines::BadLines,
];

#[cfg(test)]
mod tests {
    use super::RULES;
    use std::collections::BTreeSet;

    #[test]
    fn no_two_rules_share_a_code() {
        let mut seen = BTreeSet::new();
        for code in RULES.iter().flat_map(|rule| rule.codes()) {
            assert!(seen.insert(code), "{code} is given by two rules");
        }
    }

    #[test]
    fn every_rule_says_what_it_is_about() {
        for rule in RULES {
            assert!(rule.about().len() > 20 && !rule.codes().is_empty());
        }
    }
}
