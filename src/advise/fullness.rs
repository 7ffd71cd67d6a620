//! How much plastic a file lays over the room that it lays it in, where it fills a layer completely.

use crate::measure::LayerMeasure;
use crate::profile::Role;

/// Fill that is full to within this share is full.
const EXACT: f64 = 0.03;
/// A core emptier than this has a sparse part.
const FULL: f64 = 0.7;
/// A core smaller than this says nothing, mm².
const LEAST_CORE_MM2: f64 = 60.0;
/// Cores from this share of the largest on are large.
const LARGE: f64 = 0.8;
/// Nobody lays less or more than this, and means it: what is beyond was not measured rightly.
const BELIEVED: std::ops::RangeInclusive<f64> = 0.7..=2.5;

/// Plastic of solid fill over its room, in the largest full layers above the first; 1 where none tells.
pub(super) fn solid_flow(layers: &[LayerMeasure]) -> f64 {
    let full = || layers.iter().skip(1).filter(|layer| is_full(layer) && layer.core_area_mm2 > LEAST_CORE_MM2);
    // In small cores much is edge, where lines end and slivers stay bare.
    let largest_mm2 = full().map(|layer| layer.core_area_mm2).fold(0.0, f64::max);
    let large = full().filter(|layer| layer.core_area_mm2 > LARGE * largest_mm2);
    let mut shares: Vec<f64> = large.map(|layer| fill_mm3(layer) / (layer.core_area_mm2 * layer.height_mm)).collect();
    shares.sort_by(f64::total_cmp);
    shares.get(shares.len() / 2).map_or(1.0, |share| told(*share))
}

/// Plastic of the first layer over its room, beyond what its solid fill has anyway; 1 where it is not full.
pub(super) fn first_layer_flow(layers: &[LayerMeasure], solid_flow: f64) -> f64 {
    let Some(first) = layers.first().filter(|layer| is_full(layer)) else { return 1.0 };
    let Some(outline_mm2) = first.outline_area_mm2 else { return 1.0 };
    let room_mm2 = outline_mm2 + (solid_flow - 1.0) * first.core_area_mm2;
    told(first.volume_mm3 / (room_mm2 * first.height_mm))
}

/// Whether solid fill is all that a core holds: no density is told where it is more than full.
fn is_full(layer: &LayerMeasure) -> bool {
    layer.solid && layer.core_density.is_none_or(|density| density > FULL)
}

fn fill_mm3(layer: &LayerMeasure) -> f64 {
    let is_fill = |role| matches!(role, Role::SolidInfill | Role::Bridge | Role::SparseInfill);
    layer.role_flow.iter().filter(|flow| is_fill(flow.role)).map(|flow| flow.volume_mm3).sum()
}

fn told(share: f64) -> f64 {
    if (share - 1.0).abs() > EXACT && BELIEVED.contains(&share) { share } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::RoleFlow;

    fn layer(volume_mm3: f64, fill_mm3: f64) -> LayerMeasure {
        LayerMeasure {
            height_mm: 0.2,
            solid: true,
            volume_mm3,
            outline_area_mm2: Some(500.0),
            core_area_mm2: 400.0,
            role_flow: vec![RoleFlow { role: Role::SolidInfill, volume_mm3: fill_mm3, length_mm: 1000.0 }],
            ..LayerMeasure::default()
        }
    }

    #[test]
    fn fill_that_is_pressed_in_is_told_and_a_first_layer_more_so() {
        // 400 mm² of 0.2 mm hold 80 mm³; 92 of them and 20 in walls are 112 mm³, twice that lies on the bed.
        let layers = [layer(224.0, 184.0), layer(112.0, 92.0), layer(112.0, 92.0)];
        let flow = solid_flow(&layers);
        assert!((flow - 1.15).abs() < 1e-9, "{flow}");
        assert!((first_layer_flow(&layers, flow) - 2.0).abs() < 1e-9);
        assert_eq!(solid_flow(&[layer(100.0, 80.0), layer(100.9, 80.9)]), 1.0);
        assert_eq!(solid_flow(&[]), 1.0);
    }
}
