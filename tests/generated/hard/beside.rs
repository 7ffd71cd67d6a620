//! Support that touches the part.

use super::Hard;
use crate::case::{self, Case};
use crate::draw::Draw;
use crate::edit::support_line;
use beadwise::geom::{Point, Polygon, clip_line, difference, offset};
use beadwise::rebead::drawing::rectangle;
use beadwise::rebead::{Body, CoreFill, LaidLayer, Settings, lay, slice};

fn at(x: f64, y: f64) -> Point {
    Point::new(85.0 + x, 95.0 + y)
}

/// A table on a stem, with support below its overhang: lines that end at the stem's walls.
pub fn support(seed: u64) -> Hard {
    let mut draw = Draw::new(seed ^ 0x5_099);
    let drawn = case::settings(&mut draw);
    let settings = Settings {
        walls: draw.whole(2, 4),
        brim_loops: 0,
        skirt_loops: 0,
        core: CoreFill { density: draw.between(0.15, 0.4), ..drawn.core },
        ..drawn
    };
    let height = draw.one_of(&[0.16, 0.2, 0.25]);
    let stem_layers = draw.whole(8, 12);
    let (stem_top, top) = (f64::from(stem_layers) * height, f64::from(stem_layers + 10) * height);
    let reach = draw.between(5.0, 9.0);
    let stem = rectangle(at(0.0, 0.0), at(16.0, 16.0));
    let table = rectangle(at(-reach, 0.0), at(16.0 + reach, 16.0));
    let body = Body::new(0).add(0.0, stem_top, stem.clone()).add(stem_top, top, table.clone());
    let slices = slice(&[body], height, height);
    let dialect = case::dialect(&mut draw);
    let mut laid = lay(&slices, &settings);
    let clear = draw.one_of(&[0.0, 0.0, 0.3]) + 0.5 * settings.bead_width_mm;
    let under = difference(&[table], &offset(&[stem], clear));
    let apart = draw.between(1.8, 2.8);
    // The layer next below the table is left out, or support touches it.
    let gap = draw.whole(0, 1) as usize;
    for layer in &mut laid.layers[..stem_layers as usize - gap] {
        add_lines(layer, &settings, &under, apart);
    }
    Hard::new(Case::of_laid("table", settings, dialect, laid, &slices, &[]))
}

fn add_lines(layer: &mut LaidLayer, settings: &Settings, under: &[Polygon], apart: f64) {
    let area = settings.bead_area_mm2(layer.height_mm);
    let mut number = 0.0;
    let mut lines = Vec::new();
    while number * apart < 16.0 {
        let y = at(0.0, 0.3 + number * apart).y;
        let whole = [Point::new(0.0, y), Point::new(200.0, y)];
        lines.extend(clip_line(&whole, under, false));
        number += 1.0;
    }
    layer.strands.extend(lines.into_iter().filter(|l| l.len() > 1).map(|points| support_line(points, area)));
}
