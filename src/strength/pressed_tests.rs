//! What lies under a patch, layer by layer, by hand.

#![allow(clippy::unwrap_used)]
use super::super::allow::tests::round_numbers;
use super::*;
use crate::geom::{Moments, Reach};
use crate::shape::{BeadGroup, BeadKind, GROWTHS_MM, PatchShape};
use approx::assert_relative_eq;

/// 10 x 8 mm: 80 mm², 36 mm round, 8 mm wide.
fn patch() -> Patch {
    Patch { shape: PatchShape::Box { x_mm: 10.0, y_mm: 8.0 }, centre: Point::new(30.0, 20.0) }
}

/// A layer of 0.2 mm with so much bond under the patch, and so much more for each millimetre that it grows.
fn layer(index: usize, covered: f64, under_mm2: f64, each_mm: f64) -> PatchLayer {
    PatchLayer {
        index,
        z_mm: 0.2 * (index + 1) as f64,
        height_mm: 0.2,
        outlined: 1.0,
        covered,
        bond_mm2: GROWTHS_MM.map(|growth| under_mm2 + each_mm * growth),
    }
}

/// A block of 60 layers (12 mm) whose upper four are skin.
fn block() -> Vec<PatchLayer> {
    (0..60).map(|i| if i >= 56 { layer(i, 1.0, 80.0, 40.0) } else { layer(i, 0.3, 20.0, 5.0) }).collect()
}

fn top(layers: &[PatchLayer], skin: Option<f64>) -> Pressed {
    pressed(&patch(), layers, &[], (Face::Top, false), skin, Mode::PressedFace, &round_numbers()).unwrap()
}

fn low(found: &Pressed) -> f64 {
    found.capacities[0].bears.low
}

#[test]
fn walls_and_core_under_the_patch_are_crushed() {
    // 20 mm² under it and 5 × 0.8 mm² beyond, as far as a skin of 0.8 mm spreads it: 24 mm² at 32 and 48 MPa.
    let found = top(&block(), Some(0.8));
    assert_relative_eq!(low(&found), 24.0 * 32.0, max_relative = 1e-9);
    assert_relative_eq!(found.capacities[0].bears.likely, 24.0 * 48.0, max_relative = 1e-9);
    assert_relative_eq!(found.face_z_mm, 12.0, max_relative = 1e-12);
    assert!(found.remarks.is_empty() && found.capacities[0].mode == Mode::PressedFace);
    // A part whose skin is thinner spreads less, one without a core half a patch width, but never more than is closed.
    assert_relative_eq!(low(&top(&block(), Some(0.4))), 22.0 * 32.0, max_relative = 1e-9);
    assert_relative_eq!(low(&top(&block(), None)), 24.0 * 32.0, max_relative = 1e-9);
    let full: Vec<PatchLayer> = (0..60).map(|i| layer(i, 1.0, 20.0, 1.0)).collect();
    assert_relative_eq!(low(&top(&full, None)), 23.0 * 32.0, max_relative = 1e-9);
    let narrow = Patch { shape: PatchShape::Box { x_mm: 10.0, y_mm: 4.0 }, ..patch() };
    let found = pressed(&narrow, &full, &[], (Face::Top, false), None, Mode::PressedFace, &round_numbers()).unwrap();
    assert_relative_eq!(low(&found), 22.0 * 32.0, max_relative = 1e-9);
}

#[test]
fn a_skin_spreads_no_more_than_it_can_shear() {
    // 40 mm² more in 0.8 mm, but the skin is punched through at τ U t / σ = 15 × 36 × 0.8 / 32 = 13.5 mm² (typical: 12).
    let layers: Vec<PatchLayer> =
        (0..60).map(|i| if i >= 56 { layer(i, 1.0, 80.0, 50.0) } else { layer(i, 0.3, 20.0, 50.0) }).collect();
    let found = top(&layers, Some(0.8));
    assert_relative_eq!(low(&found), 33.5 * 32.0, max_relative = 1e-9);
    assert_relative_eq!(found.capacities[0].bears.likely, 32.0 * 48.0, max_relative = 1e-9);
}

#[test]
fn the_weakest_plane_within_a_patch_width_decides() {
    // Layer 25 rests at z 5.0, 7 mm under the face of 12 mm; layer 15 at 3.0, 9 mm under it, deeper than the patch is wide.
    for (weak, decides) in [(25, true), (20, true), (19, false), (15, false)] {
        let mut layers = block();
        layers[weak] = layer(weak, 0.3, 4.0, 0.0);
        let found = top(&layers, Some(0.8));
        let want = if decides { 4.0 } else { 24.0 };
        assert_relative_eq!(low(&found), want * 32.0, max_relative = 1e-9);
        if decides {
            let place = &found.capacities[0].place;
            assert_eq!((place.layer, place.at), (Some(weak), Some(Point::new(30.0, 20.0))));
            assert_relative_eq!(place.z_mm.unwrap(), 0.2 * weak as f64, max_relative = 1e-12);
        }
    }
}

#[test]
fn the_bottom_face_rests_on_the_bed() {
    // From below: the first plane is the bed and carries nothing from layer to layer.
    let mut layers: Vec<PatchLayer> =
        (0..60).map(|i| if i < 3 { layer(i, 1.0, 80.0, 0.0) } else { layer(i, 0.3, 20.0, 5.0) }).collect();
    layers[0].bond_mm2 = [0.0; GROWTHS_MM.len()];
    layers.reverse();
    let found =
        pressed(&patch(), &layers, &[], (Face::Bottom, false), Some(0.6), Mode::Bearing, &round_numbers()).unwrap();
    assert_relative_eq!(low(&found), 23.0 * 32.0, max_relative = 1e-9);
    assert_eq!((found.face_z_mm.abs() < 1e-12, found.capacities[0].mode), (true, Mode::Bearing));
}

#[test]
fn a_patch_must_lie_on_the_part() {
    let on = |share: f64, whole: bool| {
        let mut layers = block();
        layers.iter_mut().for_each(|l| l.outlined = share);
        pressed(&patch(), &layers, &[], (Face::Top, whole), Some(0.8), Mode::PressedFace, &round_numbers())
    };
    let words = on(0.49, false).unwrap_err();
    assert!(words.contains("at most 49 %"), "{words}");
    assert!(on(0.55, false).unwrap().remarks.iter().any(|r| r.contains("only 55 % of the patch")));
    assert!(on(0.95, false).unwrap().remarks.is_empty());
    // Where all of a face is pressed, its holes are no fault of the patch; nothing of it at all is.
    assert!(on(0.3, true).unwrap().remarks.iter().all(|r| r.contains("whole face")));
    assert!(on(0.01, true).is_err());
    // A boss narrower than half the patch is no face for it: the next layer down is.
    let mut layers = block();
    layers[59].outlined = 0.4;
    assert_relative_eq!(top(&layers, Some(0.8)).face_z_mm, 11.8, max_relative = 1e-12);
    let one = pressed(&patch(), &block()[..1], &[], (Face::Bottom, false), None, Mode::PressedFace, &round_numbers());
    assert!(one.unwrap_err().contains("only one layer"));
}

/// Layer 55 of the block: a core of 1000 mm² of this density in walls of 100 mm², as a grid or crossed.
fn core(density: f64, aligned: bool) -> LayerMeasure {
    let share = if aligned { density - density * density / 4.0 } else { density * density };
    let area = |area_mm2| Moments { area_mm2, ..Moments::ZERO };
    LayerMeasure {
        index: 55,
        z_mm: 11.2,
        height_mm: 0.2,
        core_area_mm2: 1000.0,
        core_density: Some(density),
        core_families: 2,
        section: Some(area(100.0 + 1000.0 * density)),
        bond: Some(area(100.0 + 1000.0 * share)),
        bead_width_mm: Some(0.45),
        ..LayerMeasure::default()
    }
}

fn bending(measure: &LayerMeasure, layers: &[PatchLayer], skin_mm: f64) -> Option<Capacity> {
    let measures = [measure.clone()];
    let found =
        pressed(&patch(), layers, &measures, (Face::Top, false), Some(skin_mm), Mode::PressedFace, &round_numbers());
    found.unwrap().capacities.into_iter().find(|c| c.mode == Mode::SkinBending)
}

#[test]
fn a_thin_skin_bends_between_wide_cells() {
    // 20 % as a grid bonds over 19 % of its area. Beads lie 0.4071 mm apart, so its lines 4.071 mm; a clamped square plate:
    // p = σ t² / (0.308 s²) with t 0.8 and the side strength, 18 MPa: 2.257 MPa, under 32 × 0.19. Over core alone:
    let grid = core(0.2, true);
    let over_core = |i: usize| if i >= 56 { layer(i, 1.0, 80.0, 0.0) } else { layer(i, 0.3, 15.2, 0.0) };
    let layers: Vec<PatchLayer> = (0..60).map(over_core).collect();
    let span = 2.0 * (0.45 - 0.2 * (1.0 - std::f64::consts::FRAC_PI_4)) / 0.2;
    let pressure = 18.0 * (0.8 / span).powi(2) / 0.308;
    assert_relative_eq!(pressure, 2.257, max_relative = 1e-3);
    let found = bending(&grid, &layers, 0.8).unwrap();
    assert_relative_eq!(found.bears.low, 80.0 * pressure, max_relative = 1e-9);
    assert_eq!(found.place.layer, Some(55));
    // Typical: along the beads, 45 MPa, against 48 × 0.19.
    assert_relative_eq!(found.bears.likely, 80.0 * pressure * 45.0 / 18.0, max_relative = 1e-9);
    // Where walls stand under it, 48 of 80 mm²: (0.6 - 0.19) / 0.81 of the patch is crushed, not bent; and what the skin
    // sheds beside the patch, 10 mm² for each millimetre, it sheds here too.
    let over_walls = |i: usize| if i >= 56 { layer(i, 1.0, 80.0, 0.0) } else { layer(i, 0.3, 48.0, 10.0) };
    let layers: Vec<PatchLayer> = (0..60).map(over_walls).collect();
    let share = (0.6 - 0.19) / 0.81;
    let want = 80.0 * (share * 32.0 + (1.0 - share) * pressure) + 8.0 * 32.0;
    assert_relative_eq!(bending(&grid, &layers, 0.8).unwrap().bears.low, want, max_relative = 1e-9);
}

#[test]
fn a_skin_is_not_asked_where_it_cannot_bend() {
    let layers: Vec<PatchLayer> =
        (0..60).map(|i| if i >= 56 { layer(i, 1.0, 80.0, 0.0) } else { layer(i, 0.3, 15.2, 0.0) }).collect();
    // 56 % as a grid: lines 1.454 mm apart, crushed at 32 × 0.4816 = 15.4 MPa. A plate of 0.74 mm would bend at 15.1 MPa, but
    // between lines nearer than twice its thickness nothing bends; one of 0.72 mm is asked.
    assert!(bending(&core(0.56, true), &layers, 0.72).is_some());
    assert_eq!(bending(&core(0.56, true), &layers, 0.74), None);
    assert_eq!(bending(&core(0.2, true), &layers, 0.0), None);
    // Crossed lines touch over 4 % and are crushed at 1.28 MPa, before a strip of 0.8 mm bends at 5.56.
    assert_eq!(bending(&core(0.2, false), &layers, 0.8), None);
    // A thin skin bends first: 18 × (0.2 / 2.035)² / 0.5 = 0.348 MPa.
    let span = (0.45 - 0.2 * (1.0 - std::f64::consts::FRAC_PI_4)) / 0.2;
    let found = bending(&core(0.2, false), &layers, 0.2).unwrap();
    let share = (15.2 / 80.0 - 0.04) / 0.96;
    let want = 80.0 * (share * 32.0 + (1.0 - share) * 18.0 * (0.2 / span).powi(2) / 0.5);
    assert_relative_eq!(found.bears.low, want, max_relative = 1e-9);
    // Nor where all of a face is pressed.
    let measures = [core(0.2, true)];
    let all = pressed(&patch(), &layers, &measures, (Face::Top, true), Some(0.8), Mode::PressedFace, &round_numbers());
    assert_eq!(all.unwrap().capacities.len(), 1);
}

#[test]
fn a_side_is_carried_by_what_runs_in_behind_it() {
    let slab = |at_mm: f64, area_mm2: f64| {
        let moments = Moments { area_mm2, centroid: Point::new(5.0, 3.0), ..Moments::ZERO };
        let group = |kind, angle_deg, share| BeadGroup { kind, angle_deg, moments: moments.scaled(share) };
        Cut {
            at_mm,
            thickness_mm: 2.0,
            groups: vec![group(BeadKind::Wall, 0.0, 0.5), group(BeadKind::Sparse, 45.0, 0.5)],
            reach: Reach::of(&[Point::default(), Point::new(10.0, 6.0)], 0.0),
        }
    };
    let slabs = [slab(1.0, 40.0), slab(4.0, 20.0), slab(6.0, 32.0), slab(12.0, 10.0), slab(19.0, 36.0)];
    let side = |face, width| pressed_side(&slabs, face, width, 3.5, &round_numbers()).unwrap();
    // Within 5 mm of width less a slab's 2: up to 3 mm behind the edge. Walls count full, lines at 45° a quarter, 5/8, 1.
    let left = side(Face::Left, 5.0);
    assert_relative_eq!(left.bears.low, 32.0 * 20.0 * 0.625, max_relative = 1e-9);
    assert_relative_eq!(left.bears.likely, 48.0 * 20.0 * 0.8125, max_relative = 1e-9);
    assert_relative_eq!(left.bears.high, 48.0 * 20.0, max_relative = 1e-9);
    assert_eq!((left.place.at, left.place.z_mm), (Some(Point::new(4.0, 5.0)), Some(3.5)));
    assert_relative_eq!(side(Face::Left, 4.9).bears.low, 32.0 * 40.0 * 0.625, max_relative = 1e-9);
    assert_relative_eq!(side(Face::Left, 13.0).bears.low, 32.0 * 10.0 * 0.625, max_relative = 1e-9);
    // From the other side the last slab is the edge, and in y the place is told the other way round.
    assert_relative_eq!(side(Face::Right, 5.0).bears.low, 32.0 * 36.0 * 0.625, max_relative = 1e-9);
    assert_eq!(side(Face::Back, 5.0).place.at, Some(Point::new(5.0, 19.0)));
    assert_eq!(side(Face::Front, 1.0).place.at, Some(Point::new(5.0, 1.0)));
    assert!(pressed_side(&[], Face::Left, 5.0, 3.5, &round_numbers()).is_err());
}

#[test]
fn the_load_acts_at_the_middle_of_its_patch_or_of_all_of_the_face() {
    let ell = [(0.0, 0.0), (30.0, 0.0), (30.0, 6.0), (6.0, 6.0), (6.0, 30.0), (0.0, 30.0)];
    let section = Moments::of_ring(&ell.map(|(x, y)| Point::new(x, y)));
    let measures = [LayerMeasure { index: 59, section: Some(section), ..LayerMeasure::default() }];
    let middle = |whole: bool, measures: &[LayerMeasure]| {
        let asked = (Face::Top, whole);
        let found = pressed(&patch(), &block(), measures, asked, Some(0.8), Mode::PressedFace, &round_numbers());
        found.unwrap().middle
    };
    assert_eq!(middle(false, &measures), patch().centre);
    // Of the L 30 x 6 and 24 x 6 mm: (180 · 15 + 144 · 3) / 324 in x and (180 · 3 + 144 · 18) / 324 in y.
    assert!(middle(true, &measures).distance(Point::new(3132.0 / 324.0, 3132.0 / 324.0)) < 1e-9);
    assert_eq!(middle(true, &[]), patch().centre);
}
