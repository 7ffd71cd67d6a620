//! Twisting: Bredt's tube where a core keeps the walls apart, Saint-Venant's bar where the section is solid.

use super::across::CoreStand;
use super::allow::Allowable;
use super::along::slab_place;
use super::capacity::{Capacity, Mode, Place};
use crate::measure::LayerMeasure;
use crate::profile::{Axis, Spread};
use crate::shape::{BeadKind, Cut, Tube};
use crate::units::significant;

/// Torque for each MPa in a closed tube, mm³: 2 A t (Bredt; Johnson, Advanced Structural Mechanics, 2nd ed. 2000,
/// eqs. 2.31 to 2.40).
#[must_use]
pub fn bredt_mm3(tube: &Tube) -> f64 {
    2.0 * tube.enclosed_mm2 * tube.thickness_mm
}

/// Torsion constant of a closed tube, mm⁴: 4 A² t / s (Bredt).
#[must_use]
pub fn bredt_j_mm4(tube: &Tube) -> f64 {
    4.0 * tube.enclosed_mm2.powi(2) * tube.thickness_mm / tube.middle_mm
}

/// Torsion constant of a solid rectangle, mm⁴: a b³ (1/3 - 0.21 (b/a) (1 - b⁴ / (12 a⁴))), a ≥ b (Roark's Formulas for
/// Stress and Strain, table 10.7, from memory; within 0.5 % of the exact series).
#[must_use]
pub fn rectangle_j_mm4(one_mm: f64, other_mm: f64) -> f64 {
    let (a, b) = (one_mm.max(other_mm), one_mm.min(other_mm));
    a * b.powi(3) * (1.0 / 3.0 - 0.21 * b / a * (1.0 - b.powi(4) / (12.0 * a.powi(4))))
}

/// Torque for each MPa at the middle of the long side of a solid rectangle, mm³: a b² / (3 + 1.8 b / a) (Roark, the same
/// table, older form, from memory).
#[must_use]
pub fn rectangle_mm3(one_mm: f64, other_mm: f64) -> f64 {
    let (a, b) = (one_mm.max(other_mm), one_mm.min(other_mm));
    a * b * b / (3.0 + 1.8 * b / a)
}

/// Twisting about z: the weakest layer. Sliding between layers carries it.
///
/// # Errors
/// A reason in words where the walls are an open tube that racks.
pub fn about_z(layers: &[LayerMeasure], skins: bool, allow: &Allowable) -> Result<Option<Capacity>, String> {
    let hollow = layers.iter().filter_map(CoreStand::new).any(|s| s.empty());
    if hollow && !skins {
        return Err(
            "walls with neither core nor end plates rack before they twist: their strength cannot be said".to_owned()
        );
    }
    let weakest = layers.iter().filter_map(|l| layer_torque(l).map(|t| (l, t))).min_by(|a, b| a.1.0.total_cmp(&b.1.0));
    let Some((layer, (times, how))) = weakest else { return Ok(None) };
    let place = Place {
        words: format!("layer {}", layer.index),
        layer: Some(layer.index),
        z_mm: Some(layer.z_mm),
        at: layer.section.map(|s| s.centroid),
    };
    let working = format!("T = τ W with τ = {} MPa; {how}", significant(allow.shear.low, 3));
    Ok(Some(Capacity::new(Mode::Twisting, place, allow.shear, Spread::exactly(times), working)))
}

/// Torque for each MPa of a layer, with the formula.
fn layer_torque(layer: &LayerMeasure) -> Option<(f64, String)> {
    let full = layer.solid || layer.core_area_mm2 <= 0.0;
    if let (false, Some(tube)) = (full, layer.tube) {
        let how = format!(
            "W = 2 A t = 2 × {} mm² × {} mm (Bredt)",
            significant(tube.enclosed_mm2, 4),
            significant(tube.thickness_mm, 3)
        );
        return Some((bredt_mm3(&tube), how));
    }
    let bond = layer.bond?;
    let principal = bond.principal();
    // The rectangle with the same area and moments; a round section is taken a little too weak by it.
    let side = |moment: f64| (12.0 * moment / bond.area_mm2).sqrt();
    let (a, b) = (side(principal.max_mm4), side(principal.min_mm4));
    let how = format!("solid, as a rectangle of {} × {} mm (Saint-Venant)", significant(a, 3), significant(b, 3));
    Some((rectangle_mm3(a, b), how))
}

/// Twisting about x or y: the weakest slab, as a box of walls and skins or a solid rectangle.
#[must_use]
pub fn about_axis(cuts: &[Cut], axis: Axis, allow: &Allowable) -> Option<Capacity> {
    let (weakest, (times, how)) =
        cuts.iter().filter_map(|c| cut_torque(c).map(|t| (c, t))).min_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    let working = format!("T = τ W with τ = {} MPa; {how}", significant(allow.shear.low, 3));
    let place = slab_place(weakest, axis);
    Some(Capacity::new(Mode::Twisting, place, allow.shear, Spread::exactly(times), working))
}

/// Walls and skins of a slab as a box: enclosed area, thickness of walls and of skins.
#[must_use]
pub fn box_of_cut(cut: &Cut) -> (Tube, f64, f64) {
    let (width, height) = cut.width_and_height_mm();
    let area = |kind: BeadKind| {
        cut.weighted(|k, t| if k == kind && (k != BeadKind::Wall || t <= ACROSS_DEG) { 1.0 } else { 0.0 }).area_mm2
    };
    // Walls stand the whole height at both sides; skins fill between them.
    let wall = 0.5 * area(BeadKind::Wall) / height;
    let skin = 0.5 * area(BeadKind::Solid) / (width - 2.0 * wall).max(0.1 * width);
    let (inner_width, inner_height) = (width - wall, height - skin);
    let middle_mm = 2.0 * (inner_width + inner_height);
    let thickness_mm = wall.min(skin);
    (Tube { enclosed_mm2: inner_width * inner_height, middle_mm, thickness_mm }, wall, skin)
}

/// Walls that run across the axis at a greater angle are end walls, degrees.
const ACROSS_DEG: f64 = 60.0;

/// A slab with more than this share of end walls is a plate across the part, not a tube.
const PLATE_SHARE: f64 = 0.03;

fn is_plate(cut: &Cut) -> bool {
    let across = cut.weighted(|kind, t| if kind == BeadKind::Wall && t > ACROSS_DEG { 1.0 } else { 0.0 });
    across.area_mm2 > PLATE_SHARE * cut.total().area_mm2
}

fn cut_torque(cut: &Cut) -> Option<(f64, String)> {
    let (width, height) = cut.width_and_height_mm();
    let hollow = cut.groups.iter().any(|g| g.kind == BeadKind::Sparse);
    if !(width > 0.0 && height > 0.0) || is_plate(cut) {
        return None;
    }
    if !hollow {
        let how =
            format!("solid rectangle of {} × {} mm (Saint-Venant)", significant(width, 3), significant(height, 3));
        return Some((rectangle_mm3(width, height), how));
    }
    let (tube, wall, skin) = box_of_cut(cut);
    let how = format!(
        "W = 2 A t = 2 × {} mm² × {} mm (Bredt; walls {} mm, skins {} mm)",
        significant(tube.enclosed_mm2, 4),
        significant(tube.thickness_mm, 3),
        significant(wall, 3),
        significant(skin, 3)
    );
    Some((bredt_mm3(&tube), how))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::allow::tests::round_numbers;
    use super::*;
    use crate::geom::{Moments, Point, Reach};
    use crate::shape::BeadGroup;
    use approx::assert_relative_eq;

    #[test]
    fn solid_rectangles_by_saint_venant() {
        // Exact series: J / (a b³) 0.1406, 0.2287, 0.3123 for a/b 1, 2, 10 (Saint-Venant; Roark, table 10.7); 50 x 100:
        // 2.858521e6 mm⁴ (PyPI sectionproperties 3.10.2).
        for (ratio, share) in [(1.0, 0.1406), (2.0, 0.2287), (10.0, 0.3123)] {
            assert_relative_eq!(rectangle_j_mm4(ratio * 3.0, 3.0) / (ratio * 81.0), share, max_relative = 5e-3);
        }
        assert_relative_eq!(rectangle_j_mm4(50.0, 100.0), 2.858_521e6, max_relative = 2e-3);
        // Greatest stress T / (α a b²), α 0.208, 0.246, 0.313 (Timoshenko, from memory): never more than 4 % too kind.
        for (ratio, alpha) in [(1.0, 0.208), (2.0, 0.246), (10.0, 0.313)] {
            assert_relative_eq!(rectangle_mm3(ratio * 3.0, 3.0) / (ratio * 27.0), alpha, max_relative = 0.045);
        }
    }

    #[test]
    fn a_hollow_rectangle_by_bredt() {
        // Hollow 20 x 10, wall 1.2: A 165.44, J 2380.03 mm⁴, 1 N m gives 2.519 MPa (geometry; Johnson, eqs. 2.31 to 2.40).
        let tube = Tube { enclosed_mm2: 165.44, middle_mm: 55.2, thickness_mm: 1.2 };
        assert_relative_eq!(bredt_j_mm4(&tube), 2380.03, max_relative = 1e-5);
        assert_relative_eq!(1000.0 / bredt_mm3(&tube), 2.519, max_relative = 1e-3);
    }
    /// A slab 20 mm wide and 10 mm high with these areas of one kind at an angle.
    fn slab(at_mm: f64, groups: &[(BeadKind, f64, f64)]) -> Cut {
        let group = |&(kind, angle_deg, area_mm2): &(BeadKind, f64, f64)| BeadGroup {
            kind,
            angle_deg,
            moments: Moments { area_mm2, ..Moments::ZERO },
        };
        Cut {
            at_mm,
            thickness_mm: 2.0,
            groups: groups.iter().map(group).collect(),
            reach: Reach::of(&[Point::new(30.0, 2.0), Point::new(50.0, 12.0)], 0.0),
        }
    }

    use BeadKind::{Solid, Sparse, Wall};

    /// Walls of 1.2 mm at both sides, skins of 1 mm between them, and a core.
    const BOX: [(BeadKind, f64, f64); 3] = [(Wall, 0.0, 24.0), (Solid, 45.0, 35.2), (Sparse, 45.0, 30.0)];

    #[test]
    fn a_slab_with_a_core_is_a_box() {
        let (tube, wall, skin) = box_of_cut(&slab(5.0, &BOX));
        assert_relative_eq!(wall, 1.2, max_relative = 1e-12);
        assert_relative_eq!(skin, 1.0, max_relative = 1e-12);
        // The middle line is 18.8 by 9 mm; the thinner side decides: 2 × 169.2 mm² × 1 mm × 15 MPa.
        assert_relative_eq!(tube.enclosed_mm2, 169.2, max_relative = 1e-12);
        assert_relative_eq!(tube.middle_mm, 55.6, max_relative = 1e-12);
        assert_relative_eq!(tube.thickness_mm, 1.0, max_relative = 1e-12);
        // Where walls leave less than a tenth of the width between them, skins are taken to fill that tenth, 2 mm.
        let (_, wall, skin) = box_of_cut(&slab(5.0, &[(Wall, 0.0, 190.0), (Solid, 45.0, 4.0), (Sparse, 45.0, 1.0)]));
        assert_relative_eq!(wall, 9.5, max_relative = 1e-12);
        assert_relative_eq!(skin, 1.0, max_relative = 1e-12);
        let weak = [(Wall, 0.0, 24.0), (Solid, 45.0, 17.6), (Sparse, 45.0, 30.0)];
        let found = about_axis(&[slab(5.0, &BOX), slab(7.0, &weak)], Axis::X, &round_numbers()).unwrap();
        assert_relative_eq!(found.bears.low, 15.0 * 2.0 * 18.8 * 9.5 * 0.5, max_relative = 1e-12);
        assert_eq!(found.place.at, Some(Point::new(7.0, 40.0)));
        let found = about_axis(&[slab(5.0, &BOX)], Axis::Y, &round_numbers()).unwrap();
        assert_relative_eq!(found.bears.low, 15.0 * 338.4, max_relative = 1e-12);
        assert_eq!(found.place.at, Some(Point::new(40.0, 5.0)));
    }

    #[test]
    fn a_slab_without_a_core_is_a_solid_rectangle_and_an_end_wall_is_neither() {
        let low = |groups: &[(BeadKind, f64, f64)]| {
            about_axis(&[slab(5.0, groups)], Axis::X, &round_numbers()).map(|c| c.bears.low)
        };
        // a b² / (3 + 1.8 b / a) = 20 × 100 / 3.9.
        assert_relative_eq!(low(&[(Solid, 0.0, 200.0)]).unwrap(), 15.0 * 2000.0 / 3.9, max_relative = 1e-12);
        // Walls square to the axis close the end: over 3 % of them is a plate; fewer are left out of the box's walls.
        let with_ends = |area| [&BOX[..], &[(Wall, 90.0, area)]].concat();
        assert_relative_eq!(low(&with_ends(2.5)).unwrap(), 15.0 * 338.4, max_relative = 1e-12);
        assert_eq!(low(&with_ends(3.0)), None);
        let line = [Point::new(30.0, 2.0), Point::new(50.0, 2.0)];
        let flat = Cut { reach: Reach::of(&line, 0.0), ..slab(5.0, &BOX) };
        assert_eq!(about_axis(&[flat], Axis::X, &round_numbers()), None);
    }

    /// A layer of 20 x 10 mm with a core of this area and density, and the tube of its walls.
    fn layer(index: usize, core_area_mm2: f64, density: f64, tube: Option<Tube>) -> LayerMeasure {
        let corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (0.0, 10.0)].map(|(x, y)| Point::new(x, y));
        LayerMeasure {
            index,
            z_mm: 0.2 * (index + 1) as f64,
            height_mm: 0.2,
            solid: core_area_mm2 == 0.0,
            core_area_mm2,
            core_density: (core_area_mm2 > 0.0).then_some(density),
            bond: Some(Moments::of_ring(&corners)),
            section: Some(Moments::of_ring(&corners)),
            tube,
            ..LayerMeasure::default()
        }
    }

    #[test]
    fn the_weakest_layer_twists_as_a_tube_or_as_a_solid() {
        let tube = |thickness_mm| Some(Tube { enclosed_mm2: 165.44, middle_mm: 55.2, thickness_mm });
        let layers = [layer(1, 100.0, 0.2, tube(1.2)), layer(2, 100.0, 0.2, tube(0.8)), layer(3, 0.0, 1.0, tube(0.1))];
        let found = about_z(&layers, false, &round_numbers()).unwrap().unwrap();
        assert_relative_eq!(found.bears.low, 15.0 * 2.0 * 165.44 * 0.8, max_relative = 1e-12);
        assert_eq!((found.place.layer, found.place.at), (Some(2), Some(Point::new(10.0, 5.0))));
        // A full layer is no tube, whatever its walls: 20 × 10² / 3.9.
        let found = about_z(&layers[2..], false, &round_numbers()).unwrap().unwrap();
        assert_relative_eq!(found.bears.low, 15.0 * 2000.0 / 3.9, max_relative = 1e-9);
        for full in [
            LayerMeasure { solid: true, ..layer(3, 100.0, 1.0, tube(0.1)) },
            LayerMeasure { solid: false, ..layer(3, 0.0, 1.0, tube(0.1)) },
        ] {
            let found = about_z(&[full], false, &round_numbers()).unwrap().unwrap();
            assert_relative_eq!(found.bears.low, 15.0 * 2000.0 / 3.9, max_relative = 1e-9);
        }
        // With nothing inside and no ends the walls rack; with ends they are Bredt's tube.
        let hollow = [layer(1, 100.0, 0.0, tube(1.2))];
        assert!(about_z(&hollow, false, &round_numbers()).is_err());
        let closed = about_z(&hollow, true, &round_numbers()).unwrap().unwrap();
        assert_relative_eq!(closed.bears.low, 15.0 * 2.0 * 165.44 * 1.2, max_relative = 1e-12);
        assert_eq!(about_z(&[], true, &round_numbers()), Ok(None));
    }
}
