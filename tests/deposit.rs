//! Layers of parts laid by the project's own writer, in many manners and dialects, against what was laid.
//!
//! Every case is read without its comments as well: layers and the part's volume must come from motion alone.

use beadwise::deposit::{Layer, LayerKind, layers};
use beadwise::geom::Point;
use beadwise::profile::{Annotations, Limits, Machine, Role};
use beadwise::rebead::drawing::{circle, polygon, rectangle};
use beadwise::rebead::{
    Body, CoreFill, Dialect, Flaw, Laid, Pattern, Retraction, Seam, Settings, Turn, WallOrder, Words, lay, slice,
    slice_at, write,
};

/// A stepped block with a bore, a slot beside it and a boss: no symmetry.
fn bracket() -> Vec<Body> {
    let plate = polygon(&[(80.0, 70.0), (118.0, 70.0), (118.0, 92.0), (104.0, 98.0), (80.0, 98.0)]);
    let body = Body::new(0)
        .add(0.0, 3.0, plate)
        .add(3.0, 6.0, rectangle(Point::new(82.0, 72.0), Point::new(98.0, 96.0)))
        .cut(0.0, 6.0, circle(Point::new(90.0, 82.0), 8.0))
        .cut(0.0, 3.0, rectangle(Point::new(106.0, 75.0), Point::new(112.0, 84.0)));
    vec![body]
}

fn cup() -> Vec<Body> {
    vec![Body::new(0).add(0.0, 5.0, polygon(&[(60.0, 60.0), (92.0, 60.0), (92.0, 81.0), (71.0, 90.0)]))]
}

fn laid(bodies: &[Body], settings: &Settings) -> Laid {
    lay(&slice(bodies, 0.2, 0.2), settings)
}

fn read(text: &str) -> (Vec<Layer>, beadwise::deposit::Totals) {
    let machine: Machine = toml::from_str("name = 'bench'\nbed_mm = [250, 250]").expect("a machine");
    layers(text.as_bytes(), &machine, &Annotations::built_in())
}

fn volume(layer: &Layer, role: impl Fn(Role) -> bool) -> f64 {
    let strands = layer.strands.iter().filter(|s| role(s.role));
    strands.flat_map(|s| layer.strand_beads(s)).map(beadwise::deposit::Bead::volume_mm3).sum()
}

/// Holds what is read against what was laid; `z_slack_mm` is for rippled layers.
fn check(name: &str, laid: &Laid, dialect: &Dialect, z_slack_mm: f64) {
    for words in [Words::Silent, dialect.words] {
        let dialect = Dialect { words, layer_comments: words != Words::Silent, ..dialect.clone() };
        let (layers, totals) = read(&write(laid, &dialect, &Limits::default()));
        let all: f64 = layers.iter().map(Layer::volume_mm3).sum();
        assert!((all - totals.bead_mm3()).abs() < 1e-9 * all, "{name}: {all} of {}", totals.bead_mm3());
        let part: Vec<&Layer> = layers.iter().filter(|l| l.kind == LayerKind::Part).collect();
        assert_eq!(part.len(), laid.layers.len(), "{name}: count of layers");
        for (got, want) in part.iter().zip(&laid.layers) {
            let place = format!("{name}, {words:?}, layer {}", want.index);
            assert_eq!(got.index, Some(want.index), "{place}");
            assert!((got.z_mm - want.z_mm).abs() <= z_slack_mm, "{place}: z {} for {}", got.z_mm, want.z_mm);
            assert!((got.height_mm - want.height_mm).abs() <= z_slack_mm, "{place}: {} thick", got.height_mm);
            let (mine, true_mm3) = (volume(got, Role::is_part), want.part_mm3());
            assert!((mine - true_mm3).abs() < 2e-3 * true_mm3, "{place}: {mine} mm3 for {true_mm3}");
        }
        let adhesion: f64 = part.iter().map(|l| volume(l, |r| r == Role::Adhesion)).sum();
        let want = laid.volume_of_mm3(Role::Adhesion);
        assert!(
            (adhesion - want).abs() < 2e-3 * want.max(1.0),
            "{name}, {words:?}: {adhesion} mm3 of skirt and brim for {want}"
        );
        let purge: f64 = layers.iter().map(|l| volume(l, |r| r == Role::Purge)).sum();
        let want = laid.volume_of_mm3(Role::Purge);
        assert!((purge - want).abs() < 2e-3 * want.max(1.0), "{name}, {words:?}: {purge} mm3 of purge for {want}");
        let times: f64 = layers.iter().map(|l| l.time_s).sum();
        assert!((times + totals.before_first_s + totals.after_last_s - totals.time_s).abs() < 1e-6, "{name}: time");
    }
}

fn plain() -> Settings {
    Settings::default()
}

const EXACT: f64 = 1e-3;

#[test]
fn bottoms() {
    let hop = Retraction { hop_mm: 0.4, ..plain().retraction };
    let cases = [
        ("bare", plain()),
        ("skirt", Settings { skirt_loops: 2, ..plain() }),
        ("skirt near", Settings { skirt_loops: 1, skirt_gap_mm: 1.2, ..plain() }),
        ("brim", Settings { brim_loops: 6, ..plain() }),
        ("one brim loop", Settings { brim_loops: 1, ..plain() }),
        ("purge line", Settings { purge_line: true, ..plain() }),
        ("all of them", Settings { purge_line: true, skirt_loops: 3, brim_loops: 4, retraction: hop, ..plain() }),
    ];
    for (name, settings) in cases {
        check(name, &laid(&bracket(), &settings), &Dialect { words: Words::Plain, ..Dialect::default() }, EXACT);
    }
}

#[test]
fn manners_of_laying() {
    let core = |pattern, density, joined| CoreFill { pattern, density, joined, ..CoreFill::default() };
    let cases = [
        ("outer first", Settings { wall_order: WallOrder::OuterFirst, turn: Turn::HolesOther, ..plain() }),
        ("clockwise, scattered", Settings { turn: Turn::Clockwise, seam: Seam::Scattered(5), ..plain() }),
        ("stopped short", Settings { loop_gap_mm: 0.2, seam: Seam::Scattered(9), ..plain() }),
        ("grid", Settings { core: core(Pattern::Grid, 0.3, false), walls: 2, ..plain() }),
        ("joined", Settings { core: core(Pattern::Straight, 0.4, true), walls: 1, ..plain() }),
        ("concentric", Settings { core: core(Pattern::Concentric, 0.5, false), brim_loops: 3, ..plain() }),
        ("triangles", Settings { core: core(Pattern::Triangles, 0.15, true), skirt_loops: 1, ..plain() }),
        ("waves", Settings { core: core(Pattern::Wavy, 0.2, false), bead_width_mm: 0.7, ..plain() }),
        ("starved", Settings { flaws: vec![Flaw::Flow { layers: 8..=12, share: 0.5, by_override: true }], ..plain() }),
        ("no skins", Settings { bottom_skins: 0, top_skins: 0, brim_loops: 2, ..plain() }),
    ];
    for (name, settings) in cases {
        check(name, &laid(&bracket(), &settings), &Dialect { words: Words::Other, ..Dialect::default() }, EXACT);
    }
}

#[test]
fn dialects() {
    let base = Dialect { words: Words::Plain, ..Dialect::default() };
    let settings = Settings { purge_line: true, skirt_loops: 1, brim_loops: 2, ..plain() };
    let hop = Retraction { hop_mm: 0.3, ..plain().retraction };
    let part = laid(&bracket(), &settings);
    let hopping = laid(&bracket(), &Settings { retraction: hop, ..settings });
    let cases = [
        ("relative", Dialect { relative_xyz: true, relative_e: true, ..base.clone() }),
        ("inches", Dialect { inches: true, ..base.clone() }),
        ("inches, relative", Dialect { inches: true, relative_xyz: true, relative_e: true, ..base.clone() }),
        ("volumetric, numbered", Dialect { volumetric: true, numbered: true, crlf: true, ..base.clone() }),
        ("firmware", Dialect { firmware_retraction: true, lower_case: true, compact: true, ..base.clone() }),
        ("travel with G1", Dialect { travel_g1: true, all_words: true, retract_on_travel: true, ..base.clone() }),
        ("arcs", Dialect { arcs: true, reset_e: true, trimmed: true, ..base.clone() }),
        ("overrides", Dialect { flow_percent: Some(92.0), speed_percent: Some(70.0), ..base.clone() }),
        ("stops", Dialect { stops: vec![(7, "M0".to_owned())], dwell: Some((2, 500)), ..base.clone() }),
        ("false words", Dialect { words: Words::False, parentheses: true, trailing: true, ..base.clone() }),
    ];
    for (name, dialect) in cases {
        check(name, &part, &dialect, EXACT);
        check(&format!("{name}, hopping"), &hopping, &dialect, EXACT);
    }
}

#[test]
fn rippled_layers_are_one_each() {
    for ripple_mm in [0.02, 0.03, 0.045] {
        let settings = Settings { purge_line: true, skirt_loops: 2, ..plain() };
        let dialect = Dialect { ripple_mm, words: Words::Plain, ..Dialect::default() };
        check("ripple", &laid(&bracket(), &settings), &dialect, 0.035);
    }
}

#[test]
fn a_spiral_has_a_layer_a_lap() {
    for (bottom_skins, brim_loops) in [(0, 0), (3, 0), (4, 4)] {
        let settings = Settings { spiral: true, walls: 2, bottom_skins, brim_loops, ..plain() };
        let dialect = Dialect { words: Words::Plain, ..Dialect::default() };
        check("spiral", &laid(&cup(), &settings), &dialect, 0.011);
    }
}

#[test]
fn uneven_heights() {
    let heights = [0.3, 0.2, 0.2, 0.25, 0.3, 0.3, 0.15, 0.1, 0.06, 0.06, 0.1, 0.2, 0.2, 0.3, 0.3, 0.12, 0.2];
    let part = lay(&slice_at(&bracket(), &heights), &plain());
    check("uneven", &part, &Dialect { words: Words::Plain, ..Dialect::default() }, EXACT);
}
