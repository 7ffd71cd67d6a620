//! The forming die, and other facts of the trade (common practice, no source).

use crate::specimen::{CORNER, Specimen, aligned, print, settings};
use beadwise::geom::Point;
use beadwise::profile::{Material, Metal, Spread, StrengthProfile};
use beadwise::rebead::drawing::circle;
use beadwise::rebead::{Body, Settings};
use beadwise::strength::load::{Flange, FlangePunch};
use beadwise::strength::{CaseResult, Holds, Mode};

/// Ring die: outside 40, bore 25.8 mm, pressed on a ring 2 mm wide round the bore.
fn die(laid: &Settings) -> Specimen {
    let middle = CORNER + Point::new(20.0, 20.0);
    let body = Body::new(0).add(0.0, 12.0, circle(middle, 40.0)).cut(0.0, 12.0, circle(middle, 25.8));
    print(&[body], laid, 0.2, Material::load("petg-cf").expect("a card"))
}

/// Force to flange a hole of 15.9 to 25.4 mm in mild steel with a yield of 170 MPa.
fn force(gauge: u32) -> f64 {
    let thickness_mm = Metal::load("mild-steel").expect("steel").gauge_mm(gauge).expect("listed");
    let yield_mpa = Spread::exactly(170.0);
    let flange =
        Flange { thickness_mm, yield_mpa, diameter_mm: 25.4, hole_mm: 15.9, pierced: true, punch: FlangePunch::Flat };
    flange.load().expect("a force").force_n.likely
}

fn judged(specimen: &Specimen, gauge: u32) -> CaseResult {
    specimen.judge(&format!("press; force = {} N; ring = 25.8 x 29.8", force(gauge)), 1.25)
}

/// Where walls and core under the ring are crushed first.
fn reserve(specimen: &Specimen, gauge: u32) -> f64 {
    let result = judged(specimen, gauge);
    assert_eq!(result.governing().map(|c| c.mode), Some(Mode::PressedFace), "{:?}", result.capacities);
    result.reserve().expect("a reserve")
}

#[test]
fn a_die_as_shops_know_it() {
    // The default slice is crushed by 18 gauge steel; walls and core together save it; 16 gauge is about the most.
    let weak = die(&settings(0.45, 2, 4, 0.15));
    assert!(reserve(&weak, 18) < 0.6, "{}", reserve(&weak, 18));
    let stout = die(&settings(0.45, 6, 4, 0.5));
    let (thin, middle, thick) = (reserve(&stout, 18), reserve(&stout, 16), reserve(&stout, 14));
    assert!((1.0..1.3).contains(&thin), "18 gauge: {thin}");
    assert!((0.8..1.0).contains(&middle), "16 gauge: {middle}");
    assert!(thick < 0.8, "14 gauge: {thick}");
    // More infill alone does not do it, and an aligned default core does not either.
    assert!(reserve(&die(&settings(0.45, 2, 4, 0.5)), 18) < 0.9);
    let cells = judged(&die(&aligned(settings(0.45, 2, 4, 0.15))), 18);
    assert_eq!(cells.governing().map(|c| c.mode), Some(Mode::SkinBending), "thin skins over wide cells");
    assert!(cells.reserve().is_some_and(|reserve| reserve < 0.7), "{:?}", cells.reserve());
}

#[test]
fn the_press_tool_profile_calls_it_at_the_limit() {
    let profile = StrengthProfile::load("press-tool").expect("a profile");
    let stout = die(&settings(0.45, 6, 4, 0.5));
    let result = stout.judge(&format!("press; force = {} N; ring = 25.8 x 29.8", force(18)), profile.reserve);
    let reserve = result.reserve().expect("a reserve");
    assert_eq!(result.holds(), Some(if reserve >= 1.25 { Holds::Holds } else { Holds::AtTheLimit }));
    assert!(result.reserve_typical().expect("typical") > 1.3 * reserve);
}

#[test]
fn a_load_on_the_bore_is_refused() {
    let stout = die(&settings(0.45, 6, 4, 0.5));
    let result = stout.judge("press; force = 100 N; disc = 20", 1.25);
    assert!(result.undetermined.as_deref().is_some_and(|why| why.contains("acts on nothing")), "{result:?}");
    assert_eq!(result.holds(), None);
    let beside = stout.judge("press; force = 100 N; disc = 10; at = 120 x 120", 1.25);
    assert!(beside.undetermined.is_some());
}
