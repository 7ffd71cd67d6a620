//! Skins: too few solid layers below a roof or above a floor.

use super::Rule;
use crate::audit::{AuditContext, Finding, Weight};

/// Skins thinner than the profile asks.
pub(super) struct ThinSkin;

impl Rule for ThinSkin {
    fn about(&self) -> &'static str {
        "roofs and floors are closed by as many solid layers as the strength profile asks"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["thin-skin"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let Some(profile) = context.strength else { return Vec::new() };
        let part = &context.measures.part;
        let sides = [
            ("roof", "below", part.top_skin_layers, profile.min_top_skin_layers),
            ("floor", "above", part.bottom_skin_layers, profile.min_bottom_skin_layers),
        ];
        sides
            .into_iter()
            .filter_map(|(face, side, counted, wanted)| {
                let wanted = wanted?;
                match counted {
                    Some(counted) if counted >= wanted => None,
                    Some(counted) => Some(Finding::new(
                        "thin-skin",
                        Weight::Fail,
                        format!(
                            "{counted} solid layers {side} the thinnest {face}; {} wants at least {wanted}",
                            profile.name
                        ),
                        format!("slice with {wanted} solid {face} layers"),
                    )),
                    None => Some(Finding::new(
                        "thin-skin",
                        Weight::Undetermined,
                        format!("the solid layers {side} the {face} could not be counted"),
                        "look at the file: does the part have a closed core at all?",
                    )),
                }
            })
            .collect()
    }
}
