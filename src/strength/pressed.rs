//! A pressed face: what lies under the patch decides, not the whole section.
//!
//! ```text
//!        F over the patch
//!     |||||||||
//!   ============   skin spreads it by its own thickness, as far as it is not punched through
//!   -  | -  -  -   walls and core lines under it are crushed at the weakest layer within one patch width
//! ```
//!
//! Against finite elements on an edge strip the rule is right for the mean stress (0.6 to 1.07); first marks come at
//! 0.6 to 1.0 of it (prototype of this project, measured).

use super::across::CoreStand;
use super::allow::Allowable;
use super::along::slab_place;
use super::capacity::{Capacity, Mode, Place};
use super::law::{Law, strength_weight};
use crate::geom::Point;
use crate::measure::LayerMeasure;
use crate::profile::{Face, Spread};
use crate::shape::{Cut, Patch, PatchLayer};
use crate::units::significant;

/// Least share of the patch that must lie on the part.
const ON_PART: f64 = 0.5;

/// Least share of the box round the part that makes a face of its own.
const ANY_OF_FACE: f64 = 0.02;

/// From here on the patch counts as wholly on the part.
const ALL_ON_PART: f64 = 0.9;

/// A layer that covers this share of the patch is skin there.
const SKIN_COVERED: f64 = 0.9;

/// A skin whose span is under twice its thickness does not bend.
const LEAST_SPAN: f64 = 2.0;

/// Greatest bending stress of a skin over p s² / t²: a clamped strip, and a clamped square plate.
const STRIP: f64 = 0.5;
const PLATE: f64 = 0.308;

/// What was found under a patch.
#[derive(Debug, Clone, PartialEq)]
pub struct Pressed {
    /// Capacities of the face, the pressed one first.
    pub capacities: Vec<Capacity>,
    /// Height of the face, mm.
    pub face_z_mm: f64,
    /// Where the load's middle acts in plan: that of the patch, or of the face where all of it is pressed evenly.
    pub middle: Point,
    /// What to say beside.
    pub remarks: Vec<String>,
}

/// The layers under a face, from the face inwards: from the first that holds `least` of the patch.
fn from_face(layers: &[PatchLayer], face: Face, least: f64) -> Vec<&PatchLayer> {
    let mut all: Vec<&PatchLayer> = layers.iter().collect();
    all.sort_by(|a, b| a.z_mm.total_cmp(&b.z_mm));
    if face == Face::Top {
        all.reverse();
    }
    let start = all.iter().position(|l| l.outlined >= least).unwrap_or(all.len());
    all.split_off(start)
}

/// How far the skin spreads a load, mm: its thickness; where there is no core for it to stand on, half a patch width.
fn skin_mm(inwards: &[&PatchLayer], patch: &Patch, skin: Option<f64>) -> f64 {
    // Under a patch that lies on walls alone every layer looks like skin, so the skins of the part decide.
    let closed: f64 = inwards.iter().take_while(|l| l.covered >= SKIN_COVERED).map(|l| l.height_mm).sum();
    closed.min(skin.unwrap_or(0.5 * patch.width_mm()))
}

/// Capacities of a patch pressed on the top or the bottom face; `whole` where no patch was named and all of the face
/// is pressed, holes or not. `skin` is the thickness of the part's skin behind that face, `None` where it has no core.
///
/// # Errors
/// A reason in words where the patch does not lie on the part.
pub fn pressed(
    patch: &Patch,
    layers: &[PatchLayer],
    measures: &[LayerMeasure],
    (face, whole): (Face, bool),
    skin: Option<f64>,
    mode: Mode,
    allow: &Allowable,
) -> Result<Pressed, String> {
    let inwards = from_face(layers, face, if whole { ANY_OF_FACE } else { ON_PART });
    let Some(first) = inwards.first() else {
        let most = layers.iter().map(|l| l.outlined).fold(0.0, f64::max);
        return Err(format!(
            "the patch acts on nothing: at most {} % of it lies on the part in any layer (a hole, or beside it)",
            significant(100.0 * most, 2)
        ));
    };
    let face_z_mm = if face == Face::Top { first.z_mm } else { first.z_mm - first.height_mm };
    let skin_mm = skin_mm(&inwards, patch, skin);
    let depth = |l: &PatchLayer| {
        // The plane on which a layer rests, seen from the face.
        let foot = l.z_mm - l.height_mm;
        (face_z_mm - foot).abs()
    };
    // Under the bottom face the first plane is the bed itself.
    let planes = inwards.iter().skip(usize::from(face == Face::Bottom));
    let near: Vec<&&PatchLayer> =
        planes.enumerate().filter(|(i, l)| *i == 0 || depth(l) <= patch.width_mm() + 1e-6).map(|(_, l)| l).collect();
    let weakest = near.iter().min_by(|a, b| {
        let of = |l: &PatchLayer| spread_bond(l, patch, skin_mm, allow).low;
        of(a).total_cmp(&of(b))
    });
    let Some(weakest) = weakest else { return Err("there is only one layer under the patch".to_owned()) };
    let mut remarks = Vec::new();
    if whole {
        remarks.push("no patch was named: the whole face is taken to be pressed evenly".to_owned());
    } else if first.outlined < ALL_ON_PART {
        remarks.push(format!("only {} % of the patch lies on the part", significant(100.0 * first.outlined, 2)));
    }
    let middle_of_face =
        || measures.iter().find(|m| m.index == first.index).and_then(|m| m.section).map(|section| section.centroid);
    let middle = whole.then(middle_of_face).flatten().unwrap_or(patch.centre);
    let mut capacities = vec![crushed(weakest, patch, skin_mm, mode, allow)];
    if !whole {
        let rests = inwards.iter().find_map(|layer| {
            let stand = measures.iter().find(|m| m.index == layer.index).and_then(CoreStand::new)?;
            stand.spacing_mm().map(|span_mm| (layer, stand, span_mm))
        });
        capacities.extend(
            rests.and_then(|(layer, stand, span_mm)| skin_bends(layer, &stand, span_mm, patch, skin_mm, allow)),
        );
    }
    Ok(Pressed { capacities, face_z_mm, middle, remarks })
}

/// Bond area that carries: under the patch, and beyond it as far as the skin can shed load by shear.
fn spread_bond(layer: &PatchLayer, patch: &Patch, skin_mm: f64, allow: &Allowable) -> Spread {
    let under = layer.bond_grown_mm2(0.0);
    let beyond = layer.bond_grown_mm2(skin_mm) - under;
    let of = |shear: f64, crush: f64| under + beyond.min(shear * patch.edge_mm() * skin_mm / crush).max(0.0);
    let (low, typical) =
        (of(allow.shear.low, allow.compression.low), of(allow.shear.typical, allow.compression.typical));
    Spread { low, likely: typical, high: typical }
}

fn crushed(layer: &PatchLayer, patch: &Patch, skin_mm: f64, mode: Mode, allow: &Allowable) -> Capacity {
    let bond = spread_bond(layer, patch, skin_mm, allow);
    let working = format!(
        "F = σ A with σ = {} MPa in compression and a bond area of {} mm² under the patch of {} mm² grown by the skin's {} mm, at z = {} mm",
        significant(allow.compression.low, 3),
        significant(bond.low, 4),
        significant(patch.area_mm2(), 4),
        significant(skin_mm, 3),
        significant(layer.z_mm - layer.height_mm, 4)
    );
    Capacity::new(mode, under(layer, patch), allow.compression, bond, working)
}

fn under(layer: &PatchLayer, patch: &Patch) -> Place {
    Place {
        words: format!("under the patch, between layers {} and {}", layer.index.saturating_sub(1), layer.index),
        layer: Some(layer.index),
        z_mm: Some(layer.z_mm - layer.height_mm),
        at: Some(patch.centre),
    }
}

/// The skin over the topmost lines of the core, s apart centre to centre, under an even pressure p: σ = β p s² / t².
/// Over lines that run one way it is a strip clamped at both sides, β = 1/2 (beam theory); over the square cells of
/// an aligned core a plate clamped all round, β = 0.308 (Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells,
/// table 35: 0.0513 p s² at the middle of an edge; from memory). Finite elements on unit cells found 0.2 to 0.6 of
/// that over aligned cores and up to 1.1 times it over crossed ones (prototype of this project, measured). Walls under the
/// patch carry their share by crushing, and what the skin sheds beside the patch it sheds here too.
///
/// Not asked where all of a face is pressed: a flat plate bears on the lines through the skin, and cubes crushed between
/// plates get stronger straight with the density of their core (`tests/advise/orders.rs`), which bending would not.
fn skin_bends(
    layer: &PatchLayer,
    stand: &CoreStand,
    span_mm: f64,
    patch: &Patch,
    skin_mm: f64,
    allow: &Allowable,
) -> Option<Capacity> {
    if !(skin_mm > 0.0 && span_mm / skin_mm >= LEAST_SPAN) {
        return None;
    }
    let beta = if stand.aligned { PLATE } else { STRIP };
    let (share, under_mm2) = (stand.share(), layer.bond_grown_mm2(0.0));
    let over_walls = ((under_mm2 / patch.area_mm2() - share) / (1.0 - share)).clamp(0.0, 1.0);
    let spread = spread_bond(layer, patch, skin_mm, allow);
    let of = |crush: f64, bending: f64, spread_mm2: f64| {
        let pressure = bending * (skin_mm / span_mm).powi(2) / beta;
        let beside = crush * (spread_mm2 - under_mm2);
        // Where the core is crushed first, the skin is not asked.
        (pressure < crush * share)
            .then(|| patch.area_mm2() * (over_walls * crush + (1.0 - over_walls) * pressure) + beside)
    };
    let low = of(allow.compression.low, allow.beside.low, spread.low)?;
    let likely = of(allow.compression.typical, allow.along.typical, spread.likely).unwrap_or(f64::INFINITY);
    let working = format!(
        "p = σ t² / (β s²) with t = {} mm, s = {} mm centre to centre, β = {beta}, σ = {} MPa",
        significant(skin_mm, 3),
        significant(span_mm, 3),
        significant(allow.beside.low, 3)
    );
    let bears = Spread { low, likely, high: likely };
    Some(Capacity { mode: Mode::SkinBending, place: under(layer, patch), bears, working })
}

/// Capacity of a patch pressed on a side: compression of what runs in behind it, at the weakest slab within one patch width.
///
/// # Errors
/// A reason in words where the window holds nothing.
pub fn pressed_side(
    slabs: &[Cut],
    face: Face,
    width_mm: f64,
    z_mm: f64,
    allow: &Allowable,
) -> Result<Capacity, String> {
    let from_low = matches!(face, Face::Left | Face::Front);
    let edge = if from_low { slabs.first() } else { slabs.last() };
    let Some(edge) = edge else { return Err("the patch acts on nothing: no plastic lies behind it".to_owned()) };
    let area = |cut: &Cut, law| cut.weighted(|kind, angle| strength_weight(kind, angle, 1.0, law, true)).area_mm2;
    let weakest = slabs
        .iter()
        .filter(|cut| (cut.at_mm - edge.at_mm).abs() <= (width_mm - cut.thickness_mm).max(0.0) + 1e-6)
        .min_by(|a, b| area(a, Law::Low).total_cmp(&area(b, Law::Low)));
    let weakest = weakest.unwrap_or(edge);
    let times =
        Spread { low: area(weakest, Law::Low), likely: area(weakest, Law::Likely), high: area(weakest, Law::High) };
    let axis = face.axis();
    let working = format!(
        "F = σ A with σ = {} MPa in compression and {} mm² that runs in behind the patch at {} = {} mm",
        significant(allow.compression.low, 3),
        significant(times.low, 4),
        axis.word(),
        significant(weakest.at_mm, 4)
    );
    let words = format!("behind the patch at {} = {} mm", axis.word(), significant(weakest.at_mm, 4));
    let place = Place { words, z_mm: Some(z_mm), ..slab_place(weakest, axis) };
    Ok(Capacity::new(Mode::PressedFace, place, allow.compression, times, working))
}

#[cfg(test)]
#[path = "pressed_tests.rs"]
mod tests;
