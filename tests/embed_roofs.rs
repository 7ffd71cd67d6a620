//! From motion alone to the stop: pockets whose roofs come in over several layers, and pockets bridged at once.
//!
//! Layers are 0.2 mm thick, so that layer n has its top at 0.2 (n + 1); every expected layer is reckoned from that.

use beadwise::embed::{EmbedError, Look, Stopped, Wish, Workpiece, undo};
use beadwise::geom::Point;
use beadwise::measure::Setup;
use beadwise::profile::{Insert, Limits, Machine};
use beadwise::rebead::drawing::{circle, rectangle};
use beadwise::rebead::{Body, Dialect, Settings, Words, lay, slice, write};
use beadwise::shape::pocket_id;

const LAYER_MM: f64 = 0.2;

fn setup() -> Setup {
    Setup::of(Machine::load("open-small").expect("a built-in machine"))
}

/// An unsymmetric block, 5 mm high, away from the bed's middle.
fn block() -> Body {
    Body::new(0).add(0.0, 5.0, rectangle(Point::new(60.0, 40.0), Point::new(94.0, 68.0)))
}

const AT: Point = Point { x: 75.0, y: 55.0 };

/// A pocket 8.2 mm wide from z 1.0 to 2.6, above which every layer's opening is 0.8 mm narrower: 7.4 in layer 13,
/// 6.6 in layer 14, 5.8 in layer 15, and so on until it is shut.
fn tapering() -> Body {
    let mut body = block().cut(1.0, 2.6, circle(AT, 8.2));
    for step in 1..10 {
        let (from_mm, width_mm) = (2.6 + LAYER_MM * f64::from(step - 1), 8.2 - 0.8 * f64::from(step));
        body = body.cut(from_mm, from_mm + LAYER_MM, circle(AT, width_mm));
    }
    body
}

/// A pocket 18.2 mm wide from z 1.0 to 3.0, roofed flat.
fn bridged() -> Body {
    block().cut(1.0, 3.0, circle(AT, 18.2))
}

fn dialects() -> [Dialect; 3] {
    [
        Dialect::default(),
        Dialect { words: Words::Silent, relative_xyz: true, relative_e: true, ..Dialect::default() },
        Dialect { words: Words::Silent, inches: true, compact: true, ..Dialect::default() },
    ]
}

fn gcode(body: Body, dialect: &Dialect) -> String {
    let settings = Settings { walls: 2, bottom_skins: 3, top_skins: 3, ..Settings::default() };
    write(&lay(&slice(&[body], LAYER_MM, LAYER_MM), &settings), dialect, &Limits::default())
}

/// Puts one insert into the pocket; the stop, and the codes of what was said about it.
fn embed(gcode: &str, insert: &str) -> Result<(Stopped, Vec<&'static str>), EmbedError> {
    let setup = setup();
    let piece = Workpiece::read(gcode.as_bytes(), &setup, Look::Pockets)?;
    assert_eq!(piece.pockets().len(), 1, "{:?}", piece.pockets());
    let insert = Insert::describe(insert).expect("an insert");
    let wish = Wish { by_pocket: vec![(pocket_id(0), insert)], ..Wish::default() };
    let seating = piece.seat(&wish, None)?;
    let codes = seating.warnings.iter().map(|warning| warning.code).collect();
    Ok((piece.put_stops(&seating.requests(piece.pockets()))?, codes))
}

/// The layer after which the only stop stands; what remains without it must be the original.
fn stop_layer(gcode: &str, insert: &str) -> usize {
    let (stopped, _) = embed(gcode, insert).unwrap_or_else(|error| panic!("{insert}: {error}"));
    let [stop] = &stopped.stops[..] else { panic!("{} stops", stopped.stops.len()) };
    assert!((stop.z_mm - LAYER_MM * (stop.after_layer as f64 + 1.0)).abs() < 1e-3, "{stop:?}");
    assert_eq!(undo(&stopped.bytes).expect("whole stops").bytes, gcode.as_bytes());
    stop.after_layer
}

/// By how much an insert stands proud of the last layer through which it goes in, as it is said.
fn refusal(gcode: &str, insert: &str) -> String {
    match embed(gcode, insert) {
        Err(EmbedError::Misfit { reasons }) => reasons,
        other => panic!("{insert}: {:?}", other.map(|(stopped, _)| stopped.stops)),
    }
}

#[test]
fn a_narrower_insert_goes_in_later_through_a_tapering_roof() {
    for dialect in dialects() {
        let gcode = gcode(tapering(), &dialect);
        // Tops at 2.6 and 2.8 mm: a wide disc must be in before layer 13 narrows; a narrow one passes 6.6 mm, not 5.8.
        assert_eq!(stop_layer(&gcode, "disc 8x1.6"), 12, "{dialect:?}");
        assert_eq!(stop_layer(&gcode, "disc 6.3x1.8"), 14, "{dialect:?}");
        let wide = refusal(&gcode, "disc 8x2");
        assert!(wide.contains("would stand 0.40 mm proud after layer 12"), "{wide}");
        let narrow = refusal(&gcode, "disc 6.3x2.3");
        assert!(narrow.contains("would stand 0.30 mm proud after layer 14"), "{narrow}");
        let fat = refusal(&gcode, "disc 9x1.6");
        assert!(fat.contains("too wide"), "{fat}");
    }
}

#[test]
fn under_a_bridged_roof_the_stop_is_the_last_open_layer() {
    for dialect in dialects() {
        let gcode = gcode(bridged(), &dialect);
        let (stopped, codes) = embed(&gcode, "disc 18x1.5").expect("it goes in");
        assert_eq!(stopped.stops[0].after_layer, 14, "{dialect:?}");
        // 18 mm is a wide bridge, and half a millimetre of room does not carry it.
        assert!(codes.contains(&"bridge"), "{codes:?}");
        let (carried, codes) = embed(&gcode, "disc 18x2").expect("it goes in");
        assert_eq!((carried.stops[0].after_layer, codes.contains(&"bridge")), (14, false));
        let tall = refusal(&gcode, "disc 18x2.3");
        assert!(tall.contains("would stand 0.30 mm proud after layer 14"), "{tall}");
    }
}
