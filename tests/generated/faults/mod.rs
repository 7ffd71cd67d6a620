//! Parts with a fault put in at known layers and a known place, and their sound twins.
//!
//! A fault must be found under its own code, at just the layers and within a millimetre of the place where it was
//! put; on the sound twin there must be no finding of any of these codes.

pub mod flow;
pub mod shape;
pub mod walls;
pub mod words;

use crate::case;
use crate::draw::Draw;
use crate::held::{measured, setup};
use beadwise::audit::{AuditContext, Finding, audit_print};
use beadwise::geom::{Point, Polygon};
use beadwise::measure::PrintMeasures;
use beadwise::profile::Limits;
use beadwise::rebead::{CoreFill, Dialect, Laid, Pocket, Settings, Slice, lay, slice, write};

/// Codes that speak of a fault in the laying.
const CODES: [&str; 10] = [
    "few-walls",
    "thin-wall",
    "thin-place",
    "starved-flow",
    "excess-flow",
    "wall-gap",
    "thin-skin",
    "thin-rib",
    "weak-plane",
    "words-disagree",
];

/// The outline is read within this share where plastic is missing or too much.
const OUTLINE_SHARE: f64 = 0.01;

/// A finding's place may be off by this, mm.
const NEAR_MM: f64 = 1.0;

/// One fault as it was put in.
#[derive(Debug, Clone)]
pub struct Planted {
    /// Codes under which it may be told.
    pub codes: &'static [&'static str],
    pub layers: (usize, usize),
    /// Where, if at one place.
    pub at: Option<Point>,
}

impl Planted {
    /// Just these layers; of a skin, how many it should have is a guess, but not where it ends.
    fn is_at_layers(&self, found: Option<(usize, usize)>) -> bool {
        let skin = self.codes == ["thin-skin"];
        found.is_some_and(|(first, last)| {
            let surface = if self.layers.0 == 0 { first == 0 } else { last == self.layers.1 };
            let within = self.layers.0 <= first && last <= self.layers.1;
            if skin { surface && within } else { (first, last) == self.layers }
        })
    }
}

/// A sound part and the same with faults.
pub struct Pair {
    pub name: String,
    pub sound: String,
    pub flawed: String,
    pub planted: Vec<Planted>,
    /// Area within the outline of each layer, mm², where the fault leaves that as it is.
    pub outlines_mm2: Vec<f64>,
}

/// The sound part that a seed gives, before it is laid.
pub struct Sound {
    pub shape: &'static str,
    pub settings: Settings,
    pub dialect: Dialect,
    pub slices: Vec<Slice>,
    pub height_mm: f64,
}

impl Sound {
    /// A part of 24 layers with a core between its walls.
    pub fn of(draw: &mut Draw, fewest_walls: u32) -> Self {
        Self::with(draw, fewest_walls, case::bodies)
    }

    /// The same settings for another shape.
    pub fn with<B>(draw: &mut Draw, fewest_walls: u32, bodies: B) -> Self
    where
        B: FnOnce(&mut Draw, &Settings, f64, f64) -> (&'static str, Vec<beadwise::rebead::Body>, Vec<Pocket>),
    {
        let height_mm = draw.one_of(&[0.16, 0.2, 0.25]);
        let drawn = case::settings(draw);
        let settings = Settings {
            walls: draw.whole(fewest_walls, 5),
            bottom_skins: 3,
            top_skins: 4,
            core: CoreFill { density: draw.between(0.12, 0.4), ..drawn.core },
            ..drawn
        };
        let (shape, bodies, _) = bodies(draw, &settings, height_mm, 24.0 * height_mm);
        let slices = slice(&bodies, height_mm, height_mm);
        Self { shape, settings, dialect: case::dialect(draw), slices, height_mm }
    }

    pub fn lay(&self) -> Laid {
        lay(&self.slices, &self.settings)
    }

    pub fn written(&self, laid: &Laid) -> String {
        write(laid, &self.dialect, &Limits::default())
    }

    /// The pair of this part and one that was changed.
    pub fn pair(&self, sound: &Laid, flawed: &Laid, planted: Vec<Planted>) -> Pair {
        let s = &self.settings;
        Pair {
            name: format!(
                "{}: {} walls of {} mm, layers of {} mm, {:?}, {:?}, {:?}, words {:?}",
                self.shape, s.walls, s.bead_width_mm, self.height_mm, s.core, s.wall_order, s.seam, self.dialect.words
            ),
            sound: self.written(sound),
            flawed: self.written(flawed),
            planted,
            outlines_mm2: self.slices.iter().map(|s| s.outline().iter().map(Polygon::area_mm2).sum()).collect(),
        }
    }

    /// A place on an edge with at least so much of it to both sides (or on a round, of short edges), the way inwards
    /// from there, and how much there is, mm.
    pub fn place_with_room(&self, draw: &mut Draw, layer: usize, least_mm: f64) -> (Point, Point, f64) {
        let mut tries = 0;
        loop {
            tries += 1;
            let (at, inward) = self.place_on_edge(draw, layer);
            let outline = self.slices[layer].outline();
            let corners = outline.iter().flat_map(|p| &p.outer).map(|c| c.distance(at)).fold(f64::INFINITY, f64::min);
            let round = corners < 0.6;
            // Some parts have no edge as long as that.
            if round || corners > least_mm + 2.0 || tries > 1000 {
                return (at, inward, if round { f64::INFINITY } else { (corners - 2.0).max(1.0) });
            }
        }
    }

    /// Half-way along an edge of the outer ring of one of a layer's outlines, and the way inwards from there.
    pub fn place_on_edge(&self, draw: &mut Draw, layer: usize) -> (Point, Point) {
        let outline = self.slices[layer].outline();
        let outer = &outline[draw.whole(0, outline.len() as u32 - 1) as usize].outer;
        let from = draw.whole(0, outer.len() as u32 - 1) as usize;
        let (a, b) = (outer[from], outer[(from + 1) % outer.len()]);
        let inward = (b - a).unit().map_or(Point::new(1.0, 0.0), Point::left);
        (a.lerp(b, draw.between(0.35, 0.65)), inward)
    }
}

/// Some layers above the floor's skin, below the half of the part's height, where a step's foot ends.
pub fn band(draw: &mut Draw) -> (usize, usize) {
    let first = draw.whole(4, 6) as usize;
    (first, first + draw.whole(2, 5) as usize)
}

fn findings(measures: &PrintMeasures) -> Result<Vec<Finding>, String> {
    let setup = setup()?;
    let context = AuditContext { measures, setup: &setup, strength: None, cases: &[] };
    Ok(audit_print(&context).findings.into_iter().filter(|f| CODES.contains(&f.code)).collect())
}

fn told(found: &[Finding]) -> Vec<String> {
    found.iter().map(|f| format!("{} {:?} {:?}: {}", f.code, f.layers, f.at, f.message)).collect()
}

/// What the audit gets wrong about the two.
pub fn wrong_about(pair: &Pair) -> Vec<String> {
    try_both(pair).unwrap_or_else(|error| vec![error])
}

fn try_both(pair: &Pair) -> Result<Vec<String>, String> {
    let sound = findings(&measured(&pair.sound)?)?;
    let measures = measured(&pair.flawed)?;
    let flawed = findings(&measures)?;
    let mut wrong: Vec<String> = told(&sound).into_iter().map(|f| format!("sound, yet {f}")).collect();
    for (layer, wanted) in measures.layers.iter().zip(&pair.outlines_mm2) {
        let got = layer.outline_area_mm2.unwrap_or(0.0);
        if !((got - wanted).abs() < OUTLINE_SHARE * wanted) {
            wrong.push(format!("outline of layer {}: {got:.1}, not {wanted:.1} mm²", layer.index));
        }
    }
    for planted in &pair.planted {
        let right = |f: &&Finding| {
            let near = planted.at.is_none_or(|p| f.at.is_some_and(|at| at.distance(p) < NEAR_MM));
            planted.codes.contains(&f.code) && planted.is_at_layers(f.layers) && near
        };
        if !flawed.iter().any(|f| right(&f)) {
            wrong.push(format!("{planted:?} not found; found {:?}", told(&flawed)));
        }
    }
    Ok(wrong)
}
