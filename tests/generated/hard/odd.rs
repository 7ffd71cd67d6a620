//! Ways of printing that are unlike the usual layer on layer.

use super::Hard;
use crate::case::{self, Case};
use crate::draw::Draw;
use beadwise::geom::Point;
use beadwise::profile::Role;
use beadwise::rebead::drawing::{circle, rectangle, rounded_rectangle};
use beadwise::rebead::{Body, CoreFill, Lie, Pattern, Settings, slice, slice_at};

fn at(x: f64, y: f64) -> Point {
    Point::new(90.0 + x, 95.0 + y)
}

/// One wall that climbs all the time, on a closed floor.
pub fn spiral(seed: u64) -> Hard {
    let mut draw = Draw::new(seed ^ 0x5_0141);
    let drawn = case::settings(&mut draw);
    let height = draw.one_of(&[0.16, 0.2, 0.25]);
    let settings = Settings {
        spiral: true,
        walls: 1,
        bottom_skins: draw.whole(1, 4),
        top_skins: 0,
        core: CoreFill { density: 0.0, ..drawn.core },
        loop_gap_mm: 0.0,
        ..drawn
    };
    let size = (draw.between(14.0, 34.0), draw.between(14.0, 30.0));
    let outline = match draw.whole(0, 2) {
        0 => circle(at(15.0, 15.0), size.0),
        1 => rectangle(at(0.0, 0.0), at(size.0, size.1)),
        _ => rounded_rectangle(at(0.0, 0.0), at(size.0, size.1), 4.0),
    };
    let layers = f64::from(draw.whole(12, 24));
    let slices = slice(&[Body::new(0).add(0.0, layers * height, outline)], height, height);
    Hard::new(Case::laid("spiral", settings, case::dialect(&mut draw), &slices, &[]))
}

/// Layers of many heights, by steps or gradually.
pub fn heights(seed: u64) -> Hard {
    let mut draw = Draw::new(seed ^ 0x4e19);
    let settings = case::settings(&mut draw);
    let settings = Settings { brim_loops: 0, ..settings };
    let (shape, bodies, pockets) = case::bodies(&mut draw, &settings, 0.2, 4.0);
    let top = bodies.iter().map(Body::height_mm).fold(0.0, f64::max);
    let (mut heights, mut z, mut height) = (vec![0.2], 0.2, 0.2);
    loop {
        height = match draw.whole(0, 3) {
            0 => draw.one_of(&[0.1, 0.15, 0.2, 0.25, 0.3]),
            1 => f64::clamp(height + draw.between(-0.04, 0.04), 0.1, 0.3),
            _ => height,
        };
        height = (f64::min(height, 0.6 * settings.bead_width_mm) * 100.0).round() / 100.0;
        if z + 0.5 * height >= top {
            break;
        }
        heights.push(height);
        z += height;
    }
    let slices = slice_at(&bodies, &heights);
    Hard::new(Case::laid(shape, settings, case::dialect(&mut draw), &slices, &pockets))
}

/// A core in every second layer only.
pub fn every_second(seed: u64) -> Hard {
    let mut draw = Draw::new(seed ^ 0x2_2d);
    let drawn = case::settings(&mut draw);
    let settings = Settings { core: CoreFill { density: draw.between(0.15, 0.6), ..drawn.core }, ..drawn };
    let height = draw.one_of(&[0.16, 0.2]);
    let (shape, bodies, pockets) = case::bodies(&mut draw, &settings, height, 14.0 * height);
    let slices = slice(&bodies, height, height);
    let dialect = case::dialect(&mut draw);
    let mut laid = beadwise::rebead::lay(&slices, &settings);
    for layer in laid.layers.iter_mut().filter(|l| l.index % 2 == 1) {
        layer.strands.retain(|s| s.role != Role::SparseInfill);
    }
    Hard::new(Case::of_laid(shape, settings, dialect, laid, &slices, &pockets))
}

/// A brim against the part, round a core of loops or of lines.
pub fn brim(seed: u64) -> Hard {
    let mut draw = Draw::new(seed ^ 0xb41);
    let drawn = case::settings(&mut draw);
    let loops = draw.yes(0.6);
    let core = CoreFill {
        pattern: if loops { Pattern::Concentric } else { drawn.core.pattern },
        // A crossed core of loops that fills half has its first loop just where another wall would lie.
        density: draw.between(0.15, 0.4),
        lie: draw.one_of(&[Lie::Aligned, Lie::Crossed]),
        ..drawn.core
    };
    let settings = Settings {
        walls: draw.whole(1, 5),
        brim_loops: draw.whole(0, 7),
        skirt_loops: 0,
        bottom_skins: draw.whole(0, 2),
        core,
        ..drawn
    };
    let height = draw.one_of(&[0.16, 0.2, 0.25]);
    let (shape, bodies, pockets) = case::bodies(&mut draw, &settings, height, 12.0 * height);
    let slices = slice(&bodies, height, height);
    Hard::new(Case::laid(shape, settings, case::dialect(&mut draw), &slices, &pockets))
}
