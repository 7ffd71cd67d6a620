//! Pulling a built-in insert out through the roof over it.
//!
//! ```text
//!   ____________________
//!   ////////////////////   roof of thickness t: sheared along the insert's edge, or bent through
//!   //|   insert    |///
//! ```

use super::allow::Allowable;
use super::capacity::{Capacity, Mode, Place};
use crate::geom::Point;
use crate::profile::{Insert, InsertShape, Spread};
use crate::shape::{Patch, PatchLayer, PatchShape, Pocket};
use crate::units::significant;
use std::f64::consts::PI;

/// A layer that covers this share of the insert's plan is part of its roof.
const ROOF_COVERED: f64 = 0.8;

/// The pocket that an insert sits in: the nearest to a place, or the one it fits best.
///
/// # Errors
/// A reason in words where there is none.
pub fn pocket_of<'a>(pockets: &'a [Pocket], insert: &Insert, at: Option<Point>) -> Result<&'a Pocket, String> {
    let size = insert.diameter_mm.or(insert.across_flats_mm).or(insert.width_mm).unwrap_or_default();
    let off = |pocket: &Pocket| match at {
        Some(at) => pocket.centre.distance(at),
        None => (pocket.size_mm - size).abs(),
    };
    let fits = |pocket: &&Pocket| pocket.size_mm > size - 0.3 && pocket.size_mm < size + 1.5;
    let found = pockets.iter().filter(fits).min_by(|a, b| off(a).total_cmp(&off(b)));
    found.ok_or_else(|| format!("no pocket of the part is for {} ({} mm)", insert.name, significant(size, 3)))
}

/// The plan of an insert at its pocket.
#[must_use]
pub fn plan_of(insert: &Insert, pocket: &Pocket) -> Option<Patch> {
    let shape = match insert.shape {
        InsertShape::Bar => PatchShape::Box { x_mm: insert.length_mm?, y_mm: insert.width_mm? },
        InsertShape::Square => PatchShape::Box { x_mm: insert.across_flats_mm?, y_mm: insert.across_flats_mm? },
        // A hexagon by the circle of its area.
        InsertShape::Hex => PatchShape::Disc { diameter_mm: (4.0 * insert.area_mm2()? / PI).sqrt() },
        InsertShape::Disc | InsertShape::Ring => PatchShape::Disc { diameter_mm: insert.diameter_mm? },
    };
    Some(Patch { shape, centre: pocket.centre })
}

/// Length of an insert's edge, mm.
fn edge_mm(insert: &Insert) -> Option<f64> {
    Some(match insert.shape {
        InsertShape::Disc | InsertShape::Ring => PI * insert.diameter_mm?,
        InsertShape::Hex => 2.0 * 3f64.sqrt() * insert.across_flats_mm?,
        InsertShape::Square => 4.0 * insert.across_flats_mm?,
        InsertShape::Bar => 2.0 * (insert.length_mm? + insert.width_mm?),
    })
}

/// Capacities of the roof over an insert.
///
/// Shear: F = τ U t. Bending of a clamped round plate under even pressure: σ = 3 F / (4 π t²) at its edge (Civil
/// Engineering Handbook, 2nd ed., for the plate; edge stress from memory).
///
/// # Errors
/// A reason in words where the pocket has no roof.
pub fn pull_out(
    insert: &Insert,
    pocket: &Pocket,
    layers: &[PatchLayer],
    allow: &Allowable,
) -> Result<Vec<Capacity>, String> {
    let none = || "the pocket has no roof: nothing but its fit holds the insert".to_owned();
    let roof_z = pocket.roof_z_mm.ok_or_else(none)?;
    let mut above: Vec<&PatchLayer> = layers.iter().filter(|l| l.z_mm > roof_z + 1e-6).collect();
    above.sort_by(|a, b| a.z_mm.total_cmp(&b.z_mm));
    let roof: Vec<&PatchLayer> = above.into_iter().take_while(|l| l.outlined >= ROOF_COVERED).collect();
    // A sparse layer of the roof counts by what of it is plastic.
    let thickness: f64 = roof.iter().map(|l| l.height_mm * l.covered.min(1.0)).sum();
    let edge = edge_mm(insert).ok_or_else(|| format!("{} has no sizes", insert.name))?;
    if !(thickness > 0.0) {
        return Err(none());
    }
    let place = Place {
        words: format!("roof over {}", insert.name),
        layer: roof.first().map(|l| l.index),
        z_mm: Some(roof_z),
        at: Some(pocket.centre),
    };
    let shear = format!(
        "F = τ U t with τ = {} MPa, U = {} mm round the insert, t = {} mm of plastic over it",
        significant(allow.shear.low, 3),
        significant(edge, 4),
        significant(thickness, 3)
    );
    let bending = format!(
        "F = 4 π t² σ / 3 with σ = {} MPa beside the beads, t = {} mm (clamped round plate)",
        significant(allow.beside.low, 3),
        significant(thickness, 3)
    );
    let plate = Spread::exactly(4.0 * PI * thickness * thickness / 3.0);
    Ok(vec![
        Capacity::new(Mode::RoofShear, place.clone(), allow.shear, Spread::exactly(edge * thickness), shear),
        Capacity::new(Mode::RoofBending, place, allow.beside, plate, bending),
    ])
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::allow::tests::round_numbers;
    use super::*;
    use crate::shape::{Access, GROWTHS_MM, PocketShape};
    use approx::assert_relative_eq;

    fn pocket() -> Pocket {
        Pocket {
            shape: PocketShape::Round,
            centre: Point::new(12.0, 9.0),
            size_mm: 10.2,
            length_mm: None,
            floor_z_mm: 3.0,
            roof_z_mm: Some(6.0),
            depth_mm: 3.0,
            access: Access::Closed,
            stop_after_layer: Some(29),
            layers: vec![],
        }
    }

    fn layer(z_mm: f64, outlined: f64, covered: f64) -> PatchLayer {
        let index = (z_mm / 0.2).round() as usize - 1;
        PatchLayer { index, z_mm, height_mm: 0.2, outlined, covered, bond_mm2: [0.0; GROWTHS_MM.len()] }
    }

    fn insert(text: &str) -> Insert {
        Insert::describe(text).unwrap()
    }

    #[test]
    fn the_roof_is_sheared_or_bent_through() {
        // Two and a half layers of plastic over the disc, 0.5 mm: 15 MPa × 10 π × 0.5, and 4 π 0.5² × 18 MPa / 3. What lies over
        // a gap in the roof, and the layer that the roof rests on, count for nothing; the order of layers does not matter.
        let layers = [
            layer(7.0, 1.0, 1.0),
            layer(6.6, 0.8, 1.3),
            layer(6.8, 0.79, 1.0),
            layer(6.4, 1.0, 0.5),
            layer(6.0, 0.0, 0.0),
            layer(6.2, 1.0, 1.0),
        ];
        let found = pull_out(&insert("disc 10x3"), &pocket(), &layers, &round_numbers()).unwrap();
        assert_eq!(found.iter().map(|c| c.mode).collect::<Vec<_>>(), [Mode::RoofShear, Mode::RoofBending]);
        assert_relative_eq!(found[0].bears.low, 15.0 * 10.0 * PI * 0.5, max_relative = 1e-9);
        assert_relative_eq!(found[0].bears.likely, 20.0 * 10.0 * PI * 0.5, max_relative = 1e-9);
        assert_relative_eq!(found[1].bears.low, 18.0 * 4.0 * PI * 0.25 / 3.0, max_relative = 1e-9);
        assert_eq!((found[0].place.layer, found[0].place.z_mm), (Some(30), Some(6.0)));
    }

    #[test]
    fn without_a_roof_nothing_is_promised() {
        let roofless = Pocket { roof_z_mm: None, ..pocket() };
        let over = [layer(6.2, 1.0, 1.0)];
        assert!(pull_out(&insert("disc 10x3"), &roofless, &over, &round_numbers()).is_err());
        assert!(pull_out(&insert("disc 10x3"), &pocket(), &[layer(6.2, 0.5, 1.0)], &round_numbers()).is_err());
        assert!(pull_out(&insert("disc 10x3"), &pocket(), &[], &round_numbers()).is_err());
    }

    #[test]
    fn an_insert_sits_in_the_pocket_that_it_fits_best_or_that_is_nearest() {
        let at = |size_mm, x| Pocket { size_mm, centre: Point::new(x, 9.0), ..pocket() };
        let pockets = [at(6.2, 0.0), at(11.2, 20.0), at(10.2, 40.0), at(20.0, 60.0), at(9.75, 80.0)];
        let disc = insert("disc 10x3");
        assert_eq!(pocket_of(&pockets, &disc, None).unwrap().size_mm, 10.2);
        // Near the narrow one the nearest that takes it is meant.
        assert_eq!(pocket_of(&pockets, &disc, Some(Point::new(2.0, 9.0))).unwrap().size_mm, 11.2);
        assert_eq!(pocket_of(&pockets, &insert("square 6x3"), None).unwrap().size_mm, 6.2);
        // Measured a little small it is still its pocket; much wider it is none.
        for (size_mm, is_its) in [(9.65, false), (9.75, true), (11.4, true), (11.6, false)] {
            assert_eq!(pocket_of(&[at(size_mm, 0.0)], &disc, None).is_ok(), is_its, "{size_mm}");
        }
    }

    #[test]
    fn edges_and_plans_by_plane_geometry() {
        let edge = |text| edge_mm(&insert(text)).unwrap();
        assert_relative_eq!(edge("ring 22x8x7"), 22.0 * PI, max_relative = 1e-12);
        // Six sides of s / √3: 34.64 mm round a nut of 10 mm across its flats.
        assert_relative_eq!(edge("hex 10x5"), 34.641_016, max_relative = 1e-7);
        assert_relative_eq!(edge("square 9x4"), 36.0, max_relative = 1e-12);
        assert_relative_eq!(edge("bar 20x5x3"), 50.0, max_relative = 1e-12);
        let plan = |text| plan_of(&insert(text), &pocket()).unwrap();
        assert_eq!(plan("bar 20x5x3").shape, PatchShape::Box { x_mm: 20.0, y_mm: 5.0 });
        assert_eq!(plan("square 9x4").shape, PatchShape::Box { x_mm: 9.0, y_mm: 9.0 });
        assert_eq!(
            plan("disc 10x3"),
            Patch { shape: PatchShape::Disc { diameter_mm: 10.0 }, centre: Point::new(12.0, 9.0) }
        );
        // A hexagon's area is √3 / 2 s²: 86.60 mm².
        assert_relative_eq!(plan("hex 10x5").area_mm2(), 86.602_54, max_relative = 1e-7);
    }
}
