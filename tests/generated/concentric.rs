//! Cores whose lines follow the walls: every shape with every number of walls, density and lie.

use crate::case::Case;
use beadwise::geom::{Point, Polygon, difference};
use beadwise::profile::Role;
use beadwise::rebead::drawing::{circle, polygon, rectangle};
use beadwise::rebead::{Body, CoreFill, Dialect, Lie, Pattern, Settings, Truth, lay, slice};

const SHAPES: [&str; 6] = ["block", "disc", "angle", "channel", "ring", "plate"];
const DENSITIES: [f64; 5] = [0.15, 0.2, 0.3, 0.4, 0.6];

/// How many there are.
pub const COUNT: u64 = (SHAPES.len() * 4 * DENSITIES.len() * 2) as u64;

/// One of them by its number.
pub fn case(number: u64) -> Case {
    let mut left = number as usize;
    let mut one_of = |count: usize| {
        let at = left % count;
        left /= count;
        at
    };
    let shape = SHAPES[one_of(SHAPES.len())];
    let walls = one_of(4) as u32 + 1;
    let density = DENSITIES[one_of(DENSITIES.len())];
    let lie = [Lie::Aligned, Lie::Crossed][one_of(2)];
    let core = CoreFill { pattern: Pattern::Concentric, density, lie, ..CoreFill::default() };
    let settings = Settings { walls, core, bottom_skins: 1, top_skins: 1, ..Settings::default() };
    let web = 2.0 * f64::from(walls) * settings.pitch_mm(0.2) + 7.3;
    let outline = outline(shape, web);
    let body = outline.into_iter().fold(Body::new(0), |body, polygon| body.add(0.0, 1.2, polygon));
    Case::laid(shape, settings, Dialect::default(), &slice(&[body], 0.2, 0.2), &[])
}

/// How many parts have loops as near to each other as walls are.
pub const CLOSE_COUNT: u64 = (SHAPES.len() * 4 * CLOSE.len()) as u64;

/// Skins of loops over a core of lines, and cores of loops between skins of lines: half full, the first loop where a
/// further wall would lie, and nearly full.
const CLOSE: [(f64, Pattern); 4] =
    [(0.25, Pattern::Straight), (0.4, Pattern::Grid), (0.5, Pattern::Concentric), (0.9, Pattern::Concentric)];

/// One of them by its number.
pub fn close_case(number: u64) -> Case {
    let number = number as usize;
    let shape = SHAPES[number % SHAPES.len()];
    let walls = (number / SHAPES.len() % 4) as u32 + 1;
    let (density, pattern) = CLOSE[number / SHAPES.len() / 4 % CLOSE.len()];
    let core = CoreFill { pattern, density, ..CoreFill::default() };
    let settings = Settings { walls, core, bottom_skins: 2, top_skins: 2, ..Settings::default() };
    let web = 2.0 * f64::from(walls) * settings.pitch_mm(0.2) + 7.3;
    let body = outline(shape, web).into_iter().fold(Body::new(0), |body, polygon| body.add(0.0, 2.0, polygon));
    let slices = slice(&[body], 0.2, 0.2);
    let mut case = Case::laid(shape, settings.clone(), Dialect::default(), &slices, &[]);
    if pattern != Pattern::Concentric {
        let loops = CoreFill { pattern: Pattern::Concentric, density: 0.99, lie: Lie::Aligned, ..core };
        let looped = lay(&slices, &Settings { core: loops, bottom_skins: 0, top_skins: 0, ..settings });
        for skin in [0, 1, 8, 9] {
            let mut layer = looped.layers[skin].clone();
            (layer.solid_mm2, layer.core_mm2) = (layer.core_mm2, 0.0);
            let fill = |role| if role == Role::SparseInfill { Role::SolidInfill } else { role };
            layer.strands.iter_mut().for_each(|strand| strand.role = fill(strand.role));
            case.laid.layers[skin] = layer;
        }
        case.truth = Truth::of(&case.laid, &slices, &[], Vec::new());
        case.gcode = case.in_dialect(Dialect::default());
    }
    case
}

/// A shape whose arms are `web` wide.
fn outline(shape: &str, web: f64) -> Vec<Polygon> {
    let middle = Point::new(110.0, 105.0);
    let at = |x: f64, y: f64| middle + Point::new(x, y);
    let drawn = |corners: &[(f64, f64)]| {
        vec![polygon(&corners.iter().map(|(x, y)| (middle.x + x, middle.y + y)).collect::<Vec<_>>())]
    };
    let w = web;
    match shape {
        "block" => vec![rectangle(at(0.0, 0.0), at(1.7 * w, 1.1 * w))],
        "disc" => vec![circle(middle, 1.4 * w)],
        "angle" => drawn(&[(0.0, 0.0), (2.1 * w, 0.0), (2.1 * w, w), (w, w), (w, 1.6 * w), (0.0, 1.6 * w)]),
        "channel" => drawn(&[
            (0.0, 0.0),
            (3.0 * w, 0.0),
            (3.0 * w, 1.9 * w),
            (2.0 * w, 1.9 * w),
            (2.0 * w, w),
            (w, w),
            (w, 1.9 * w),
            (0.0, 1.9 * w),
        ]),
        "ring" => difference(&[circle(middle, 9.0 + 2.0 * w)], &[circle(middle, 9.0)]),
        _ => {
            let plate = rectangle(at(0.0, 0.0), at(2.2 * w + 9.0, 2.0 * w + 9.0));
            difference(&[plate], &[circle(at(w + 4.5, w + 4.5), 9.0)])
        }
    }
}
