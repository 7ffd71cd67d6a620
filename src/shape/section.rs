//! A layer's section about z: area, centroid and second moments of the plastic laid in it.
//!
//! Every bead is a strip of the layer's full height, A/h wide (A its section, h the height), so the
//! section's area is the layer's volume over its height, and each bead's share of the moments is
//! that of a thin rectangle. Sums of parts, not a raster: exact for straight beads.

use super::part_beads::{part_strands, strip_width_mm};
use crate::deposit::Layer;
use crate::geom::Moments;
use crate::profile::Role;

/// Area and moments of what the part's beads lay in one layer.
///
/// `roles` goes with [`Layer::strands`]. `None` where the part has no bead in the layer.
#[must_use]
pub fn layer_section(layer: &Layer, roles: &[Role]) -> Option<Moments> {
    let sum: Moments = part_strands(layer, roles)
        .flat_map(|s| s.beads)
        .map(|bead| {
            let strip = Moments::of_strip(bead.from, bead.to, strip_width_mm(bead, layer.height_mm));
            // The path of an arc is longer than its chord: the area follows the path.
            let chord_mm = bead.from.distance(bead.to);
            if chord_mm > 0.0 { strip.scaled(bead.length_mm / chord_mm) } else { strip }
        })
        .sum();
    (sum.area_mm2 > 0.0).then_some(sum)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::part_beads::tests::{hatch, layer};
    use super::*;
    use crate::geom::Point;
    use approx::assert_relative_eq as near;

    fn shifted(mut lines: Vec<(Role, bool, f64, Vec<Point>)>, by: Point) -> Vec<(Role, bool, f64, Vec<Point>)> {
        lines.iter_mut().flat_map(|l| l.3.iter_mut()).for_each(|p| *p = *p + by);
        lines
    }

    // A full rectangle 12 x 6 at (30, 50): b d³/12, first principles.
    #[test]
    fn a_full_layer_has_the_moments_of_its_rectangle() {
        let lines = shifted(hatch(Role::SolidInfill, 0.4, 0.4, 0.0, Point::new(12.0, 6.0)), Point::new(30.0, 50.0));
        let (layer, roles) = layer(0, 0.2, &lines);
        let section = layer_section(&layer, &roles).unwrap();
        near!(section.area_mm2, 72.0, max_relative = 1e-9);
        near!(section.centroid.x, 36.0, max_relative = 1e-9);
        near!(section.centroid.y, 53.0, max_relative = 1e-9);
        near!(section.ixx_mm4, 12.0 * 216.0 / 12.0, max_relative = 1e-9);
        near!(section.iyy_mm4, 6.0 * 1728.0 / 12.0, max_relative = 1e-9);
        assert!(section.ixy_mm4.abs() < 1e-9);
    }

    #[test]
    fn area_is_volume_over_height_and_support_is_left_out() {
        let mut lines = hatch(Role::SparseInfill, 0.5, 2.5, 37.0, Point::new(11.0, 4.0));
        let (part, roles) = layer(3, 0.25, &lines);
        let want = layer_section(&part, &roles).unwrap();
        near!(want.area_mm2, part.volume_mm3() / 0.25, max_relative = 1e-12);
        lines.push((Role::Support, false, 0.5, vec![Point::new(40.0, 0.0), Point::new(40.0, 9.0)]));
        let (both, roles) = layer(3, 0.25, &lines);
        assert_eq!(layer_section(&both, &roles), Some(want));
    }

    #[test]
    fn a_chord_of_an_arc_counts_with_the_arcs_length() {
        let (mut bent, roles) = layer(0, 0.2, &hatch(Role::OuterWall, 0.4, 1.0, 30.0, Point::new(9.0, 5.0)));
        bent.beads.iter_mut().for_each(|bead| bead.length_mm *= 1.02);
        // One that ends where it began has no place of its own and spoils nothing.
        bent.beads[1].to = bent.beads[1].from;
        let without: f64 = bent.beads[1].volume_mm3();
        let section = layer_section(&bent, &roles).unwrap();
        near!(section.area_mm2, (bent.volume_mm3() - without) / 0.2, max_relative = 1e-12);
    }

    #[test]
    fn no_bead_of_the_part_is_no_section() {
        let (layer, roles) = layer(0, 0.2, &[]);
        assert_eq!(layer_section(&layer, &roles), None);
    }
}
