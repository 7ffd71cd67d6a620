//! The sample files of the workshop: parts drawn here, laid by `rebead`, with their truth.

use beadwise::geom::{Point, Polygon};
use beadwise::profile::Limits;
use beadwise::rebead::drawing::{hexagon, polygon, rectangle, regular_ring, rounded_rectangle};
use beadwise::rebead::{
    Body, CoreFill, Dialect, Lie, Pattern, Pocket, Retraction, Seam, Settings, Slice, Truth, Turn, WallOrder, Words,
    lay, slice, write,
};

/// One sample file.
pub struct Sample {
    /// Its name in `sample-gcode`.
    pub name: &'static str,
    /// The whole file.
    pub gcode: String,
    /// What is true of it.
    pub truth: Truth,
}

/// All samples.
pub fn samples() -> Vec<Sample> {
    vec![bearing_drift(), bearing_drift_stout(), axle_vice_jaws(), magnet_tray(), stand_bracket(), rotor_gauge()]
}

fn sample(name: &'static str, slices: &[Slice], settings: &Settings, dialect: &Dialect, pockets: &[Pocket]) -> Sample {
    let laid = lay(slices, settings);
    let truth = Truth::of(&laid, slices, pockets, Vec::new());
    let limits = Limits { corner_deviation_mm: Some(0.02), ..Limits::default() };
    Sample { name, gcode: write(&laid, dialect, &limits), truth }
}

fn titled(title: &str) -> Dialect {
    Dialect { title: Some(title.to_owned()), ..Dialect::default() }
}

fn at(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// A circle about (110, 110) with few enough corners to keep the files small.
fn round(diameter_mm: f64, corners: u32) -> Polygon {
    Polygon { outer: regular_ring(at(110.0, 110.0), diameter_mm, corners, 0.0), holes: Vec::new() }
}

/// A sleeve that presses bearings into a hub: a foot under the press ram, a shank that bears on the outer race.
fn drift_slices() -> Vec<Slice> {
    let drift =
        Body::new(0).add(0.0, 5.0, round(34.0, 48)).add(5.0, 18.0, round(28.0, 48)).cut(0.0, 18.0, round(12.4, 32));
    slice(&[drift], 0.25, 0.25)
}

/// As most programs lay it when nothing is asked for.
fn bearing_drift() -> Sample {
    let settings = Settings {
        walls: 2,
        core: CoreFill { density: 0.15, ..CoreFill::default() },
        skirt_loops: 2,
        ..Settings::default()
    };
    sample("bearing-drift", &drift_slices(), &settings, &titled("bearing press drift, workshop stock"), &[])
}

/// The same part, laid to be pressed on.
fn bearing_drift_stout() -> Sample {
    let core = CoreFill { pattern: Pattern::Grid, lie: Lie::Aligned, density: 0.5, ..CoreFill::default() };
    let settings = Settings { walls: 6, bottom_skins: 6, top_skins: 6, core, skirt_loops: 2, ..Settings::default() };
    let dialect = Dialect { relative_e: true, trimmed: true, ..titled("bearing press drift, stout") };
    sample("bearing-drift-stout", &drift_slices(), &settings, &dialect, &[])
}

/// Jaws that hold an axle by its flats: a hard body, and a soft liner in its groove.
fn axle_vice_jaws() -> Sample {
    let groove = polygon(&[(98.0, 124.0), (110.0, 112.0), (122.0, 124.0)]);
    let lined = polygon(&[(94.0, 124.0), (110.0, 108.0), (126.0, 124.0)]);
    let jaw = rectangle(at(85.0, 102.0), at(135.0, 122.0));
    let body = Body::new(0).add(0.0, 14.0, jaw.clone()).add(0.0, 3.0, rectangle(at(85.0, 95.0), at(135.0, 102.0))).cut(
        0.0,
        14.0,
        lined.clone(),
    );
    let mut liner = Body::new(1).add(0.0, 14.0, polygon(&[(96.0, 122.0), (110.0, 108.0), (124.0, 122.0)]));
    liner = liner.cut(0.0, 14.0, groove);
    let settings = Settings {
        walls: 4,
        core: CoreFill { density: 0.35, ..CoreFill::default() },
        wall_order: WallOrder::OuterFirst,
        turn: Turn::HolesOther,
        ..Settings::default()
    };
    let dialect =
        Dialect { relative_e: true, words: Words::Other, trimmed: true, ..titled("axle vice jaw, one of two") };
    sample("axle-vice-jaw", &slice(&[body, liner], 0.2, 0.2), &settings, &dialect, &[])
}

/// A tray for small parts with eight disc magnets of 6 x 2 mm under its floor, all put in at one stop.
fn magnet_tray() -> Sample {
    let mut tray = Body::new(0).add(0.0, 10.0, rounded_rectangle(at(75.0, 90.0), at(145.0, 130.0), 4.0)).cut(
        5.0,
        10.0,
        rounded_rectangle(at(77.5, 92.5), at(142.5, 127.5), 2.0),
    );
    let mut pockets = Vec::new();
    for column in 0..4 {
        for row in 0..2 {
            let centre = at(84.5 + 17.0 * f64::from(column), 100.0 + 20.0 * f64::from(row));
            let pocket = Pocket { shape: "round", centre, size_mm: 6.2, floor_z_mm: 1.2, roof_z_mm: 3.4 };
            let hole = Polygon { outer: regular_ring(centre, pocket.size_mm, 40, 0.0), holes: Vec::new() };
            tray = tray.cut(pocket.floor_z_mm, pocket.roof_z_mm, hole);
            pockets.push(pocket);
        }
    }
    let settings = Settings { brim_loops: 4, seam: Seam::Scattered(11), ..Settings::default() };
    let dialect = Dialect {
        crlf: true,
        words: Words::Silent,
        layer_comments: false,
        trimmed: true,
        ..titled("parts tray, eight magnets")
    };
    sample("magnet-tray", &slice(&[tray], 0.2, 0.2), &settings, &dialect, &pockets)
}

/// A bracket for a repair stand with a captive M6 nut (ISO 4032: 10 mm across flats, 5.2 mm high).
fn stand_bracket() -> Sample {
    let plan = polygon(&[(85.0, 95.0), (140.0, 95.0), (140.0, 113.0), (108.0, 113.0), (108.0, 140.0), (85.0, 140.0)]);
    let nut = at(97.0, 106.0);
    let hole =
        |centre: Point, diameter: f64| Polygon { outer: regular_ring(centre, diameter, 40, 0.0), holes: Vec::new() };
    let pocket = Pocket { shape: "hex", centre: nut, size_mm: 10.3, floor_z_mm: 4.0, roof_z_mm: 9.4 };
    let body = Body::new(0)
        .add(0.0, 13.0, plan)
        .cut(0.0, pocket.floor_z_mm, hole(nut, 6.6))
        .cut(pocket.floor_z_mm, pocket.roof_z_mm, hexagon(nut, pocket.size_mm))
        .cut(0.0, 13.0, hole(at(127.0, 104.0), 8.4))
        .cut(0.0, 13.0, hole(at(96.0, 129.0), 8.4));
    let core = CoreFill { pattern: Pattern::Triangles, lie: Lie::Aligned, density: 0.3, ..CoreFill::default() };
    let settings = Settings {
        walls: 4,
        core,
        retraction: Retraction { hop_mm: 0.4, ..Retraction::default() },
        purge_line: true,
        ..Settings::default()
    };
    let dialect = Dialect {
        arcs: true,
        firmware_retraction: true,
        parentheses: true,
        ..titled("repair stand bracket with captive M6 nut")
    };
    sample("stand-bracket", &slice(&[body], 0.2, 0.2), &settings, &dialect, &[pocket])
}

/// A gauge for brake rotors: slots of 1.5, 1.8 and 2.0 mm and a hole for the mount.
fn rotor_gauge() -> Sample {
    let mut gauge = Body::new(0).add(0.0, 3.2, rounded_rectangle(at(80.0, 100.0), at(140.0, 122.0), 3.0)).cut(
        0.0,
        3.2,
        Polygon { outer: regular_ring(at(91.0, 111.0), 12.0, 48, 0.0), holes: Vec::new() },
    );
    for (x, width) in [(106.0, 1.5), (118.0, 1.8), (130.0, 2.0)] {
        gauge = gauge.cut(0.0, 3.2, rectangle(at(x - 0.5 * width, 110.0), at(x + 0.5 * width, 125.0)));
    }
    let settings = Settings {
        bead_width_mm: 0.42,
        bottom_skins: 3,
        top_skins: 3,
        core: CoreFill { pattern: Pattern::Wavy, density: 0.25, ..CoreFill::default() },
        skirt_loops: 1,
        ..Settings::default()
    };
    let dialect = Dialect { inches: true, numbered: true, ..titled("rotor gauge") };
    sample("rotor-gauge", &slice(&[gauge], 0.2, 0.16), &settings, &dialect, &[])
}
