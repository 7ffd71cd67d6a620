//! Cases as a user meets them: places, side faces, bolts, roofs, heat, time and stops.

use crate::specimen::{CORNER, Specimen, bar, isotropic, print, print_as, settings};
use approx::assert_relative_eq;
use beadwise::geom::{Point, Polygon};
use beadwise::profile::{LoadCases, Material};
use beadwise::rebead::drawing::{hexagon, rectangle};
use beadwise::rebead::{Body, Dialect, Settings};
use beadwise::strength::{CaseResult, Holds, Mode, looks_of};

fn block() -> Specimen {
    print(&[bar(40.0, 30.0, 12.0)], &settings(0.45, 3, 5, 0.2), 0.2, isotropic(40.0, 2000.0))
}

fn low(result: &CaseResult) -> f64 {
    result.governing().unwrap_or_else(|| panic!("{result:?}")).bears.low
}

#[test]
fn a_small_patch_over_the_core_is_weaker_than_one_over_the_walls() {
    let block = block();
    let middle = block.judge("press; force = 500; box = 4 x 4", 3.0);
    let edge = block.judge("press; force = 500; box = 4 x 4; at = 33.2 x 32", 3.0);
    assert!(low(&middle) < 0.6 * low(&edge), "{} {}", low(&middle), low(&edge));
    let place = &middle.governing().expect("a mode").place;
    assert!(place.z_mm.is_some_and(|z| z > 6.0 && z < 12.0) && place.layer.is_some(), "{place:?}");
    assert!(middle.governing().is_some_and(|c| c.working.contains("MPa")));
}

#[test]
fn the_whole_face_is_pressed_where_no_patch_is_named() {
    let result = block().judge("press; force = 1 kN", 3.0);
    assert!(result.remarks.iter().any(|r| r.contains("whole face")), "{:?}", result.remarks);
    assert_eq!(result.undetermined, None);
}

#[test]
fn an_angle_pressed_all_over_bears_the_same_however_it_lies() {
    let angle = |degrees: f64| {
        let (s, c) = degrees.to_radians().sin_cos();
        let ell = [(0.0, 0.0), (30.0, 0.0), (30.0, 8.0), (8.0, 8.0), (8.0, 30.0), (0.0, 30.0)];
        let outer = ell.map(|(x, y)| CORNER + Point::new(x * c - y * s, x * s + y * c)).to_vec();
        let body = Body::new(0).add(0.0, 6.0, Polygon { outer, holes: vec![] });
        print(&[body], &settings(0.45, 3, 4, 0.3), 0.2, isotropic(40.0, 2000.0))
    };
    let flat = angle(0.0);
    let all_over = low(&flat.judge("press; force = 1 kN", 3.0));
    for degrees in [25.0, 45.0, 90.0] {
        let turned = low(&angle(degrees).judge("press; force = 1 kN", 3.0));
        assert_relative_eq!(turned, all_over, max_relative = 0.04);
    }
    // At the middle of the box round it, off the angle's own, a named place bends it.
    let [x, y] = [CORNER.x + 15.0, CORNER.y + 15.0];
    let off = low(&flat.judge(&format!("press; force = 1 kN; at = {x} x {y}"), 3.0));
    assert!(off < 0.6 * all_over, "{off} {all_over}");
}

#[test]
fn a_side_is_pressed() {
    let block = block();
    let side = block.judge("press; force = 100; face = right; box = 8 x 6", 3.0);
    assert_eq!(side.governing().map(|c| c.mode), Some(Mode::PressedFace), "{side:?}");
    // A patch twice as long meets about twice the walls and lines behind it.
    let longer = block.judge("press; force = 100; face = right; box = 16 x 6", 3.0);
    assert!((1.5..2.4).contains(&(low(&longer) / low(&side))), "{} {}", low(&side), low(&longer));
    let beside = block.judge("press; force = 100; face = right; box = 8 x 6; at = 90 x 6", 3.0);
    assert!(beside.undetermined.is_some());
}

#[test]
fn a_bolt_head_bears_on_what_lies_under_it() {
    let result = block().judge("bearing; force = 1 kN; ring = 5.5 x 10", 3.0);
    assert_eq!(result.governing().map(|c| c.mode), Some(Mode::Bearing));
    let washer = block().judge("bearing; force = 1 kN; ring = 5.5 x 20", 3.0);
    assert!(low(&washer) > 2.0 * low(&result));
}

#[test]
fn a_nut_is_held_by_its_roof() {
    // M6 nut (ISO 4032: 10 mm across flats, 5.2 high) under 2 mm of solid roof.
    let middle = CORNER + Point::new(12.0, 11.0);
    let body = bar(26.0, 24.0, 9.2).cut(2.0, 7.4, hexagon(middle, 10.2));
    let part = print(&[body], &settings(0.45, 3, 30, 1.0), 0.2, isotropic(40.0, 2000.0));
    let result = part.judge("pull-out; force = 500; insert = m6-nut", 3.0);
    assert_eq!(result.undetermined, None, "pockets: {:?}", part.measures.pockets);
    // F = τ U t with U = 2 √3 s = 34.64 mm and t = 1.8 mm; F = 4 π t² σ / 3.
    let of = |mode| result.capacities.iter().find(|c| c.mode == mode).map(|c| c.bears.low).expect("a mode");
    assert_relative_eq!(of(Mode::RoofShear), 40.0 * 34.641 * 1.8, max_relative = 0.05);
    assert_relative_eq!(
        of(Mode::RoofBending),
        40.0 * 4.0 * std::f64::consts::PI * 1.8f64.powi(2) / 3.0,
        max_relative = 0.08
    );
    let none = part.judge("pull-out; force = 500; insert = m12-nut", 3.0);
    assert!(none.undetermined.as_deref().is_some_and(|why| why.contains("no pocket")), "{none:?}");
}

#[test]
fn heat_and_time_take_strength_and_say_so() {
    let bar = print(&[bar(40.0, 12.0, 4.0)], &settings(0.45, 4, 5, 0.3), 0.2, Material::load("pla").expect("a card"));
    let cold = bar.judge("pull; force = 100; axis = x", 3.0);
    let warm = bar.judge("pull; force = 100; axis = x; temperature = 39 C", 3.0);
    // PLA softens at 55 °C: half-way from 23 °C half of the strength is left.
    assert_relative_eq!(low(&warm) / low(&cold), 0.5, max_relative = 1e-6);
    assert!(warm.remarks.iter().any(|r| r.contains("50 %")), "{:?}", warm.remarks);
    let lasting = bar.judge("pull; force = 100; axis = x; lasting = true", 3.0);
    assert_relative_eq!(low(&lasting) / low(&cold), 0.10, max_relative = 1e-6);
    let soft = bar.judge("pull; force = 100; axis = x; temperature = 60 C", 3.0);
    assert_eq!(soft.holds(), Some(Holds::WillNotHold));
}

#[test]
fn reserve_and_answer_follow_the_load() {
    let bar = print(&[bar(40.0, 12.0, 4.0)], &settings(0.45, 4, 5, 0.3), 0.2, isotropic(40.0, 2000.0));
    let capacity = low(&bar.judge("pull; force = 100; axis = x", 3.0));
    let at = |share: f64| bar.judge(&format!("pull; force = {} N; axis = x", capacity * share), 3.0).holds();
    assert_eq!(at(0.32), Some(Holds::Holds));
    assert_eq!(at(0.5), Some(Holds::AtTheLimit));
    assert_eq!(at(1.1), Some(Holds::WillNotHold));
    let mut unnamed = bar;
    unnamed.setup.material = None;
    let result = unnamed.judge("pull; force = 100; axis = x", 3.0);
    assert!(result.undetermined.is_some() && result.holds().is_none());
}

#[test]
fn walls_with_nothing_behind_them_buckle() {
    let mut hollow = settings(0.45, 1, 4, 0.0);
    hollow.core.density = 0.0;
    let empty = print(&[bar(30.0, 24.0, 20.0)], &hollow, 0.2, isotropic(40.0, 2000.0));
    let filled = print(&[bar(30.0, 24.0, 20.0)], &settings(0.45, 1, 4, 0.2), 0.2, isotropic(40.0, 2000.0));
    let crush = |s: &Specimen| {
        let result = s.judge("press; force = 100", 3.0);
        result.capacities.iter().find(|c| c.mode == Mode::SectionCrush).map(|c| c.bears.low).expect("a section")
    };
    // One wall of 0.41 mm, 30 mm free: 4 π² E / (12 (1 - ν²)) (t / b)² is under 2 MPa of the 40 it could bear.
    assert!(crush(&empty) < 0.1 * crush(&filled), "{} {}", crush(&empty), crush(&filled));
}

#[test]
fn an_open_tube_is_refused_for_twisting() {
    let mut open = settings(0.45, 2, 0, 0.0);
    open.core.density = 0.0;
    let body = Body::new(0).add(0.0, 20.0, crate::specimen::block(30.0, 24.0));
    let tube = print(&[body], &open, 0.2, isotropic(40.0, 2000.0));
    let result = tube.judge("twist; torque = 1 N m; axis = z", 3.0);
    assert!(result.undetermined.as_deref().is_some_and(|why| why.contains("rack")), "{result:?}");
}

#[test]
fn a_hollow_box_is_twisted_only_with_plates_at_both_ends() {
    let judged = |bottom_skins, top_skins| {
        let hollow = Settings { bottom_skins, top_skins, ..settings(0.45, 2, 0, 0.0) };
        let hollow = print(&[bar(30.0, 24.0, 10.0)], &hollow, 0.2, isotropic(40.0, 2000.0));
        hollow.judge("twist; torque = 1 N m; axis = z", 3.0)
    };
    assert_eq!(judged(4, 4).undetermined, None);
    for (bottom, top) in [(4, 0), (0, 4), (0, 0)] {
        let refused = judged(bottom, top).undetermined;
        assert!(refused.as_deref().is_some_and(|why| why.contains("rack")), "{bottom} {top}: {refused:?}");
    }
}

#[test]
fn a_stopped_layer_is_a_weaker_plane() {
    let (body, laid) = (bar(16.0, 12.0, 10.0), settings(0.45, 4, 5, 0.3));
    let through = print(std::slice::from_ref(&body), &laid, 0.2, isotropic(40.0, 2000.0));
    let stops = Dialect { stops: vec![(24, "M0".to_owned())], ..Dialect::default() };
    let stopped = print_as(&stops, &[body], &laid, 0.2, isotropic(40.0, 2000.0));
    let pull = "pull; force = 100; axis = z";
    let (whole, weak) = (through.judge(pull, 3.0), stopped.judge(pull, 3.0));
    // Share left on low values: 0.45 (McCauley et al. measured 0.43 with a stop at every layer).
    assert_relative_eq!(low(&weak) / low(&whole), 0.45, max_relative = 0.02);
    let worst = weak.governing().expect("a mode");
    assert_eq!(worst.place.layer, Some(24));
    assert!(worst.working.contains("weakened by the stop"), "{}", worst.working);
}

#[test]
fn several_materials_are_judged_as_one_and_that_is_said() {
    let mut part = block();
    let said =
        |part: &Specimen| part.judge("press; force = 500", 3.0).remarks.iter().any(|r| r.contains("several tools"));
    assert!(!said(&part));
    // A tool that laid nothing counts for nothing.
    let mut other = part.measures.tools[0].clone();
    (other.tool, other.volume_mm3) = (1, 0.0);
    part.measures.tools.push(other);
    assert!(!said(&part));
    part.measures.tools[1].volume_mm3 = 3.0;
    assert!(said(&part));
}

#[test]
fn a_load_that_meets_nothing_is_undetermined() {
    // Held and pushed far above the part, which is 12 mm high; pulled beside it.
    for case in [
        "bend; force = 100; axis = z; direction = x; held = low-end; span = 50 x 60",
        "bend; force = 100; axis = x; direction = z; held = low-end; span = 200 x 260",
        "pull; force = 100; axis = x; span = 200 x 260",
        "pull; force = 100; axis = z; span = 50 x 60",
    ] {
        let result = block().judge(case, 3.0);
        assert!(result.undetermined.is_some() && result.holds().is_none(), "{case}: {result:?}");
    }
}

#[test]
fn a_torque_is_told_from_a_force() {
    assert!(block().judge("twist; torque = 1 N m; axis = x", 3.0).is_torque);
    assert!(!block().judge("press; force = 500", 3.0).is_torque);
}

#[test]
fn what_must_be_looked_at_follows_from_the_cases() {
    let looks = |cases: &[&str]| {
        let mut all = LoadCases { case: vec![] };
        all.case.extend(cases.iter().flat_map(|case| LoadCases::load(case).expect("a case").case));
        let looks = looks_of(&all);
        (looks.places, looks.cuts)
    };
    assert_eq!(looks(&["pull; force = 1; axis = z"]), (false, [false, false]));
    assert_eq!(looks(&["pull; force = 1; axis = x"]), (false, [true, false]));
    assert_eq!(looks(&["bend; force = 1; axis = y; direction = z"]), (false, [false, true]));
    assert_eq!(looks(&["twist; torque = 1; axis = x", "pull; force = 1; axis = y"]), (false, [true, true]));
    assert_eq!(looks(&["press; force = 1"]), (true, [false, false]));
    assert_eq!(looks(&["pull-out; force = 1; insert = m6-nut"]), (true, [false, false]));
}

#[test]
fn a_solid_block_bears_on_its_side_what_lies_behind_the_patch_and_a_wall_round_it() {
    // 40 MPa over the patch grown by the walls' thickness; beside the block's edge the rest is cut
    // off (windows hold whole layers, which is worth up to 3 %).
    let solid = print(&[bar(40.0, 30.0, 12.0)], &settings(0.45, 3, 500, 1.0), 0.2, isotropic(40.0, 2000.0));
    let wall = solid.measures.part.wall_thickness_mm.expect("walls").median;
    let side = solid.judge("press; force = 100; face = right; box = 8 x 6", 3.0);
    assert_relative_eq!(low(&side), 40.0 * (8.0 + 2.0 * wall) * (6.0 + 2.0 * wall), max_relative = 0.04);
    let place = &side.governing().expect("a mode").place;
    assert_relative_eq!(place.z_mm.expect("a height"), 6.0, epsilon = 1e-6);
    let edge = solid.judge("press; force = 100; face = right; box = 8 x 4; at = 17 x 8", 3.0);
    assert_relative_eq!(low(&edge), 40.0 * (4.0 + wall) * (4.0 + 2.0 * wall), max_relative = 0.06);
    // A disc by the square of its area: 8 mm and 8 √π / 2 = 7.0898 mm.
    let disc = solid.judge("press; force = 100; face = right; disc = 8", 3.0);
    let square = solid.judge("press; force = 100; face = right; box = 7.0898 x 7.0898", 3.0);
    assert_relative_eq!(low(&disc), low(&square), max_relative = 1e-4);
    assert!(solid.judge("press; force = 100; face = right; ring = 4 x 8", 3.0).undetermined.is_some());
}

#[test]
fn the_whole_face_is_the_parts_own() {
    let result = block().judge("press; force = 1 kN", 3.0);
    let pressed = result.capacities.iter().find(|c| c.mode == Mode::PressedFace).expect("a mode");
    assert!(pressed.working.contains("under the patch of 1200 mm²"), "{}", pressed.working);
    // What rests on the bench is said of a press, not of a bolt's head.
    let rests = |result: &CaseResult| result.remarks.iter().any(|r| r.contains("rest flat on something firm"));
    assert!(rests(&result) && !rests(&block().judge("bearing; force = 1 kN; ring = 5.5 x 10", 3.0)));
}

#[test]
fn a_side_bears_on_what_lies_within_the_patchs_lesser_width_behind_it() {
    // Patches of 4 mm with a wall of 1.25 mm round them are 6.5 mm wide one way: a slot 3 mm behind the face is felt through
    // them, one 8 mm behind it is not, though the patch be 10.5 mm long the other way.
    let with_slot = |behind_mm: Option<f64>| {
        let at = |x: f64, y: f64| CORNER + Point::new(40.0 - x, y);
        let slot = |behind: f64| rectangle(at(behind + 3.0, 4.0), at(behind, 26.0));
        let body = bar(40.0, 30.0, 12.0);
        let body = behind_mm.into_iter().fold(body, |body, behind| body.cut(0.0, 12.0, slot(behind)));
        print(&[body], &settings(0.45, 3, 500, 1.0), 0.2, isotropic(40.0, 2000.0))
    };
    let (solid, near, far) = (with_slot(None), with_slot(Some(3.0)), with_slot(Some(8.0)));
    for patch in ["4 x 8", "8 x 4"] {
        let bears =
            |part: &Specimen| low(&part.judge(&format!("press; force = 100; face = right; box = {patch}"), 3.0));
        assert_relative_eq!(bears(&far), bears(&solid), max_relative = 0.03);
        assert!(bears(&near) < 0.2 * bears(&solid), "{patch}: {} of {}", bears(&near), bears(&solid));
    }
}

#[test]
fn each_face_has_its_own_skin_to_spread_the_load() {
    // On the walls alone, where every layer looks closed, the part's skins say how far a load spreads.
    let laid = |bottom_skins, top_skins| {
        let settings = Settings { bottom_skins, top_skins, ..settings(0.45, 3, 5, 0.2) };
        print(&[bar(40.0, 30.0, 12.0)], &settings, 0.2, isotropic(40.0, 2000.0))
    };
    let (both_thin, thick_top, thick_bottom) = (laid(2, 2), laid(2, 8), laid(8, 2));
    let bears = |part: &Specimen, face| {
        low(&part.judge(&format!("press; force = 9; face = {face}; box = 0.6 x 4; at = 31.7 x 32"), 3.0))
    };
    assert_relative_eq!(bears(&thick_top, "bottom"), bears(&both_thin, "bottom"), max_relative = 1e-6);
    assert_relative_eq!(bears(&thick_bottom, "top"), bears(&both_thin, "top"), max_relative = 1e-6);
    assert!(bears(&thick_top, "top") > 1.1 * bears(&both_thin, "top"));
    assert!(bears(&thick_bottom, "bottom") > 1.1 * bears(&both_thin, "bottom"));
}
