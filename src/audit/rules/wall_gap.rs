//! Stretches of a wall without plastic.

use super::Rule;
use super::places::{Seen, columns};
use crate::audit::{AuditContext, Finding, Weight};

/// Gaps of neighbouring layers within this distance are one gap, mm.
const SAME_PLACE_MM: f64 = 2.0;

/// A gap in a wall.
pub(super) struct WallGaps;

impl Rule for WallGaps {
    fn about(&self) -> &'static str {
        "every wall goes all the way round: no stretch of it is left without plastic"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["wall-gap"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let seen = context.layers().iter().flat_map(|layer| {
            layer.gaps.iter().map(|gap| Seen { layer: layer.index, at: gap.at, badness: gap.length_mm })
        });
        columns(seen, SAME_PLACE_MM)
            .into_iter()
            .map(|gap| {
                // With walls asked for, a wall that does not go round is not there.
                let weight = if context.strength.is_some_and(|s| s.min_walls.is_some()) {
                    Weight::Fail
                } else {
                    Weight::Warning
                };
                let message = format!("a wall has a gap of {:.1} mm without plastic", gap.worst.badness);
                let remedy = "look at the model there for a crack or a loose face, mend it and slice again";
                Finding {
                    layers: Some(gap.layers),
                    z_mm: context.heights(gap.layers),
                    line: context.layer(gap.worst.layer).map(|l| l.lines.0),
                    ..Finding::new("wall-gap", weight, message, remedy)
                }
                .at(Some(gap.worst.at))
            })
            .collect()
    }
}
