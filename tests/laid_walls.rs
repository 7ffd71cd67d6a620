//! Parts laid with known settings, written as G-code without a comment, read again and measured: outline, walls,
//! core and gaps must come back. The truth is what was laid; each failure names the seed of its part.

#![allow(clippy::unwrap_used)]

use beadwise::deposit::{Layer, layers};
use beadwise::geom::{Point, Polygon, Segment};
use beadwise::profile::{Annotations, Machine, Role};
use beadwise::rebead::drawing::{circle, polygon, rectangle};
use beadwise::rebead::{
    Body, CoreFill, Dialect, Flaw, Laid, LaidLayer, Lie, Pattern, Seam, Settings, Turn, WallOrder, lay, slice, write,
};
use beadwise::shape::{LayerShape, UsualPitch, WallSample, measure_layer};
use std::sync::OnceLock;

/// A seeded draw (xorshift).
struct Draw(u64);

impl Draw {
    fn share(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    fn pick<T: Clone>(&mut self, of: &[T]) -> T {
        of[((self.share() * of.len() as f64) as usize).min(of.len() - 1)].clone()
    }
}

fn at(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// A plate with a hole, an angle, a plate with three holes, two bodies apart, or two tools side by side.
fn bodies(draw: &mut Draw, height_mm: f64) -> (Vec<Body>, Point) {
    let (a, b) = (draw.between(24.0, 45.0), draw.between(18.0, 30.0));
    let o = at(draw.between(40.0, 60.0), draw.between(40.0, 80.0));
    let block = rectangle(o, at(o.x + a, o.y + b));
    let solid = Body::new(0).add(0.0, height_mm, block);
    let hole = |x: f64, d: f64| circle(at(o.x + a * x, o.y + b * 0.5), d);
    let parts = match draw.pick(&[0, 1, 2, 3, 4]) {
        0 => vec![solid.cut(0.0, height_mm, hole(0.4, draw.between(2.0, 0.4 * b)))],
        1 => {
            let corners = [(a, 0.0), (a, 9.0), (11.0, 9.0), (11.0, b), (0.0, b), (0.0, 0.0)];
            let corners: Vec<(f64, f64)> = corners.iter().map(|&(x, y)| (o.x + x, o.y + y)).collect();
            vec![Body::new(0).add(0.0, height_mm, polygon(&corners))]
        }
        2 => vec![[0.2, 0.5, 0.8].iter().fold(solid, |body, &x| body.cut(0.0, height_mm, hole(x, 0.1 * a)))],
        3 => vec![solid.add(0.0, height_mm, circle(at(o.x + a + 15.0, o.y), draw.between(8.0, 14.0)))],
        _ => vec![solid, Body::new(1).add(0.0, height_mm, rectangle(at(o.x, o.y + b), at(o.x + a, o.y + b + 6.0)))],
    };
    (parts, at(o.x + 0.55 * a, o.y))
}

fn settings(draw: &mut Draw, seed: u64) -> Settings {
    let width = draw.between(0.35, 0.6);
    Settings {
        bead_width_mm: width,
        walls: draw.pick(&[1, 2, 3, 4]),
        bottom_skins: 2,
        top_skins: 2,
        core: CoreFill {
            pattern: draw.pick(&[Pattern::Straight, Pattern::Grid]),
            density: draw.pick(&[0.1, 0.2, 0.35, 0.5, 0.7, 1.0]),
            angle_deg: draw.pick(&[0.0, 30.0, 45.0]),
            ..CoreFill::default()
        },
        wall_order: draw.pick(&[WallOrder::InnerFirst, WallOrder::OuterFirst]),
        turn: draw.pick(&[Turn::CounterClockwise, Turn::Clockwise, Turn::HolesOther]),
        seam: Seam::Scattered(seed),
        loop_gap_mm: draw.pick(&[0.0, 0.1]) * width,
        skirt_loops: draw.pick(&[0, 2]),
        brim_loops: draw.pick(&[0, 4]),
        ..Settings::default()
    }
}

/// One part: what was laid, and its layers as read back with their shapes.
struct Made {
    seed: u64,
    laid: Laid,
    read: Vec<(Layer, LayerShape)>,
    gap_at: Option<Point>,
    flow: f64,
}

/// Layers with a gap in the walls, and with another flow, if the part has such flaws.
const GAPPED: std::ops::RangeInclusive<usize> = 4..=5;
const STARVED: std::ops::RangeInclusive<usize> = 6..=7;

fn make(seed: u64) -> Made {
    let mut draw = Draw(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    for _ in 0..4 {
        draw.share();
    }
    let mut settings = settings(&mut draw, seed);
    let height = draw.between(0.3, 0.55) * settings.bead_width_mm;
    let (bodies, spot) = bodies(&mut draw, 10.0 * height);
    let gap_at = (draw.share() < 0.3).then_some(spot);
    if let Some(at) = gap_at {
        settings.flaws.push(Flaw::WallGap { layers: GAPPED, at, size_mm: 3.0 });
    }
    let flow = if draw.share() < 0.3 && settings.walls > 1 { 0.65 } else { 1.0 };
    if flow < 1.0 {
        settings.flaws.push(Flaw::Flow { layers: STARVED, share: flow, by_override: false });
    }
    let laid = lay(&slice(&bodies, height, height), &settings);
    let machine = Machine::load("open-small").unwrap();
    let text = write(&laid, &Dialect::default(), &machine.limits);
    let (all, _) = layers(text.as_bytes(), &machine, &Annotations::none());
    let part: Vec<Layer> = all.into_iter().filter(|l| l.index.is_some()).collect();
    let mut usual = UsualPitch::default();
    part.iter().for_each(|layer| usual.push(layer));
    let shape = |layer: &Layer| measure_layer(layer, usual.pitch_mm());
    let read = part.into_iter().map(|layer| (layer.clone(), shape(&layer))).collect();
    Made { seed, laid, read, gap_at, flow }
}

/// Seeds 1 to 60, made once for all tests.
fn parts() -> &'static [Made] {
    static PARTS: OnceLock<Vec<Made>> = OnceLock::new();
    PARTS.get_or_init(|| (1..=60).map(make).collect())
}

fn each_layer(made: &Made) -> impl Iterator<Item = (&LaidLayer, &LayerShape)> {
    assert_eq!(made.read.len(), made.laid.layers.len(), "seed {}", made.seed);
    made.laid.layers.iter().zip(made.read.iter().map(|r| &r.1))
}

fn area(of: &[Polygon]) -> f64 {
    of.iter().map(Polygon::area_mm2).sum()
}

/// How far it is inwards from an edge to the next one, within 30 degrees of the normal.
fn room_mm(outline: &[Polygon], sample: &WallSample) -> f64 {
    let rings = outline.iter().flat_map(Polygon::rings);
    let edges: Vec<Segment> =
        rings.flat_map(|r| (0..r.len()).map(|i| Segment::new(r[i], r[(i + 1) % r.len()]))).collect();
    let off = |e: &&Segment| e.nearest(sample.at).0.distance(sample.at);
    let edge = edges.iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap();
    let inward = edge.direction().unwrap().left();
    let ways = (-4..=4).map(|k| (f64::from(k) * 0.13).sin_cos());
    let met = ways.flat_map(|(sin, cos)| {
        let way = at(inward.x * cos - inward.y * sin, inward.x * sin + inward.y * cos);
        edges.iter().filter_map(move |e| e.met_by_ray(sample.at + way * 0.2, way))
    });
    met.fold(f64::INFINITY, f64::min)
}

#[test]
fn settings_are_measured_back_from_motion_alone() {
    for made in parts() {
        let seed = made.seed;
        let width = made.laid.settings.bead_width_mm;
        for (laid, shape) in each_layer(made) {
            let place = format!("seed {seed} layer {}", laid.index);
            let (got, want) = (area(&shape.outline), area(&laid.outline));
            assert!((got / want - 1.0).abs() < 0.005, "{place}: outline {got} for {want}");
            let pitch = made.laid.settings.pitch_mm(laid.height_mm);
            let thickness = width + f64::from(laid.walls - 1) * pitch;
            let plain: Vec<&WallSample> = shape
                .walls
                .samples
                .iter()
                .filter(|s| !s.corner && !s.through && room_mm(&laid.outline, s) > 2.0 * thickness + 2.0 * width)
                .filter(|s| made.gap_at.is_none_or(|gap| s.at.distance(gap) > 4.0))
                .collect();
            assert!(!plain.is_empty(), "{place}: no sample");
            let wrong = plain.iter().filter(|s| s.count != laid.walls).count();
            assert!(wrong * 100 <= plain.len(), "{place}: {wrong} of {} points miscounted", plain.len());
            for sample in plain.iter().filter(|s| s.count == laid.walls) {
                assert!((sample.thickness_mm - thickness).abs() < 0.05, "{place}: {sample:?} for {thickness}");
            }
        }
    }
}

#[test]
fn the_density_of_a_core_is_measured_back() {
    let (mut right, mut all) = (0, 0);
    for made in parts() {
        let seed = made.seed;
        for (laid, shape) in each_layer(made).filter(|(laid, _)| laid.core_mm2 > 25.0) {
            let want = laid.core_density().unwrap();
            let got = shape.core.as_ref().and_then(|c| c.density).unwrap_or(f64::NAN);
            all += 1;
            right += usize::from((got - want).abs() < 0.02);
            assert!((got - want).abs() < 0.08, "seed {seed} layer {}: {got} for {want}", laid.index);
        }
    }
    assert!(all > 200 && right * 100 >= 98 * all, "{right} of {all} within two points");
}

#[test]
fn gaps_are_found_where_they_are_and_nowhere_else() {
    let mut found = 0;
    for made in parts() {
        let seed = made.seed;
        for (laid, shape) in each_layer(made) {
            let gap = made.gap_at.filter(|_| GAPPED.contains(&laid.index));
            let place = format!("seed {seed} layer {}: {:?}", laid.index, shape.gaps);
            assert_eq!(shape.gaps.is_empty(), gap.is_none(), "{place}");
            if let Some(at) = gap {
                found += 1;
                let outer = shape.gaps.iter().find(|g| g.outer).unwrap_or_else(|| panic!("{place}"));
                assert!(outer.at.distance(at) < 1.0, "{place} for {at:?}");
                assert!((outer.length_mm - 3.0).abs() < 0.5, "{place}");
            }
        }
    }
    assert!(found > 10);
}

#[test]
fn starved_layers_are_told_from_sound_ones() {
    let mut starved = 0;
    for made in parts() {
        let seed = made.seed;
        for (laid, shape) in each_layer(made) {
            let want = if STARVED.contains(&laid.index) { made.flow } else { 1.0 };
            if let Some(ratio) = shape.flow_ratio {
                starved += usize::from(want < 1.0);
                assert!((ratio - want).abs() < 0.04, "seed {seed} layer {}: {ratio} for {want}", laid.index);
            }
        }
    }
    assert!(starved > 10);
}

#[test]
fn roles_are_known_without_words() {
    for made in parts() {
        let seed = made.seed;
        let all: f64 = made.read.iter().map(|(layer, _)| layer.volume_mm3()).sum();
        let got = |of: &[Role]| -> f64 {
            let strands = made.read.iter().flat_map(|(l, s)| l.strands.iter().zip(&s.roles).map(move |x| (l, x)));
            let taken = strands.filter(|(_, (_, role))| of.contains(role));
            taken.flat_map(|(l, (strand, _))| l.strand_beads(strand)).map(|b| b.volume_mm3()).sum()
        };
        let want = |of: &[Role]| of.iter().map(|r| made.laid.volume_of_mm3(*r)).sum::<f64>();
        let groups: [&[Role]; 4] = [
            &[Role::OuterWall, Role::InnerWall, Role::GapFill],
            &[Role::SparseInfill],
            &[Role::SolidInfill, Role::Bridge],
            &[Role::Adhesion],
        ];
        for group in groups {
            let (got, want) = (got(group) / all, want(group) / all);
            assert!((got - want).abs() < 0.03, "seed {seed} {group:?}: {got} for {want}");
        }
    }
}

/// Layers of a plate with a core of loops, as laid and as measured back.
fn core_of_loops(walls: u32, density: f64, lie: Lie) -> Vec<(LaidLayer, LayerShape)> {
    let body = Body::new(0).add(0.0, 1.6, rectangle(at(40.0, 40.0), at(65.0, 63.0)));
    let core = CoreFill { pattern: Pattern::Concentric, density, lie, ..CoreFill::default() };
    let settings = Settings { bead_width_mm: 0.45, walls, bottom_skins: 2, top_skins: 2, core, ..Settings::default() };
    let laid = lay(&slice(&[body], 0.2, 0.2), &settings);
    let machine = Machine::load("open-small").unwrap();
    let text = write(&laid, &Dialect::default(), &machine.limits);
    let (read, _) = layers(text.as_bytes(), &machine, &Annotations::none());
    let mut usual = UsualPitch::default();
    read.iter().for_each(|layer| usual.push(layer));
    let shapes = read.iter().filter(|l| l.index.is_some()).map(|l| measure_layer(l, usual.pitch_mm()));
    laid.layers.iter().cloned().zip(shapes).collect()
}

#[test]
fn a_core_of_loops_is_no_hole() {
    for walls in 1..=4 {
        for density in [0.15, 0.25, 0.4, 0.6] {
            for lie in [Lie::Aligned, Lie::Crossed] {
                for (laid, shape) in core_of_loops(walls, density, lie) {
                    let place = format!("{walls} walls, {density} {lie:?}, layer {}", laid.index);
                    let (got, want) = (area(&shape.outline), area(&laid.outline));
                    assert!((got / want - 1.0).abs() < 0.005, "{place}: outline {got} for {want}");
                }
            }
        }
    }
}
