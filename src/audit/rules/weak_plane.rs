//! Planes between layers that hold less than those around them.

use super::Rule;
use crate::audit::{AuditContext, Finding, Weight};
use crate::measure::LayerMeasure;

/// Planes to each side that a plane is held against.
const NEIGHBOURS: usize = 6;

/// Fewer on either side do not tell what is usual there.
const LEAST_NEIGHBOURS: usize = 2;

/// A plane that holds less than this share of what those below and above it do is weak.
const WEAK: f64 = 0.75;

/// Bond area that dips.
pub(super) struct WeakPlane;

impl Rule for WeakPlane {
    fn about(&self) -> &'static str {
        "no layer rests on the one below it over much less area than its neighbours do"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["weak-plane"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let layers = context.layers();
        (1..layers.len())
            .filter_map(|above| {
                let bond = bond_mm2(layers, above)?;
                let usual = usual_mm2(layers, above)?;
                (bond < WEAK * usual).then(|| finding(context, above, bond, usual))
            })
            .collect()
    }
}

fn finding(context: &AuditContext<'_>, above: usize, bond_mm2: f64, usual_mm2: f64) -> Finding {
    let layers = (above - 1, above);
    let message = if bond_mm2 > 0.0 {
        format!(
            "a layer rests on the one below it over {bond_mm2:.0} mm² where its neighbours do over {usual_mm2:.0} mm²"
        )
    } else {
        "a layer does not touch the one below it".to_owned()
    };
    let remedy = "the part breaks there first: lay more solid layers under walls that begin here, or look for a layer left out or moved";
    Finding {
        layers: Some(layers),
        z_mm: context.heights(layers),
        line: context.layer(above).map(|l| l.lines.0),
        ..Finding::new("weak-plane", Weight::Warning, message, remedy)
    }
}

/// What a plane holds over, mm²; the plane is known by the layer above it.
fn bond_mm2(layers: &[LayerMeasure], above: usize) -> Option<f64> {
    layers.get(above)?.bond_area_mm2
}

/// What planes like this one hold over just below and just above it, mm²: the lesser of the two medians, so that
/// a part that grows or shrinks has no weak plane where it does.
///
/// Solid layers rest on each other over all of their area, layers with a core over their walls and little else; so a
/// plane is held against planes between layers of the same kinds.
fn usual_mm2(layers: &[LayerMeasure], above: usize) -> Option<f64> {
    let kind = |above: usize| Some((layers.get(above.checked_sub(1)?)?.solid, layers.get(above)?.solid));
    let own = kind(above)?;
    let like = |at: &usize| kind(*at) == Some(own);
    let middle = |planes: Vec<usize>| {
        let mut areas: Vec<f64> = planes.into_iter().filter(like).filter_map(|p| bond_mm2(layers, p)).collect();
        areas.sort_by(f64::total_cmp);
        (areas.len() >= LEAST_NEIGHBOURS).then(|| areas[areas.len() / 2])
    };
    let below = middle((above.saturating_sub(NEIGHBOURS).max(1)..above).collect())?;
    let on_top = middle((above + 1..(above + 1 + NEIGHBOURS).min(layers.len())).collect())?;
    Some(below.min(on_top))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layers(bonds_mm2: &[f64], solid: impl Fn(usize) -> bool) -> Vec<LayerMeasure> {
        let layer = |(index, &bond): (usize, &f64)| LayerMeasure {
            index,
            solid: solid(index),
            bond_area_mm2: (index > 0).then_some(bond),
            ..LayerMeasure::default()
        };
        bonds_mm2.iter().enumerate().map(layer).collect()
    }

    #[test]
    fn a_dip_is_held_against_both_sides_and_like_planes() {
        let dip = layers(&[0.0, 80.0, 80.0, 80.0, 40.0, 80.0, 80.0, 80.0], |_| false);
        assert_eq!(usual_mm2(&dip, 4), Some(80.0));
        // A part that ends in a neck has no weak plane where the neck begins.
        let neck = layers(&[0.0, 80.0, 80.0, 80.0, 40.0, 40.0, 40.0, 40.0], |_| false);
        assert_eq!(usual_mm2(&neck, 4), Some(40.0));
        // Only one plane like it above: nothing is usual there.
        let skin = layers(&[0.0, 80.0, 80.0, 80.0, 40.0, 80.0, 90.0, 90.0], |i| i > 5);
        assert_eq!(usual_mm2(&skin, 4), None);
    }
}
