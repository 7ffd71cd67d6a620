//! Plates with pockets of every kind, drawn from a seed, laid as beads, written as G-code and measured back.
//!
//! Every pocket that needs a stop has to come back with its place, size, floor, roof and the layer to stop
//! after; none may be invented. A failing seed is named; `POCKET_SEEDS=from..to cargo test --test laid_pockets`
//! tries others.

use beadwise::geom::{Point, Polygon};
use beadwise::measure::{PrintMeasures, Setup, measure_print};
use beadwise::profile::{Limits, Machine};
use beadwise::rebead::drawing::{circle, hexagon, rectangle};
use beadwise::rebead::{
    Body, CoreFill, Dialect, Lie, Pattern, Seam, Settings, Slice, Turn, WallOrder, Words, lay, slice, write,
};
use beadwise::shape::{Access, Pocket, PocketShape};

/// Seeded draws (SplitMix64, public domain, from memory).
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn one_of<T: Copy>(&mut self, of: &[T]) -> T {
        of[(self.next() % of.len() as u64) as usize]
    }
}

/// What is cut into the plate at one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Disc,
    Nut,
    Bar,
    /// A nut with its bolt hole all the way through.
    BoltedNut,
    /// A nut with its bolt hole below only.
    NutOverHole,
    /// A disc whose roof comes in over several layers.
    Domed,
    OpenTop,
    OpenSide,
    /// A plain bore: no pocket at all.
    Bore,
}

const KINDS: [Kind; 9] = [
    Kind::Disc,
    Kind::Nut,
    Kind::Bar,
    Kind::BoltedNut,
    Kind::NutOverHole,
    Kind::Domed,
    Kind::OpenTop,
    Kind::OpenSide,
    Kind::Bore,
];

/// One place in the plate, as drawn.
#[derive(Debug, Clone, Copy)]
struct Place {
    kind: Kind,
    centre: Point,
    size_mm: f64,
    floor_mm: f64,
    roof_mm: f64,
}

struct Part {
    settings: Settings,
    slices: Vec<Slice>,
    places: Vec<Place>,
    gcode: String,
}

fn turned(of: Polygon, angle: f64, shift: Point) -> Polygon {
    let (s, c) = angle.sin_cos();
    let turn = |p: Point| Point::new(p.x * c - p.y * s, p.x * s + p.y * c) + shift;
    Polygon {
        outer: of.outer.into_iter().map(turn).collect(),
        holes: of.holes.into_iter().map(|h| h.into_iter().map(turn).collect()).collect(),
    }
}

fn settings(draw: &mut Draw) -> Settings {
    Settings {
        bead_width_mm: draw.one_of(&[0.4, 0.45, 0.5, 0.6]),
        walls: draw.one_of(&[1, 2, 3, 4, 6]),
        bottom_skins: draw.one_of(&[2, 3, 4]),
        top_skins: draw.one_of(&[2, 3, 4]),
        core: CoreFill {
            pattern: draw.one_of(&[Pattern::Straight, Pattern::Grid, Pattern::Triangles, Pattern::Wavy]),
            density: draw.one_of(&[0.12, 0.2, 0.35, 0.6, 1.0]),
            lie: draw.one_of(&[Lie::Aligned, Lie::Crossed]),
            angle_deg: draw.one_of(&[0.0, 30.0, 45.0, 77.0]),
            joined: draw.one_of(&[true, false]),
            ..CoreFill::default()
        },
        wall_order: draw.one_of(&[WallOrder::InnerFirst, WallOrder::OuterFirst]),
        turn: draw.one_of(&[Turn::Clockwise, Turn::CounterClockwise, Turn::HolesOther]),
        seam: draw.one_of(&[Seam::Near(Point::new(0.0, 1e3)), Seam::Scattered(7)]),
        skirt_loops: draw.one_of(&[0, 2]),
        brim_loops: draw.one_of(&[0, 0, 3]),
        ..Settings::default()
    }
}

fn dialect(draw: &mut Draw) -> Dialect {
    Dialect {
        words: draw.one_of(&[Words::Silent, Words::False, Words::Plain]),
        relative_e: draw.one_of(&[true, false]),
        inches: draw.one_of(&[false, false, true]),
        compact: draw.one_of(&[true, false]),
        arcs: draw.one_of(&[false, false, true]),
        layer_comments: false,
        ..Dialect::default()
    }
}

/// Cuts a place out of the body; all in the plate's own frame, turned and shifted by `put`.
fn cut(body: Body, place: &Place, height_mm: f64, put: &dyn Fn(Polygon) -> Polygon) -> Body {
    let Place { kind, centre, size_mm, floor_mm, roof_mm } = *place;
    let bolt = || circle(centre, 0.62 * size_mm);
    let half = Point::new(0.5 * size_mm, 0.8 * size_mm);
    match kind {
        Kind::Disc => body.cut(floor_mm, roof_mm, put(circle(centre, size_mm))),
        Kind::OpenTop => body.cut(floor_mm, 99.0, put(circle(centre, size_mm))),
        Kind::Bore => body.cut(0.0, 99.0, put(circle(centre, size_mm))),
        Kind::Nut => body.cut(floor_mm, roof_mm, put(hexagon(centre, size_mm))),
        Kind::Bar => body.cut(floor_mm, roof_mm, put(rectangle(centre - half, centre + half))),
        Kind::OpenSide => {
            let to = Point::new(centre.x + 0.5 * size_mm, 60.0);
            let from = Point::new(centre.x - 0.5 * size_mm, centre.y - 0.5 * size_mm);
            body.cut(floor_mm, roof_mm, put(rectangle(from, to)))
        }
        Kind::BoltedNut => body.cut(floor_mm, roof_mm, put(hexagon(centre, size_mm))).cut(0.0, 99.0, put(bolt())),
        Kind::NutOverHole => body.cut(floor_mm, roof_mm, put(hexagon(centre, size_mm))).cut(0.0, floor_mm, put(bolt())),
        Kind::Domed => {
            let mut body = body.cut(floor_mm, roof_mm, put(circle(centre, size_mm)));
            let mut width = size_mm - 0.9;
            let mut z = roof_mm;
            while width > 0.5 {
                body = body.cut(z, z + height_mm, put(circle(centre, width)));
                (z, width) = (z + height_mm, width - 0.9);
            }
            body
        }
    }
}

fn part(seed: u64) -> Part {
    let mut draw = Draw(seed);
    let settings = settings(&mut draw);
    let height_mm = draw.one_of(&[0.15, 0.2, 0.25]);
    let first_mm = draw.one_of(&[height_mm, 0.25, 0.3]);
    let layers = |mm: f64| first_mm + ((mm - first_mm) / height_mm).round() * height_mm;
    let places: Vec<Place> = [(13.0, 12.0), (33.0, 13.0)]
        .map(|(x, y)| Place {
            kind: draw.one_of(&KINDS),
            centre: Point::new(x + draw.between(-1.5, 1.5), y + draw.between(-1.0, 1.0)),
            size_mm: draw.between(4.2, 8.5),
            floor_mm: layers(draw.between(1.2, 2.0)),
            roof_mm: layers(draw.between(3.2, 5.0)),
        })
        .to_vec();
    let (angle, shift) = (draw.one_of(&[0.0, 0.0, 0.4, 1.9]), Point::new(90.0, 80.0));
    let put = |p: Polygon| turned(p, angle, shift);
    let plate = rectangle(Point::default(), Point::new(46.0, 24.0));
    let mut body = Body::new(0).add(0.0, layers(8.0), put(plate));
    for place in &places {
        body = cut(body, place, height_mm, &put);
    }
    let slices = slice(&[body], first_mm, height_mm);
    let gcode = write(&lay(&slices, &settings), &dialect(&mut draw), &Limits::default());
    let (s, c) = angle.sin_cos();
    let move_centre = |p: Point| Point::new(p.x * c - p.y * s, p.x * s + p.y * c) + shift;
    let places = places.into_iter().map(|p| Place { centre: move_centre(p.centre), ..p }).collect();
    Part { settings, slices, places, gcode }
}

fn measured(gcode: &str) -> PrintMeasures {
    let setup = Setup::of(Machine::load("open-small").expect("a built-in machine"));
    measure_print(gcode.as_bytes(), &setup, &mut |_| ()).expect("a part")
}

/// What is wrong with the pocket found at a place, in words.
fn faults(place: &Place, pocket: &Pocket, slices: &[Slice]) -> Vec<String> {
    let last_below = |z_mm: f64| slices.iter().rposition(|s| s.z_mm < z_mm + 1e-6);
    let closed = !matches!(place.kind, Kind::OpenTop | Kind::OpenSide);
    let shape = match place.kind {
        Kind::Disc | Kind::Domed | Kind::OpenTop => PocketShape::Round,
        Kind::Nut | Kind::BoltedNut | Kind::NutOverHole => PocketShape::Hex,
        _ => PocketShape::Box,
    };
    let access = match place.kind {
        Kind::OpenTop => Access::Top,
        Kind::OpenSide => Access::Side,
        _ => Access::Closed,
    };
    let mut wrong = Vec::new();
    let mut check = |ok: bool, text: String| {
        if !ok {
            wrong.push(text);
        }
    };
    check(pocket.shape == shape, format!("shape {:?}", pocket.shape));
    check(pocket.access == access, format!("access {:?}", pocket.access));
    check((pocket.floor_z_mm - place.floor_mm).abs() < 1e-3, format!("floor {}", pocket.floor_z_mm));
    // Bars are cut 1.6 times as long as wide; the slot's length depends on where the plate ends.
    check((pocket.size_mm - place.size_mm).abs() < 0.15, format!("size {}", pocket.size_mm));
    if place.kind != Kind::OpenSide {
        let off = pocket.centre.distance(place.centre);
        check(off < 0.1, format!("{off} mm off centre"));
    }
    if closed {
        check(pocket.stop_after_layer == last_below(place.roof_mm), format!("stop {:?}", pocket.stop_after_layer));
    }
    if closed && place.kind != Kind::Domed {
        let roof = pocket.roof_z_mm.unwrap_or(f64::NAN);
        check((roof - place.roof_mm).abs() < 1e-3, format!("roof {roof}"));
    }
    wrong
}

fn failures(seed: u64) -> Vec<String> {
    let part = part(seed);
    let measures = measured(&part.gcode);
    let mut unclaimed: Vec<&Pocket> = measures.pockets.iter().collect();
    let mut wrong = Vec::new();
    for place in &part.places {
        if place.kind == Kind::Bore {
            continue;
        }
        let off = |p: &Pocket| p.centre.distance(place.centre);
        let near = |p: &Pocket| off(p) < 0.5 * place.size_mm + 6.0 && same_height(p, place);
        let nearest = (0..unclaimed.len())
            .filter(|&i| near(unclaimed[i]))
            .min_by(|&a, &b| off(unclaimed[a]).total_cmp(&off(unclaimed[b])));
        match nearest {
            Some(at) => {
                let pocket = unclaimed.swap_remove(at);
                wrong.extend(faults(place, pocket, &part.slices).into_iter().map(|w| format!("{place:?}: {w}")));
            }
            None => wrong.push(format!("{place:?}: not found")),
        }
    }
    let invented = unclaimed.iter().filter(|p| p.access == Access::Closed);
    wrong.extend(invented.map(|p| format!("invented {:?} at {:?}, floor {}", p.shape, p.centre, p.floor_z_mm)));
    if !wrong.is_empty() {
        wrong.push(format!("{:?}", part.settings));
        wrong.extend(measures.pockets.iter().map(described));
    }
    wrong.into_iter().map(|w| format!("seed {seed}: {w}")).collect()
}

/// A pocket in a line, for whoever looks into a failure.
fn described(p: &Pocket) -> String {
    format!(
        "found {:?} {:?} at {:.3} {:.3}, {:.3} wide, floor {:.3}, roof {:?}, {} layers, corners {:?}",
        p.shape,
        p.access,
        p.centre.x,
        p.centre.y,
        p.size_mm,
        p.floor_z_mm,
        p.roof_z_mm,
        p.layers.len(),
        p.layers.get(p.layers.len() / 3).map(|l| &l.opening.outer)
    )
}

/// Whether the pocket starts where the place does: bolt holes above it are openings of their own.
fn same_height(pocket: &Pocket, place: &Place) -> bool {
    (pocket.floor_z_mm - place.floor_mm).abs() < 0.5
}

#[test]
fn every_pocket_comes_back_and_none_is_invented() {
    let asked = std::env::var("POCKET_SEEDS").unwrap_or_default();
    let range: Vec<u64> = asked.split("..").filter_map(|n| n.parse().ok()).collect();
    let (from, to) = if let [from, to] = range[..] { (from, to) } else { (1, 25) };
    let wrong: Vec<String> = (from..to).flat_map(failures).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
