//! Places where fewer beads hold than along the rest of the edge.

use super::Rule;
use super::places::{Seen, columns};
use crate::audit::{AuditContext, Finding, Weight};

/// Thin places of neighbouring layers within this distance are one, mm.
const SAME_PLACE_MM: f64 = 3.0;

/// A place that one layer alone has is a whim of the path there.
const LEAST_LAYERS: usize = 2;

/// So many are named, the thinnest first; a part made of thin places is known for it.
const MOST_NAMED: usize = 6;

/// A stretch of an edge with fewer beads.
pub(super) struct ThinPlaces;

impl Rule for ThinPlaces {
    fn about(&self) -> &'static str {
        "no stretch of an edge, and no web between two edges, has fewer beads than the walls elsewhere"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["thin-place"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let seen = context.layers().iter().flat_map(|layer| {
            layer.thin_places.iter().map(|p| Seen { layer: layer.index, at: p.at, badness: -p.thickness_mm })
        });
        let mut places = columns(seen, SAME_PLACE_MM);
        places.retain(|p| p.layers.1 + 1 - p.layers.0 >= LEAST_LAYERS);
        places.sort_by(|a, b| b.worst.badness.total_cmp(&a.worst.badness));
        places.truncate(MOST_NAMED);
        places
            .into_iter()
            .map(|place| {
                let worst = context.layer(place.worst.layer).and_then(|layer| {
                    layer.thin_places.iter().find(|p| p.at == place.worst.at).map(|p| (p.count, p.usual))
                });
                let (count, usual) = worst.unwrap_or_default();
                let beads = if count == 1 { "bead holds" } else { "beads hold" };
                let message = format!(
                    "{count} {beads} here ({:.2} mm), where most of the edge has {usual}",
                    -place.worst.badness
                );
                let remedy = "make the place wider, or keep loads away from it";
                Finding {
                    layers: Some(place.layers),
                    z_mm: context.heights(place.layers),
                    ..Finding::new("thin-place", Weight::Note, message, remedy)
                }
                .at(Some(place.middle()))
            })
            .collect()
    }
}
