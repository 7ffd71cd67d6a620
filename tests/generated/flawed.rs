//! Parts with one deliberate fault each, and their sound twins.

use crate::case::{Case, bodies, settings};
use crate::draw::Draw;
use crate::held::{measured, setup};
use beadwise::audit::{AuditContext, Finding, audit_print};
use beadwise::geom::Point;
use beadwise::rebead::{CoreFill, Flaw, Settings, slice};

/// Codes that speak of a fault in the laying.
const FAULTS: [&str; 7] =
    ["few-walls", "thin-wall", "starved-flow", "excess-flow", "wall-gap", "thin-skin", "thin-rib"];

/// A sound part of a seed and the same with a fault.
pub struct Twins {
    pub sound: Case,
    pub flawed: Case,
}

impl Twins {
    pub fn of(seed: u64) -> Self {
        let mut draw = Draw::new(seed ^ 0xf1a3);
        let height = draw.one_of(&[0.16, 0.2, 0.25]);
        let drawn = settings(&mut draw);
        let settings = Settings {
            walls: draw.whole(2, 5),
            bottom_skins: 3,
            top_skins: 4,
            core: CoreFill { density: draw.between(0.12, 0.4), ..drawn.core },
            ..drawn
        };
        let (shape, bodies, pockets) = bodies(&mut draw, &settings, height, 24.0 * height);
        let slices = slice(&bodies, height, height);
        let flaw = flaw(&mut draw, &slices[9].outline()[0].outer, settings.walls);
        let dialect = crate::case::dialect(&mut draw);
        let flawed = Settings { flaws: vec![flaw], ..settings.clone() };
        Self {
            sound: Case::laid(shape, settings, dialect.clone(), &slices, &pockets),
            flawed: Case::laid(shape, flawed, dialect, &slices, &pockets),
        }
    }
}

fn flaw(draw: &mut Draw, outer: &[Point], walls: u32) -> Flaw {
    let first = draw.whole(6, 9) as usize;
    let layers = first..=first + draw.whole(3, 6) as usize;
    match draw.whole(0, 4) {
        0 => Flaw::FewWalls { layers, walls: walls - 1 },
        1 => Flaw::Flow { layers, share: draw.between(0.55, 0.8), by_override: draw.yes(0.5) },
        2 => {
            let from = draw.whole(0, outer.len() as u32 - 1) as usize;
            let at = outer[from].lerp(outer[(from + 1) % outer.len()], 0.5);
            Flaw::WallGap { layers, at, size_mm: draw.between(2.4, 4.0) }
        }
        // So many layers that the sound ones are the exception.
        3 => Flaw::Flow { layers: 4..=19, share: draw.between(0.55, 0.8), by_override: draw.yes(0.5) },
        _ => Flaw::OpenTop { layers: 4 },
    }
}

fn findings(case: &Case) -> Result<Vec<Finding>, String> {
    let setup = setup()?;
    let measures = measured(&case.gcode)?;
    let context = AuditContext { measures: &measures, setup: &setup, strength: None, cases: &[] };
    Ok(audit_print(&context).findings.into_iter().filter(|f| FAULTS.contains(&f.code)).collect())
}

/// What the audit gets wrong about the twins.
pub fn wrong_about(twins: &Twins) -> Vec<String> {
    let (sound, flawed) = match (findings(&twins.sound), findings(&twins.flawed)) {
        (Ok(sound), Ok(flawed)) => (sound, flawed),
        (Err(error), _) | (_, Err(error)) => return vec![error],
    };
    let mut wrong: Vec<String> =
        sound.iter().map(|f| format!("sound, yet {} {:?} at {:?}: {}", f.code, f.layers, f.at, f.message)).collect();
    let flaw = &twins.flawed.truth.flaws[0];
    let codes: &[&str] = if flaw.code == "few-walls" { &["few-walls", "thin-wall"] } else { &[flaw.code] };
    let right = |f: &&Finding| {
        let [first, last] = flaw.layers;
        let layers = f.layers.is_some_and(|(a, b)| a <= last && first <= b && a >= first && b <= last);
        let place = match (flaw.at_mm, f.at) {
            (Some([x, y]), Some(at)) => at.distance(Point::new(x, y)) < 0.5 * 4.0 + 1.0,
            (Some(_), None) => false,
            (None, _) => true,
        };
        codes.contains(&f.code) && (layers || flaw.code == "thin-skin") && place
    };
    if !flawed.iter().any(|f| right(&f)) {
        let seen: Vec<String> = flawed.iter().map(|f| format!("{} {:?} {:?}", f.code, f.layers, f.at)).collect();
        wrong.push(format!("{flaw:?} not found; found {seen:?}"));
    }
    wrong
}
