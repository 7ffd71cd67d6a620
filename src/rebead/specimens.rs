//! Test pieces of known shape: bars, blocks and the ring die that strength is checked on.

use super::drawing::{circle, polygon, rectangle};
use super::part::{Body, Slice, slice};
use crate::geom::Point;

/// Where pieces stand on the bed, mm.
const CORNER: Point = Point::new(60.0, 60.0);

/// An upright block or bar: `wide` along x, `deep` along y, `high` along z, mm.
#[must_use]
pub fn upright_bar(wide_mm: f64, deep_mm: f64, high_mm: f64, layer_mm: f64) -> Vec<Slice> {
    let plan = rectangle(CORNER, CORNER + Point::new(wide_mm, deep_mm));
    slice(&[Body::new(0).add(0.0, high_mm, plan)], layer_mm, layer_mm)
}

/// A flat tensile bar along x with straight shoulders: a neck between two heads twice as wide, which are a
/// quarter of the length each, mm.
#[must_use]
pub fn tensile_bar(length_mm: f64, neck_mm: f64, thick_mm: f64, layer_mm: f64) -> Vec<Slice> {
    let (head, taper) = (0.25 * length_mm, 0.5 * neck_mm);
    let (low, high) = (0.5 * neck_mm, 1.5 * neck_mm);
    let corners = [
        (0.0, 0.0),
        (head - taper, 0.0),
        (head, low),
        (length_mm - head, low),
        (length_mm - head + taper, 0.0),
        (length_mm, 0.0),
        (length_mm, 2.0 * neck_mm),
        (length_mm - head + taper, 2.0 * neck_mm),
        (length_mm - head, high),
        (head, high),
        (head - taper, 2.0 * neck_mm),
        (0.0, 2.0 * neck_mm),
    ];
    let plan = polygon(&corners.map(|(x, y)| (CORNER.x + x, CORNER.y + y)));
    slice(&[Body::new(0).add(0.0, thick_mm, plan)], layer_mm, layer_mm)
}

/// A ring that is pressed on: a forming die, mm.
#[must_use]
pub fn ring_die(outside_mm: f64, bore_mm: f64, high_mm: f64, layer_mm: f64) -> Vec<Slice> {
    let centre = CORNER + Point::new(0.5 * outside_mm, 0.5 * outside_mm);
    let ring = Body::new(0).add(0.0, high_mm, circle(centre, outside_mm)).cut(0.0, high_mm, circle(centre, bore_mm));
    slice(&[ring], layer_mm, layer_mm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deposit::Layer;
    use crate::geom::Polygon;
    use crate::profile::Role;
    use crate::rebead::{CoreFill, Lie, Pattern, Settings, lay};
    use crate::shape::Footprint;
    use approx::assert_relative_eq;

    fn area(slice: &Slice) -> f64 {
        slice.outline().iter().map(Polygon::area_mm2).sum()
    }

    /// Area over which the core of one layer lies on that of the layer below, as a share of the core's area.
    fn bonded_share(pattern: Pattern, lie: Lie, density: f64) -> f64 {
        let core = CoreFill { pattern, lie, density, ..CoreFill::default() };
        let settings = Settings { walls: 2, bottom_skins: 0, top_skins: 0, core, ..Settings::default() };
        let laid = lay(&upright_bar(42.0, 40.0, 1.2, 0.2), &settings);
        let core_only = |layer: &Layer| {
            let roles: Vec<Role> = layer.strands.iter().map(|s| s.role).collect();
            let hide = |role: &Role| if *role == Role::SparseInfill { *role } else { Role::Support };
            Footprint::of_layer(layer, &roles.iter().map(hide).collect::<Vec<_>>())
        };
        let layers = laid.layers_of_beads();
        let (below, above) = (core_only(&layers[2]), core_only(&layers[3]));
        above.overlap(&below).area_mm2 / laid.layers[3].core_mm2
    }

    #[test]
    fn cores_bond_as_their_geometry_says() {
        // Unit cells: an aligned grid covers d - d²/4 (two families of strips d/2 wide less where they cross);
        // crossed straight lines meet on d² (geometry).
        for d in [0.15, 0.4] {
            let aligned = bonded_share(Pattern::Grid, Lie::Aligned, d);
            let crossed = bonded_share(Pattern::Straight, Lie::Crossed, d);
            assert_relative_eq!(aligned, d - 0.25 * d * d, max_relative = 0.05);
            assert_relative_eq!(crossed, d * d, max_relative = 0.06);
        }
    }

    #[test]
    fn pieces_have_their_sections() {
        let bar = tensile_bar(100.0, 6.0, 3.0, 0.2);
        // Heads of 22 x 12 each, tapers as trapezoids of mean width 9 over 3 mm, a neck of 50 x 6.
        assert_relative_eq!(area(&bar[3]), 2.0 * 22.0 * 12.0 + 2.0 * 3.0 * 9.0 + 50.0 * 6.0, epsilon = 1e-3);
        assert_eq!(bar.len(), 15);
        let die = ring_die(40.0, 25.8, 10.0, 0.2);
        let exact = std::f64::consts::FRAC_PI_4 * (40.0 * 40.0 - 25.8 * 25.8);
        assert_relative_eq!(area(&die[7]), exact, max_relative = 0.005);
    }
}
