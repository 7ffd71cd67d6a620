//! Several bodies: two tools against each other, specks of a square millimetre, a foot of one wall.

use super::Hard;
use crate::case::{self, Case};
use crate::draw::Draw;
use beadwise::geom::{Point, offset};
use beadwise::profile::Role;
use beadwise::rebead::drawing::{circle, hexagon, rectangle};
use beadwise::rebead::{Body, Dialect, Laid, LaidStrand, Settings, lay, slice};

fn at(x: f64, y: f64) -> Point {
    Point::new(85.0 + x, 95.0 + y)
}

fn two_tools(draw: &mut Draw) -> (Settings, f64, Vec<Body>) {
    let drawn = case::settings(draw);
    let settings = Settings { walls: draw.whole(1, 4), filament_mm: vec![1.75, 1.75], brim_loops: 0, ..drawn };
    let height = draw.one_of(&[0.16, 0.2, 0.25]);
    let web = 2.0 * f64::from(settings.walls) * settings.pitch_mm(height);
    let (jaw, liner) = (web + draw.between(6.0, 14.0), web + draw.between(2.0, 5.0));
    let (long, top) = (draw.between(24.0, 36.0), 14.0 * height);
    let hard = Body::new(0).add(0.0, top, rectangle(at(0.0, 0.0), at(long, jaw)));
    let soft = Body::new(1).add(0.0, top, rectangle(at(0.0, jaw), at(long, jaw + liner)));
    (settings, height, vec![hard, soft])
}

/// A hard body and a soft liner against it.
pub fn liner(seed: u64) -> Hard {
    let mut draw = Draw::new(seed ^ 0x11e4);
    let (settings, height, bodies) = two_tools(&mut draw);
    let slices = slice(&bodies, height, height);
    let case = Case::laid("jaw and liner", settings, dialect(&mut draw), &slices, &[]);
    primed(case)
}

/// The same beside a tower on which each tool is cleaned in every layer, turned or not, and a line for each on the bed.
pub fn tower(seed: u64) -> Hard {
    let mut draw = Draw::new(seed ^ 0x70_3e4);
    let (settings, height, bodies) = two_tools(&mut draw);
    let slices = slice(&bodies, height, height);
    let dialect = dialect(&mut draw);
    let mut laid = lay(&slices, &settings);
    let (low, size) = (at(-24.0, 5.0), draw.between(9.0, 14.0));
    let turned_rad = if draw.yes(0.5) { draw.between(-0.5, 0.5) } else { 0.0 };
    add_tower(&mut laid, &settings, height, low, size, turned_rad);
    primed(Case::of_laid("jaw and liner, tower", settings, dialect, laid, &slices, &[]))
}

/// Without what is set for one tool at a time, and is written here for the first one only.
fn dialect(draw: &mut Draw) -> Dialect {
    Dialect { flow_percent: None, volumetric: false, ..case::dialect(draw) }
}

fn primed(case: Case) -> Hard {
    let filament_mm = if case.dialect.firmware_retraction { 0.0 } else { case.settings.retraction.length_mm };
    let primed_mm3 = filament_mm * case.settings.filament_area_mm2(1);
    Hard { primed_mm3, ..Hard::new(case) }
}

fn add_tower(laid: &mut Laid, settings: &Settings, height: f64, low: Point, size: f64, turned_rad: f64) {
    let area = settings.bead_area_mm2(height);
    let (sin, cos) = turned_rad.sin_cos();
    let turned = |p: &Point| low + Point::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos);
    let strand = |tool: u16, points: Vec<Point>| LaidStrand {
        role: Role::Purge,
        tool,
        areas_mm2: vec![area; points.len() - 1],
        closed: points.first() == points.last(),
        points: points.iter().map(turned).collect(),
        climbs: false,
        speed_mm_s: 50.0,
        flow: 1.0,
    };
    let half = 0.5 * size;
    for layer in &mut laid.layers {
        let mut tower = Vec::new();
        for tool in [0_u16, 1] {
            // Each tool has its half, and begins there.
            let y = f64::from(tool) * half;
            let ring = rectangle(Point::new(0.0, y), Point::new(size, y + half - settings.bead_width_mm));
            let mut ring = ring.outer;
            ring.push(ring[0]);
            tower.push(strand(tool, ring));
            let rows = (half / 1.2) as usize;
            let row = |k: usize| y + 0.4 + (half - 1.2) * k as f64 / rows as f64;
            let ends = (0..=rows).flat_map(|k| {
                let (a, b) = (Point::new(0.4, row(k)), Point::new(size - 0.4, row(k)));
                if k % 2 == 0 { [a, b] } else { [b, a] }
            });
            tower.push(strand(tool, ends.collect()));
        }
        layer.strands.splice(0..0, tower);
    }
}

/// Pins of one or two square millimetres beside a block.
pub fn specks(seed: u64) -> Hard {
    let mut draw = Draw::new(seed ^ 0x5_9ec);
    let drawn = case::settings(&mut draw);
    let settings = Settings { walls: draw.whole(1, 3), brim_loops: 0, skirt_loops: 0, ..drawn };
    let height = draw.one_of(&[0.16, 0.2, 0.25]);
    let top = 12.0 * height;
    let mut body = Body::new(0).add(0.0, top, rectangle(at(0.0, 0.0), at(20.0, 14.0)));
    for number in 0..draw.whole(1, 4) {
        let centre = at(4.0 + 4.0 * f64::from(number), 20.0);
        let size = f64::max(draw.between(1.15, 1.6), 2.0 * settings.bead_width_mm + 0.05);
        body = body.add(0.0, top, if draw.yes(0.5) { circle(centre, size) } else { hexagon(centre, size) });
    }
    let slices = slice(&[body], height, height);
    let case = Case::laid("block and pins", settings, case::dialect(&mut draw), &slices, &[]);
    Hard { even_walls: false, ..Hard::new(case) }
}

/// A foot as wide as a wall or two, in the first layers.
pub fn foot(seed: u64) -> Hard {
    let mut draw = Draw::new(seed ^ 0xf007);
    let drawn = case::settings(&mut draw);
    let settings = Settings { walls: draw.whole(1, 4), brim_loops: 0, ..drawn };
    let height = draw.one_of(&[0.16, 0.2, 0.25]);
    let top = 14.0 * height;
    let high = draw.whole(1, 6);
    let by = f64::from(draw.whole(1, 2)) * settings.pitch_mm(height);
    let size = (draw.between(16.0, 30.0), draw.between(14.0, 24.0));
    let upper = match draw.whole(0, 1) {
        0 => rectangle(at(0.0, 0.0), at(size.0, size.1)),
        _ => circle(at(12.0, 12.0), size.0),
    };
    let lower = offset(std::slice::from_ref(&upper), by);
    let foot = f64::from(high) * height;
    let body = lower.into_iter().fold(Body::new(0).add(0.0, top, upper), |body, outline| body.add(0.0, foot, outline));
    let slices = slice(&[body], height, height);
    let case = Case::laid("foot", settings, case::dialect(&mut draw), &slices, &[]);
    Hard::new(case)
}
