//! Cores as unit cells: how much of a core rests on the core below.
//!
//! Two independent families of lines both cover a point with the chance d², and one of two families of d/2 each does with
//! d - d²/4 (plane geometry). The patch is a whole number of cells wide, so that its rim counts evenly.

use crate::specimen::{CORNER, aligned, bar, isotropic, pitch_mm, print, settings};
use approx::assert_relative_eq;
use beadwise::geom::Point;
use beadwise::measure::{Probe, Probed, measure_probes};
use beadwise::rebead::drawing::hexagon;
use beadwise::rebead::{Body, Settings};
use beadwise::shape::{Patch, PatchShape};
use beadwise::strength::Mode;
use beadwise::strength::law::{aligned_bond_share, crossed_bond_share};

/// Bond share of the core of a block in its middle layers, over a patch of `cells` cells of `cell_mm` in x and y.
fn share(laid: &Settings, cells: f64, cell_mm: f64) -> f64 {
    let specimen = print(&[bar(50.0, 50.0, 3.0)], laid, 0.2, isotropic(40.0, 2000.0));
    let side = cells * cell_mm;
    let patch = Patch { shape: PatchShape::Box { x_mm: side, y_mm: side }, centre: CORNER + Point::new(25.0, 25.0) };
    let found = measure_probes(specimen.gcode.as_bytes(), &specimen.setup, &[Probe::Plan(patch)]);
    let Some(Probed::Plan(layers)) = found.unwrap_or_else(|e| panic!("{e}")).pop() else { panic!("no layers") };
    // Two layers of skin at each end: the seventh rests core on core.
    layers[7].bond_mm2[0] / patch.area_mm2()
}

#[test]
fn a_crossed_core_bonds_over_density_squared() {
    for density in [0.15, 0.4] {
        let cell = std::f64::consts::SQRT_2 * pitch_mm(0.45, 0.2) / density;
        let found = share(&settings(0.45, 2, 2, density), (30.0 / cell).floor(), cell);
        assert_relative_eq!(found, crossed_bond_share(density), max_relative = 0.02);
    }
}

#[test]
fn an_aligned_core_bonds_over_density_less_its_crossings() {
    for density in [0.15, 0.4] {
        // Two families, each with lines twice as far apart.
        let cell = 2.0 * std::f64::consts::SQRT_2 * pitch_mm(0.45, 0.2) / density;
        let found = share(&aligned(settings(0.45, 2, 2, density)), (30.0 / cell).floor(), cell);
        assert_relative_eq!(found, aligned_bond_share(density), max_relative = 0.02);
    }
}

#[test]
fn at_15_percent_an_aligned_core_bonds_seven_times_as_well() {
    assert_relative_eq!(aligned_bond_share(0.15) / crossed_bond_share(0.15), 6.4, max_relative = 0.02);
}

#[test]
fn a_pocket_does_not_hide_that_a_thin_skin_bends_between_wide_cells() {
    // The roof of the pocket bonds as little as the layers below it, and its core stands on air: which of them comes out
    // the weakest is a matter of a hair, what the skin over the core bears is not.
    let laid = aligned(settings(0.45, 3, 4, 0.15));
    let middle = CORNER + Point::new(12.0, 11.0);
    let bears = |body: Body, case: &str| {
        let result = print(&[body], &laid, 0.2, isotropic(40.0, 2000.0)).judge(case, 1.0);
        result.capacities.iter().find(|c| c.mode == Mode::SkinBending).map(|c| c.bears.low)
    };
    let disc = "press; force = 1 kN; face = top; disc = 12";
    let sound = bears(bar(24.0, 22.0, 12.0), disc).expect("skins bend over wide cells");
    for across_mm in [8.0, 10.0, 12.0] {
        let body = bar(24.0, 22.0, 12.0).cut(4.0, 9.4, hexagon(middle, across_mm));
        let found = bears(body, disc).unwrap_or_else(|| panic!("a pocket of {across_mm} mm hides it"));
        assert_relative_eq!(found, sound, max_relative = 0.02);
    }
    // A flat plate over all of the face bears on the lines through the skin.
    assert_eq!(bears(bar(24.0, 22.0, 12.0), "press; force = 1 kN; face = top"), None);
}
