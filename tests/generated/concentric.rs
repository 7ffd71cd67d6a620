//! Cores whose lines follow the walls: every shape with every number of walls, density and lie.

use crate::case::Case;
use beadwise::geom::{Point, Polygon, difference};
use beadwise::rebead::drawing::{circle, polygon, rectangle};
use beadwise::rebead::{Body, CoreFill, Dialect, Lie, Pattern, Settings, slice};

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
