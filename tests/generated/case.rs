//! Parts, settings and dialects drawn from a seed.

use crate::draw::Draw;
use beadwise::geom::{Point, Polygon};
use beadwise::profile::Limits;
use beadwise::rebead::drawing::{circle, hexagon, polygon, rectangle, rounded_rectangle};
use beadwise::rebead::{
    Body, CoreFill, Dialect, Laid, Lie, Pattern, Pocket, Retraction, Seam, Settings, Slice, Truth, Turn, WallOrder,
    Words, lay, slice, write,
};

/// One drawn part, laid and written.
pub struct Case {
    pub shape: &'static str,
    pub settings: Settings,
    pub dialect: Dialect,
    pub laid: Laid,
    pub truth: Truth,
    pub gcode: String,
}

impl Case {
    /// The case of a seed.
    pub fn of(seed: u64) -> Self {
        let mut draw = Draw::new(seed);
        let settings = settings(&mut draw);
        Self::drawn(&mut draw, settings)
    }

    fn drawn(draw: &mut Draw, settings: Settings) -> Self {
        let height = draw.one_of(&[0.12, 0.16, 0.2, 0.24, 0.3]);
        let height = if height < 0.55 * settings.bead_width_mm { height } else { 0.2 };
        let first = draw.one_of(&[height, 0.2, 0.25]);
        let layers = f64::from(draw.whole(9, 13));
        let (shape, bodies, pockets) = bodies(draw, &settings, height, layers * height);
        let slices = slice(&bodies, first, height);
        let dialect = dialect(draw);
        Self::laid(shape, settings, dialect, &slices, &pockets)
    }

    /// The same part and settings in another dialect.
    pub fn in_dialect(&self, dialect: Dialect) -> String {
        write(&self.laid, &dialect, &Limits::default())
    }

    /// Lays and writes slices.
    pub fn laid(
        shape: &'static str,
        settings: Settings,
        dialect: Dialect,
        slices: &[Slice],
        pockets: &[Pocket],
    ) -> Self {
        let laid = lay(slices, &settings);
        Self::of_laid(shape, settings, dialect, laid, slices, pockets)
    }

    /// Writes what has been laid, perhaps with changes.
    pub fn of_laid(
        shape: &'static str,
        settings: Settings,
        dialect: Dialect,
        laid: Laid,
        slices: &[Slice],
        pockets: &[Pocket],
    ) -> Self {
        let truth = Truth::of(&laid, slices, pockets, Vec::new());
        let gcode = write(&laid, &dialect, &Limits::default());
        Self { shape, settings, dialect, laid, truth, gcode }
    }
}

pub fn settings(draw: &mut Draw) -> Settings {
    let density = if draw.yes(0.12) { draw.one_of(&[0.0, 1.0]) } else { draw.between(0.08, 0.75) };
    let pattern =
        draw.one_of(&[Pattern::Straight, Pattern::Straight, Pattern::Grid, Pattern::Triangles, Pattern::Wavy]);
    Settings {
        bead_width_mm: draw.one_of(&[0.4, 0.42, 0.45, 0.5, 0.6]),
        walls: draw.whole(1, 8),
        bottom_skins: draw.whole(1, 3),
        top_skins: draw.whole(1, 3),
        core: CoreFill {
            pattern,
            density,
            lie: draw.one_of(&[Lie::Aligned, Lie::Crossed]),
            angle_deg: draw.one_of(&[45.0, 0.0, 30.0]),
            joined: draw.yes(0.3),
            ..CoreFill::default()
        },
        thin_ribs: true,
        wall_order: draw.one_of(&[WallOrder::InnerFirst, WallOrder::OuterFirst]),
        turn: draw.one_of(&[Turn::CounterClockwise, Turn::Clockwise, Turn::HolesOther]),
        seam: if draw.yes(0.5) { Seam::Scattered(5) } else { Seam::Near(Point::new(110.0, 300.0)) },
        loop_gap_mm: draw.one_of(&[0.0, 0.0, 0.06]),
        retraction: Retraction { hop_mm: draw.one_of(&[0.0, 0.0, 0.3]), ..Retraction::default() },
        skirt_loops: draw.one_of(&[0, 1, 2]),
        brim_loops: draw.one_of(&[0, 0, 0, 3]),
        purge_line: draw.yes(0.2),
        filament_mm: vec![1.75],
        ..Settings::default()
    }
}

/// A dialect of any kind that says the truth.
pub fn dialect(draw: &mut Draw) -> Dialect {
    let inches = draw.yes(0.15);
    Dialect {
        relative_xyz: draw.yes(0.15),
        relative_e: draw.yes(0.5),
        inches,
        volumetric: draw.yes(0.1) && !inches,
        reset_e: draw.yes(0.3),
        words: draw.one_of(&[Words::Silent, Words::Plain, Words::Other]),
        layer_comments: draw.yes(0.5),
        parentheses: draw.yes(0.2),
        trailing: draw.yes(0.2),
        crlf: draw.yes(0.2),
        numbered: draw.yes(0.15),
        lower_case: draw.yes(0.15),
        compact: draw.yes(0.15),
        all_words: draw.yes(0.2),
        trimmed: draw.yes(0.5),
        travel_g1: draw.yes(0.3),
        firmware_retraction: draw.yes(0.2),
        retract_on_travel: draw.yes(0.1),
        arcs: draw.yes(0.15),
        flow_percent: draw.one_of(&[None, None, None, Some(95.0)]),
        speed_percent: draw.one_of(&[None, None, None, Some(80.0)]),
        dwell: draw.one_of(&[None, None, Some((4, 500))]),
        ..Dialect::default()
    }
}

/// The middle of all parts.
const MIDDLE: Point = Point::new(110.0, 105.0);

fn from_middle(x: f64, y: f64) -> Point {
    MIDDLE + Point::new(x, y)
}

fn moved(corners: &[(f64, f64)]) -> Polygon {
    let corners: Vec<(f64, f64)> = corners.iter().map(|(x, y)| (MIDDLE.x + x, MIDDLE.y + y)).collect();
    polygon(&corners)
}

/// A part whose places are all wide enough for the walls, with room for a core between.
pub fn bodies(draw: &mut Draw, settings: &Settings, height: f64, top: f64) -> (&'static str, Vec<Body>, Vec<Pocket>) {
    // Every web is wider than the walls from both sides by some millimetres.
    // A pocket shallower than a millimetre or so holds nothing that is built in.
    let deep = top.max(1.6 + 7.0 * height);
    let web = 2.0 * f64::from(settings.walls) * settings.pitch_mm(height) + draw.between(4.0, 9.0);
    let body = |outline: Polygon| Body::new(0).add(0.0, top, outline);
    let deep_body = |outline: Polygon| Body::new(0).add(0.0, deep, outline);
    match draw.whole(0, 7) {
        0 => ("block", vec![body(rectangle(from_middle(-web, -0.7 * web), from_middle(web, 0.7 * web)))], vec![]),
        1 => {
            let bore = draw.between(6.0, 14.0);
            let ring = body(circle(MIDDLE, bore + 2.0 * web)).cut(0.0, top, circle(MIDDLE, bore));
            ("ring", vec![ring], vec![])
        }
        2 => {
            let long = 2.2 * web;
            let angle = [(0.0, 0.0), (long, 0.0), (long, web), (web, web), (web, 1.8 * web), (0.0, 1.8 * web)];
            ("angle", vec![body(moved(&angle))], vec![])
        }
        3 => {
            let plate =
                body(rounded_rectangle(from_middle(0.0, 0.0), from_middle(3.0 * web + 12.0, 2.0 * web + 6.0), 3.0));
            let first = circle(from_middle(web + 3.0, web + 3.0), 6.0);
            let second = hexagon(from_middle(2.0 * web + 9.0, web + 3.0), 6.0);
            ("plate", vec![plate.cut(0.0, top, first).cut(0.0, top, second)], vec![])
        }
        4 => {
            let first = rectangle(from_middle(0.0, 0.0), from_middle(web, 1.3 * web));
            let second = circle(from_middle(2.1 * web, 0.6 * web), web);
            ("two pieces", vec![body(first).add(0.0, top, second)], vec![])
        }
        5 => {
            let low = rectangle(from_middle(0.0, 0.0), from_middle(2.4 * web, 1.5 * web));
            let high = rectangle(from_middle(0.0, 0.0), from_middle(1.2 * web, 1.5 * web));
            let step = Body::new(0).add(0.0, 0.5 * top, low).add(0.5 * top, top, high);
            ("step", vec![step], vec![])
        }
        6 => {
            let block = deep_body(rectangle(from_middle(0.0, 0.0), from_middle(2.0 * web + 8.0, 2.0 * web + 8.0)));
            let centre = from_middle(web + 4.0, web + 3.5);
            let pocket = Pocket {
                shape: "round",
                centre,
                size_mm: 7.2,
                floor_z_mm: 3.0 * height,
                roof_z_mm: deep - 4.0 * height,
            };
            let cut = block.cut(pocket.floor_z_mm, pocket.roof_z_mm, circle(centre, pocket.size_mm));
            ("pocket", vec![cut], vec![pocket])
        }
        _ => {
            let block = deep_body(rectangle(from_middle(0.0, 0.0), from_middle(2.0 * web + 9.0, 2.0 * web + 9.0)));
            let centre = from_middle(web + 4.0, web + 5.0);
            let pocket =
                Pocket { shape: "hex", centre, size_mm: 8.3, floor_z_mm: 3.0 * height, roof_z_mm: deep - 4.0 * height };
            let cut = block.cut(pocket.floor_z_mm, pocket.roof_z_mm, hexagon(centre, pocket.size_mm));
            ("nut pocket", vec![cut], vec![pocket])
        }
    }
}
