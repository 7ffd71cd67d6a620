//! Starved or swollen beads at one place of some layers.

use super::places::{Column, Seen, columns};
use crate::audit::{AuditContext, Finding, Weight};

/// Places of neighbouring layers within this distance are one, mm.
const SAME_PLACE_MM: f64 = 3.0;

/// A place that one layer alone has says little.
const LEAST_LAYERS: usize = 2;

/// Findings at places of layers that are not told as a whole (`told` are findings over whole layers).
pub(super) fn at_places(context: &AuditContext<'_>, told: &[Finding]) -> Vec<Finding> {
    let starved = columns_of(context, told, "starved-flow", |share| share < 1.0).into_iter().map(|place| {
        let percent = 100.0 * (1.0 - place.worst.badness);
        let message = format!("beads get {percent:.0} % of the plastic they get elsewhere in these layers");
        let remedy = "look what changes the flow there; a starved place breaks first";
        found(context, "starved-flow", message, remedy, &place)
    });
    let swollen = columns_of(context, told, "excess-flow", |share| share > 1.0).into_iter().map(|place| {
        let percent = 100.0 * (1.0 + place.worst.badness);
        let message = format!("beads get {percent:.0} % of the plastic they get elsewhere in these layers");
        let remedy = "look what changes the flow there; the surface will bulge";
        found(context, "excess-flow", message, remedy, &place)
    });
    starved.chain(swollen).collect()
}

fn columns_of(context: &AuditContext<'_>, told: &[Finding], code: &str, is_meant: fn(f64) -> bool) -> Vec<Column> {
    let is_told =
        |layer: usize| told.iter().any(|f| f.code == code && f.layers.is_some_and(|(a, b)| (a..=b).contains(&layer)));
    // The first layer is often laid wide or squeezed on purpose.
    let layers = context.layers().iter().skip(1).filter(|l| !is_told(l.index));
    let seen = layers.flat_map(|layer| {
        let places = layer.flow_places.iter().filter(|p| is_meant(p.share));
        places.map(|p| Seen { layer: layer.index, at: p.at, badness: (p.share - 1.0).abs() })
    });
    let mut places = columns(seen, SAME_PLACE_MM);
    places.retain(|p| p.layers.1 + 1 - p.layers.0 >= LEAST_LAYERS);
    places
}

fn found(
    context: &AuditContext<'_>,
    code: &'static str,
    message: String,
    remedy: &'static str,
    place: &Column,
) -> Finding {
    Finding {
        layers: Some(place.layers),
        z_mm: context.heights(place.layers),
        line: context.layer(place.worst.layer).map(|l| l.lines.0),
        ..Finding::new(code, Weight::Warning, message, remedy)
    }
    .at(Some(place.middle()))
}
