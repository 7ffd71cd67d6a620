//! What stands beside the force of a job: areas, stresses, and how the force acts on the tool, each reckoned by hand.

use approx::assert_relative_eq;
use beadwise::profile::{LoadCases, Spread, read_profile};
use beadwise::strength::load::{
    Acts, Bend, Bolt, BoltSize, BoreTorque, DiscMagnet, Flange, FlangePunch, JobLoad, Lever, MagnetField, PressFit,
    Punch, Screw, ScrewDrive, Thread, ThreadForm,
};
use beadwise::units::System;

#[track_caller]
fn assert_says(texts: &[String], parts: &[&str]) {
    for part in parts {
        assert!(texts.iter().any(|text| text.contains(part)), "{part:?} is missing in {texts:#?}");
    }
}

#[track_caller]
fn load<E: std::fmt::Debug>(load: Result<JobLoad, E>) -> JobLoad {
    load.expect("a load")
}

fn bend(thickness_mm: f64, opening_mm: f64) -> Bend {
    let tensile_mpa = Spread { low: 300.0, likely: 310.0, high: 330.0 };
    Bend { thickness_mm, tensile_mpa, length_mm: 100.0, opening_mm, stroke_mm: Some(15.0) }
}

#[test]
fn a_bend_by_both_rules() {
    // Rm 310, t 1, W 10, w 100: 1.33 × 310 × 100 / 10 = 4123 N and, after Oehler, 1.4 × 3100 = 4340 N (handbook after
    // Lange, read second-hand); the least of both at 300 MPa, the most of both at 330 MPa, their mean at 310 MPa.
    let job = load(bend(1.0, 10.0).load());
    assert_relative_eq!(job.force_n.low, 3990.0, max_relative = 1e-12);
    assert_relative_eq!(job.force_n.likely, 4231.5, max_relative = 1e-12);
    assert_relative_eq!(job.force_n.high, 4620.0, max_relative = 1e-12);
    assert_says(
        &[job.formula],
        &["= 4.123 kN; by Oehler", "(1 + 4 × 1 / 10) × 310 MPa × 100 mm × (1 mm)² / 10 mm = 4.34 kN"],
    );
    // Press-brake practice (from memory): W = 8 t, radius W / 6, leg 0.7 W; work 4340 N × 15 mm × 0.75 = 48.8 J.
    assert_says(&job.beside, &["8 t = 8 mm", "W / 6 = 1.667 mm", "0.7 W = 7 mm", "× 0.75 = 48.8"]);
    // The strip that presses on the die is two thicknesses wide.
    assert_eq!(load(bend(1.5, 15.0).load()).acts, Acts::Strip { length_mm: 100.0, width_mm: 3.0 });
    assert_eq!(load(Bend { stroke_mm: None, ..bend(1.0, 10.0) }.load()).beside.len(), 1);
}

#[test]
fn where_oehlers_rule_holds() {
    // W / t from 5 to 20 and sheet of 0.5 to 10 mm.
    for (t, opening, holds) in [
        (1.0, 10.0, true),
        (0.5, 10.0, true),
        (10.0, 50.0, true),
        (0.4, 4.0, false),
        (11.0, 110.0, false),
        (1.0, 21.0, false),
        (2.0, 9.0, false),
    ] {
        let minds = load(bend(t, opening).load()).minds;
        assert_eq!(minds.iter().any(|mind| mind.contains("Oehler's rule holds")), !holds, "{t} {opening}: {minds:?}");
    }
}

#[test]
fn a_bolts_stress_and_what_its_head_does() {
    // Calculator page: M10, K 0.2, 50 N m: 25.0 kN, 431 MPa, 72 % of 34.8 kN (proof 600 MPa). The head, 16 mm across flats
    // (ISO 4032), bears round a hole of 11 mm (ISO 273, medium): 31.25 kN over π / 4 (16² - 11²) = 106.03 mm²: 294.7 MPa.
    let bolt = Bolt {
        size: BoltSize::named("M10").expect("a size"),
        torque_n_mm: 50_000.0,
        factor: Bolt::PLAIN_STEEL,
        proof_mpa: Some(600.0),
        washer_mm: None,
    };
    let job = load(bolt.load());
    assert_says(&job.beside, &["25 kN / 57.99 mm² = 431.1 MPa", "71.85 % of its proof load 34.79 kN"]);
    assert_says(&job.beside, &["31.25 kN over a ring 11 to 16 mm = 294.7 MPa"]);
    // A washer of 25 mm: π / 4 (25² - 11²) = 395.84 mm².
    let wide = load(Bolt { washer_mm: Some(25.0), ..bolt }.load());
    assert_eq!(wide.acts, Acts::Bearing { hole_mm: 11.0, outer_mm: 25.0 });
    assert_says(&wide.beside, &["= 78.95 MPa"]);
    assert!(Bolt { washer_mm: Some(11.0), ..bolt }.load().is_err(), "a washer that falls through its hole");
    assert!(Bolt { proof_mpa: Some(0.0), ..bolt }.load().is_err());
    // A size that no table has: hole 1.1 d, flats 1.5 d (common practice, no source).
    let odd = Bolt { size: BoltSize { diameter_mm: 7.0, pitch_mm: 1.0 }, ..bolt };
    let Acts::Bearing { hole_mm, outer_mm } = load(odd.load()).acts else { panic!("a bolt bears") };
    assert_relative_eq!(hole_mm, 7.7, max_relative = 1e-12);
    assert_relative_eq!(outer_mm, 10.5, max_relative = 1e-12);
}

#[test]
fn a_flanges_ring_and_when_it_cracks() {
    let flange = |hole_mm, pierced, punch| Flange {
        thickness_mm: 1.5,
        yield_mpa: Spread::exactly(200.0),
        diameter_mm: 20.0,
        hole_mm,
        pierced,
        punch,
    };
    // The ring begins at the collar and is two thicknesses wide on each side: 20 to 26 mm.
    let job = load(flange(12.0, true, FlangePunch::Flat).load());
    assert_eq!(job.acts, Acts::Ring { inner_mm: 20.0, outer_mm: 26.0 });
    // Below about 0.65 mild steel tends to crack (Lange; Schuler; from memory); a hole of 13 in 20 is just there.
    let cracks = |hole_mm, pierced| {
        let minds = load(flange(hole_mm, pierced, FlangePunch::Flat).load()).minds;
        (minds.iter().any(|m| m.contains("tends to crack")), minds.iter().any(|m| m.contains("the rim tears")))
    };
    assert_eq!(
        (cracks(12.9, true), cracks(13.1, true), cracks(0.0, false)),
        ((true, false), (false, false), (false, true))
    );
    // Cone: 1.2 π t D m σ = 1.2 π × 1.5 × 20 × 0.15 × 200 = 3393 N; its text says the same.
    let cone = load(flange(12.0, true, FlangePunch::Cone).load());
    assert_relative_eq!(cone.force_n.likely, 3392.92, max_relative = 1e-5);
    assert_says(&[cone.formula], &["= 3.393 kN (m from 0.05 to 0.25)"]);
}

#[test]
fn a_magnet_whose_gap_is_wide() {
    // Charges and their image (from memory). On the axis of a disc far away, each face is A / (2 π z²) of its field at touch: at
    // 40 and 46 mm from a disc of 4 mm diameter, 1/2 (2/40)² - 1/2 (2/46)² = 0.0003048 of the remanence.
    let disc = DiscMagnet { diameter_mm: 4.0, height_mm: 6.0, remanence_t: Spread::exactly(1.2), gap_mm: 40.0 };
    assert_relative_eq!(disc.field_t(1.0), 0.000_304_8, max_relative = 0.01);
    let job = load(MagnetField::Field { field_t: Spread::exactly(0.5), area_mm2: 100.0 }.load());
    // 0.25 × 1e-4 / (2 × 4 π 1e-7) = 9.947 N; a fifth of it holds against sliding.
    assert_relative_eq!(job.force_n.likely, 9.947_18, max_relative = 1e-5);
    assert_says(&job.beside, &["1.989 N"]);
}

#[test]
fn a_punchs_clearance_and_stripping() {
    // 20 mm hole in 2 mm of 300 MPa: π × 20 × 2 × 300 = 37.70 kN; 10 to 20 % strips it; 7.5 % of 2 mm is 0.15 mm.
    let punch = Punch { clearance_share: Some(0.075), ..Punch::round(2.0, Spread::exactly(300.0), 20.0) };
    let job = load(punch.load());
    assert_relative_eq!(job.force_n.likely, 37_699.1, max_relative = 1e-5);
    assert_says(&job.beside, &["3.77 kN to 7.54 kN", "0.075 × 2 mm = 0.15 mm"]);
    assert_eq!(job.acts, Acts::Disc { diameter_mm: 20.0 });
}

#[test]
fn a_screws_working() {
    // Tr20x4, f 0.15, collar 25 mm, 200 N on 200 mm: 10.17 kN at 3.932 mm a newton (see the room's own tests); its
    // efficiency is l / (2 π × 3.932) = 4 / 24.71 = 0.1619.
    let screw = Screw {
        thread: Thread::named("Tr20x4").expect("a thread"),
        friction: Spread::exactly(0.15),
        collar_mm: 25.0,
        drive: ScrewDrive::Hand { force_n: 200.0, handle_mm: 200.0 },
    };
    let job = load(screw.load());
    assert_says(&job.beside, &["= 0.1619", "holds by itself"]);
    // An angled thread feels f / cos 15° = 0.1553.
    assert_says(
        &[job.formula],
        &["T = 200 N × 200 mm = 40 N m; F = T", "π × 0.1553 × 18", "= 10.17 kN (f = 0.15 / cos 15°)"],
    );
    let square = Screw { thread: Thread::new(20.0, 4.0, 1, ThreadForm::Square), ..screw };
    let formula = load(square.load()).formula;
    assert!(formula.contains("π × 0.15 × 18") && !formula.contains("cos"), "{formula}");
    // Four starts of 4 mm: the lead angle tan⁻¹(16 / (18 π)) = 15.8° is more than tan⁻¹ 0.155 = 8.8°.
    let steep = Screw { thread: Thread::new(20.0, 4.0, 4, ThreadForm::Trapezoidal), ..screw };
    assert_says(&load(steep.load()).beside, &["runs back by itself"]);
}

#[test]
fn a_press_fit_says_its_hoop_stress() {
    // Lamé: at the bore of a ring twice its bore the hoop stress is (4 + 1) / (4 - 1) = 5/3 of the pressure.
    let fit = PressFit {
        diameter_mm: 10.0,
        interference_mm: 0.1,
        hub_mm: 20.0,
        length_mm: 12.0,
        stiffness_mpa: Spread::exactly(2000.0),
        poisson: 0.35,
        piece: PressFit::STEEL,
        friction: PressFit::USUAL_FRICTION,
    };
    let job = load(fit.load());
    assert_eq!(job.acts, Acts::Ring { inner_mm: 10.0, outer_mm: 20.0 });
    // p = 0.1 / {10 [(5/3 + 0.35) / 2000 + 0.7 / 210000]} = 9.885 MPa, hoop 16.47 MPa; F = 0.2 p π 10 × 12 = 745.3 N.
    assert_says(&[job.formula], &["= 9.885 MPa with δ = 0.1 mm"]);
    assert_says(&job.beside, &["16.47 MPa"]);
    assert_relative_eq!(job.force_n.likely, 745.3, max_relative = 1e-3);
}

#[test]
fn every_job_can_be_pasted_as_a_load_case() {
    // What a tool must bear is the most that the job may ask; the case says where it acts, and is read back as it stands.
    let force_n = Spread { low: 900.0, likely: 1000.0, high: 1236.0 };
    let job = |acts| JobLoad {
        kind: "job",
        force_n,
        formula: String::new(),
        source: String::new(),
        beside: vec![],
        minds: vec![],
        acts,
    };
    let cases = [
        (Acts::Ring { inner_mm: 20.0, outer_mm: 26.0 }, "press", "ring_mm = [20, 26]"),
        (Acts::Disc { diameter_mm: 12.5 }, "press", "disc_mm = 12.5"),
        (Acts::Bearing { hole_mm: 5.5, outer_mm: 10.0 }, "bearing", "ring_mm = [5.5, 10]"),
        (Acts::Strip { length_mm: 100.0, width_mm: 3.0 }, "press", "box_mm = [100, 3]"),
        (Acts::PullOut, "pull-out", ""),
        (Acts::Unsaid, "press", ""),
    ];
    for (acts, kind, place) in cases {
        let text = job(acts).case_toml();
        for part in ["[[case]]\nname = \"job\"\n", &format!("kind = \"{kind}\"\n"), "force_n = 1236\n", place] {
            assert!(text.contains(part), "{part} is missing in\n{text}");
        }
        if acts != Acts::PullOut {
            read_profile::<LoadCases>(&text, "pasted").unwrap_or_else(|error| panic!("{error}\n{text}"));
        }
    }
    let twist = job(Acts::Twist { torque_n_mm: Spread { low: 1.0, likely: 2.0, high: 3.5 } }).case_toml();
    assert!(twist.contains("torque_n_mm = 3.5\naxis = \"z\"\n"), "{twist}");
    read_profile::<LoadCases>(&twist, "pasted").expect("a load case");
    assert_eq!(job(Acts::Unsaid).force_text(System::Metric), "1 kN (from 900 N to 1.236 kN)");
    let exact = JobLoad { force_n: Spread::exactly(1000.0), ..job(Acts::Unsaid) };
    assert_eq!(exact.force_text(System::Metric), "1 kN");
}

#[test]
fn levers_and_bores_by_statics() {
    // 100 N at 300 mm against 50 mm: 600 N, and 700 N on the pivot between. 40 N m at 20 mm: 2 × 40 / 0.02 = 4 kN.
    let lever = load(Lever { force_n: Spread::exactly(100.0), arm_mm: 300.0, acts_at_mm: 50.0 }.load());
    assert_relative_eq!(lever.force_n.likely, 600.0, max_relative = 1e-12);
    assert_says(&lever.beside, &["P + F = 700 N"]);
    let torque = load(BoreTorque { torque_n_mm: Spread::exactly(40_000.0), diameter_mm: 20.0 }.load());
    assert_relative_eq!(torque.force_n.likely, 4000.0, max_relative = 1e-12);
    assert_says(&[torque.formula], &["2 × 40 N m / 20 mm = 4 kN"]);
    assert_eq!(torque.acts, Acts::Twist { torque_n_mm: Spread::exactly(40_000.0) });
}

#[test]
fn names_of_threads_and_bolts_end_where_they_cannot_be() {
    assert!(BoltSize::named("M10x4.9").is_some() && BoltSize::named("M10x5").is_none());
    assert!(Thread::named("Tr20x19").is_some());
    assert!(Thread::named("Tr20x20").is_none() && Thread::named("Tr20x0").is_none());
}
