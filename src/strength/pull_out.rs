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
use crate::measure::PrintMeasures;
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
pub fn pocket_of<'a>(measures: &'a PrintMeasures, insert: &Insert, at: Option<Point>) -> Result<&'a Pocket, String> {
    let size = insert.diameter_mm.or(insert.across_flats_mm).or(insert.width_mm).unwrap_or_default();
    let off = |pocket: &Pocket| match at {
        Some(at) => pocket.centre.distance(at),
        None => (pocket.size_mm - size).abs(),
    };
    let fits = |pocket: &&Pocket| pocket.size_mm > size - 0.3 && pocket.size_mm < size + 1.5;
    let found = measures.pockets.iter().filter(fits).min_by(|a, b| off(a).total_cmp(&off(b)));
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
