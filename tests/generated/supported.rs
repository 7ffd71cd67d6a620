//! Parts with support under an overhang or in a pocket: what is measured of the part must not change by it.

use crate::case::{Case, dialect, settings};
use crate::draw::Draw;
use crate::edit::support_line;
use crate::held::{measured, wrong_in};
use beadwise::geom::{Point, Polygon, clip_line, difference, offset};
use beadwise::profile::Role;
use beadwise::rebead::drawing::rectangle;
use beadwise::rebead::{Body, CoreFill, Dialect, Pocket, Settings, Truth, Words, slice};

/// A part of a seed with support.
pub struct Supported {
    pub case: Case,
    /// What its support is like, for the list of failures.
    pub kind: String,
}

/// How support is laid.
#[derive(Debug, Clone, Copy)]
struct Manner {
    /// From flank to flank, to the part's walls, mm.
    gap_mm: f64,
    /// Layers left empty under the part.
    empty_layers: usize,
    /// Distance of its lines, in bead widths.
    apart: f64,
    /// Lines are joined end to end.
    joined: bool,
    /// Lines run along y.
    upright: bool,
}

impl Supported {
    pub fn of(seed: u64) -> Self {
        let mut draw = Draw::new(seed ^ 0x50b0);
        // Support would be laid through what lies round the part.
        let drawn = settings(&mut draw);
        // Skin beside a core nearly as full can not be told from it.
        let core = CoreFill { density: drawn.core.density.min(0.6), ..drawn.core };
        let settings = Settings { brim_loops: 0, skirt_loops: 0, core, ..drawn };
        let height = 0.2;
        let web = 2.0 * f64::from(settings.walls) * settings.pitch_mm(height) + draw.between(4.0, 7.0);
        let at = |x: f64, y: f64| Point::new(100.0 + x, 95.0 + y);
        let (low, top) = (12.0 * height, 24.0 * height);
        let plate = rectangle(at(0.0, 0.0), at(2.5 * web, 1.2 * web));
        let window = rectangle(at(web, 0.0), at(1.5 * web, 1.2 * web));
        let pocket = draw.yes(0.3);
        // A bridge on two legs, or a block with a room that is open to nothing.
        let body = if pocket {
            let room = rectangle(at(web, web), at(web + 9.0, web + 7.0));
            let block = rectangle(at(0.0, 0.0), at(2.0 * web + 9.0, 2.0 * web + 7.0));
            Body::new(0).add(0.0, top, block).cut(3.0 * height, 15.0 * height, room)
        } else {
            Body::new(0).add(0.0, top, plate).cut(0.0, low, window)
        };
        let closed = Pocket {
            shape: "box",
            centre: at(web + 4.5, web + 3.5),
            size_mm: 7.0,
            floor_z_mm: 3.0 * height,
            roof_z_mm: 15.0 * height,
        };
        let pockets: Vec<Pocket> = pocket.then_some(closed).into_iter().collect();
        let manner = Manner {
            // Lines that touch a single wall round them are as good as a core.
            gap_mm: draw.one_of(&[if pocket && settings.walls == 1 { 0.3 } else { 0.0 }, 0.3, 0.5, 0.8]),
            empty_layers: draw.one_of(&[0, 1, 2]),
            // Two or three lines alone are as good as ribs.
            apart: draw.one_of(&[2.5, 3.0, 4.0]),
            joined: draw.yes(0.6),
            upright: draw.yes(0.5),
        };
        let slices = slice(&[body], height, height);
        let dialect = Dialect { arcs: false, ..dialect(&mut draw) };
        let mut case = Case::laid(if pocket { "room" } else { "bridge" }, settings, dialect, &slices, &[]);
        let outlines: Vec<Vec<Polygon>> = case.laid.layers.iter().map(|l| l.outline.clone()).collect();
        for layer in &mut case.laid.layers {
            let above = outlines.get(layer.index + 1 + manner.empty_layers);
            let under = outlines[layer.index + 1..].iter().find(|o| o.as_slice() != layer.outline.as_slice());
            let Some((_, under)) = above.zip(under) else { continue };
            // Where the part is above within reach, and not here.
            if above.is_some_and(|a| a.as_slice() != layer.outline.as_slice()) && manner.empty_layers > 0 {
                continue;
            }
            let clear = offset(&layer.outline, manner.gap_mm + 0.5 * case.settings.bead_width_mm);
            let region = difference(under, &clear);
            let area = case.settings.bead_area_mm2(layer.height_mm);
            let lines = lines(&region, manner.apart * case.settings.bead_width_mm, manner);
            layer.strands.extend(lines.into_iter().map(|points| support_line(points, area)));
        }
        case.truth = Truth::of(&case.laid, &slices, &pockets, Vec::new());
        case.gcode = case.in_dialect(case.dialect.clone());
        Self { case, kind: format!("{manner:?}") }
    }

    /// What is measured otherwise than it was laid, or otherwise without comments than with them.
    pub fn wrong(&self) -> Vec<String> {
        let silent = Dialect { words: Words::Silent, layer_comments: false, ..self.case.dialect.clone() };
        let bare = self.case.in_dialect(silent);
        let mut wrong = wrong_in(&self.case, &bare);
        if let Ok(print) = measured(&bare) {
            for role in [Role::Support, Role::Bridge] {
                let got: f64 = print.roles.iter().filter(|r| r.role == role).map(|r| r.volume_mm3).sum();
                let laid: f64 = self.case.laid.layers.iter().map(|l| l.volume_of_mm3(role)).sum();
                if (got - laid).abs() > 0.01 * self.case.truth.volume_mm3 {
                    wrong.push(format!("{} {got} mm³, not {laid}", role.word()));
                }
            }
        }
        wrong
    }
}

/// Straight lines across a region.
fn lines(region: &[Polygon], apart_mm: f64, manner: Manner) -> Vec<Vec<Point>> {
    let turned = |p: Point| if manner.upright { p } else { Point::new(p.y, p.x) };
    let corners: Vec<Point> = region.iter().flat_map(|p| p.outer.iter().map(|q| turned(*q))).collect();
    let (low, high) = corners.iter().fold((f64::MAX, f64::MIN), |(low, high), p| (low.min(p.x), high.max(p.x)));
    let mut found: Vec<Vec<Point>> = Vec::new();
    let mut x = low + 0.4 * apart_mm;
    while x < high {
        let line = [turned(Point::new(x, -1e3)), turned(Point::new(x, 1e3))];
        found.extend(clip_line(&line, region, false));
        x += apart_mm;
    }
    if !manner.joined || region.len() != 1 {
        return found;
    }
    let there_and_back = found.into_iter().enumerate().flat_map(|(i, mut line)| {
        if i % 2 == 1 {
            line.reverse();
        }
        line
    });
    let joined: Vec<Point> = there_and_back.collect();
    if joined.is_empty() { Vec::new() } else { vec![joined] }
}
