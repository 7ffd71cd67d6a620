//! Published print tests, on specimens laid with their settings.
//!
//! What was calibrated on what: the half-way law ("likely") of a sparse core was chosen, out of eight, on the first two
//! tables below; its errors there are errors of a fit. The skins of the second table are not published and were fitted
//! too (0.3 mm). The low law (core by |cos|³), which verdicts use, was not fitted to them, but one constant beneath it
//! was chosen after the first table was seen: fill closer than 88 % still counts as core (`FUSED_DENSITY` in
//! `measure`), so the rank of its 80 % rows rests partly on that choice.

use crate::specimen::{aligned, bar, isotropic, print, rank_correlation, settings};
use beadwise::strength::Mode;

/// Tensile strength of a bar in MPa over its drawn section: low, likely, high; all bead strengths alike.
fn tension(x: f64, width: f64, thick: f64, laid: &beadwise::rebead::Settings, height: f64) -> [f64; 3] {
    let specimen = print(&[bar(x, width, thick)], laid, height, isotropic(50.0, 2000.0));
    let result = specimen.judge("pull; force = 100; axis = x", 1.0);
    let bears = result.governing().expect("a capacity").bears;
    [bears.low, bears.likely, bears.high].map(|n| n / (width * thick))
}

/// The same in bending on two supports.
fn flexure(x: f64, width: f64, thick: f64, laid: &beadwise::rebead::Settings, height: f64) -> [f64; 3] {
    let specimen = print(&[bar(x, width, thick)], laid, height, isotropic(50.0, 2000.0));
    let result = specimen.judge("bend; force = 100; axis = x; direction = z; held = both-ends; span = 35 x 67", 1.0);
    let bending = result.capacities.iter().find(|c| c.mode == Mode::Bending).expect("bending");
    [bending.bears.low, bending.bears.likely, bending.bears.high]
}

/// Mean strength over three bed temperatures, MPa, walls 2, 3, 4 by infill 40, 60, 80 %: grid evaluated from the
/// regressions of Ramadan and Abu-Shams, Materials Science in Additive Manufacturing 5(1), DOI 10.36922/MSAM025290065
/// (CC BY 4.0, authors' own repository).
const WALLS_BY_INFILL: [(f64, [f64; 9]); 3] = [
    (0.15, [36.222, 38.868, 40.312, 40.996, 43.503, 44.807, 43.965, 46.333, 47.499]),
    (0.175, [37.546, 39.890, 41.033, 42.097, 44.302, 45.306, 44.843, 46.910, 47.775]),
    (0.25, [41.671, 43.113, 43.352, 45.554, 46.856, 46.956, 47.632, 48.796, 48.757]),
];

/// The specimen is not stated in what could be read. Assumed from the masses: a neck 5 mm wide, 3 mm thick, five solid
/// layers at top and bottom, beads of 0.45 mm, core lines crossing from layer to layer.
#[test]
fn walls_and_infill_rank_as_published() {
    for (height, published) in WALLS_BY_INFILL {
        let mut rows: Vec<[f64; 3]> = Vec::new();
        for walls in [2, 3, 4] {
            for infill in [0.4, 0.6, 0.8] {
                rows.push(tension(30.0, 5.0, 3.0, &settings(0.45, walls, 5, infill), height));
            }
        }
        let by = |law: usize| rows.iter().map(|r| r[law]).collect::<Vec<f64>>();
        let rank = |law: usize| rank_correlation(&by(law), &published);
        assert!(rank(0) >= 0.95, "{height}: low ranks {} {:?}", rank(0), by(0));
        assert!(rank(2) < 0.95, "{height}: a plain volume share must fail this test, but ranks {}", rank(2));
        // From 2 to 3 walls at 40 % gains more than from 40 to 80 % at 2 walls, as published (1.17, 1.30, 2.31 times).
        let low = by(0);
        let (wall, fill) = (low[3] - low[0], low[2] - low[0]);
        assert!(wall > fill, "{height}: a wall gains {wall}, infill {fill}");
    }
}

/// Ratios to solid at 50 and 75 % infill: means over 27 runs of Ozkul, Kuncan and Ulkir, J. Appl. Polym. Sci. 142 (2025)
/// e56899, table 3: tension 0.670 and 0.810, flexure 0.73 and 0.86. Seven walls of 0.40 mm beads, grid; bar 13 x 3.2 mm.
/// The skins are not published: 0.3 mm was fitted, so this is a check of the code, not of the model.
#[test]
fn infill_ratios_lie_in_the_bracket() {
    let laid = |density| aligned(settings(0.40, 7, 3, density));
    let solid = settings(0.40, 7, 500, 1.0);
    let (pull, bend) = (tension(40.0, 13.0, 3.2, &solid, 0.1), flexure(40.0, 13.0, 3.2, &solid, 0.1));
    for (density, in_tension, in_flexure) in [(0.5, 0.670, 0.73), (0.75, 0.810, 0.86)] {
        let ratios = |part: [f64; 3], whole: [f64; 3]| [0, 1, 2].map(|i| part[i] / whole[i]);
        let pulled = ratios(tension(40.0, 13.0, 3.2, &laid(density), 0.1), pull);
        let bent = ratios(flexure(40.0, 13.0, 3.2, &laid(density), 0.1), bend);
        for (ratio, published) in [(pulled, in_tension), (bent, in_flexure)] {
            assert!(ratio[0] <= published && published <= ratio[2], "{density}: {published} outside of {ratio:?}");
            assert!((ratio[1] / published - 1.0).abs() < 0.10, "{density}: likely {} for {published}", ratio[1]);
        }
    }
}

/// Homrani et al. (2024; only the abstract could be read, levels unknown): strength depends most on skins, then walls,
/// then infill. Main effects on a 10 x 4 mm bar with counts 2 to 4 and infill 20 to 60 %, in the low estimate. The likely
/// estimate puts infill before walls there.
#[test]
fn skins_before_walls_before_infill() {
    let strength =
        |walls: u32, skins: u32, infill: f64| tension(30.0, 10.0, 4.0, &settings(0.45, walls, skins, infill), 0.2)[0];
    let mut effects = [0.0; 3];
    for (few, low) in [(2, 0.2), (2, 0.6), (4, 0.2), (4, 0.6)] {
        effects[0] += strength(few, 4, low) - strength(few, 2, low);
        effects[1] += strength(4, few, low) - strength(2, few, low);
    }
    for (walls, skins) in [(2, 2), (2, 4), (4, 2), (4, 4)] {
        effects[2] += strength(walls, skins, 0.6) - strength(walls, skins, 0.2);
    }
    let [skins, walls, infill] = effects;
    assert!(skins > walls && walls > infill, "skins {skins}, walls {walls}, infill {infill}");
}

/// PLA across the layers 0.52 of the filament (22.8 of 43.7 MPa, DOI 10.1089/3dp.2020.0109): flat share of the bond
/// (w - h) / s = 0.61 at h 0.2, w 0.45, times interface strength 33.75 / 43.7 = 0.77. All three numbers stand here.
#[test]
fn the_ratio_across_layers_is_flat_share_times_interface() {
    let (w, h) = (0.45, 0.2);
    let flat = (w - h) / crate::specimen::pitch_mm(w, h);
    approx::assert_relative_eq!(flat, 0.61, max_relative = 0.01);
    let interface = 33.75 / 43.7;
    approx::assert_relative_eq!(interface, 0.77, max_relative = 0.01);
    approx::assert_relative_eq!(flat * interface, 22.8 / 43.7, max_relative = 0.10);
}
