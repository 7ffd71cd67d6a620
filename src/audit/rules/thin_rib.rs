//! Ribs only one bead wide.

use super::Rule;
use super::places::{Seen, columns};
use crate::audit::{AuditContext, Finding, Weight};

/// Ribs of neighbouring layers within this distance are one rib, mm.
const SAME_PLACE_MM: f64 = 3.0;

/// A rib narrower than two beads.
pub(super) struct ThinRib;

impl Rule for ThinRib {
    fn about(&self) -> &'static str {
        "no rib is so narrow that a single bead has to be both of its faces"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["thin-rib"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let seen = context.layers().iter().flat_map(|layer| {
            layer.ribs.iter().map(|rib| Seen { layer: layer.index, at: rib.at, badness: -rib.thickness_mm })
        });
        columns(seen, SAME_PLACE_MM)
            .into_iter()
            .map(|rib| {
                let message = format!("a rib {:.2} mm thick is a single bead from face to face", -rib.worst.badness);
                let remedy = "make it at least two beads wide, or keep loads away from it";
                Finding {
                    layers: Some(rib.layers),
                    z_mm: context.heights(rib.layers),
                    ..Finding::new("thin-rib", Weight::Warning, message, remedy)
                }
                .at(Some(rib.worst.at))
            })
            .collect()
    }
}
