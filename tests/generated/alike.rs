//! The same part in two dialects, held against each other.

use beadwise::measure::{LayerMeasure, PrintMeasures};
use beadwise::profile::Role;
use beadwise::rebead::{Dialect, Words};

/// Every way of writing that says the same, with a name and by how much the time may differ (a share: arcs and
/// wipes move otherwise, and dwells wait).
pub fn dialects() -> Vec<(&'static str, Dialect, f64)> {
    let base = Dialect::default();
    let all = Dialect {
        relative_xyz: true,
        relative_e: true,
        inches: true,
        numbered: true,
        crlf: true,
        compact: true,
        lower_case: true,
        trimmed: true,
        words: Words::Silent,
        layer_comments: false,
        ..base.clone()
    };
    vec![
        ("silent", Dialect { words: Words::Silent, layer_comments: false, ..base.clone() }, 1e-3),
        ("other words", Dialect { words: Words::Other, ..base.clone() }, 1e-3),
        ("false words", Dialect { words: Words::False, ..base.clone() }, 1e-3),
        ("trailing words", Dialect { trailing: true, parentheses: true, ..base.clone() }, 1e-3),
        ("relative", Dialect { relative_xyz: true, ..base.clone() }, 1e-3),
        ("relative filament", Dialect { relative_e: true, ..base.clone() }, 1e-3),
        ("inches", Dialect { inches: true, ..base.clone() }, 1e-3),
        ("volumetric", Dialect { volumetric: true, ..base.clone() }, 0.02),
        ("reset", Dialect { reset_e: true, trimmed: true, ..base.clone() }, 1e-3),
        ("carriage returns", Dialect { crlf: true, all_words: true, ..base.clone() }, 1e-3),
        ("numbered", Dialect { numbered: true, travel_g1: true, ..base.clone() }, 1e-3),
        ("small", Dialect { lower_case: true, compact: true, ..base.clone() }, 1e-3),
        ("firmware retraction", Dialect { firmware_retraction: true, ..base.clone() }, 0.03),
        ("retracting on the way", Dialect { retract_on_travel: true, ..base.clone() }, 0.1),
        ("arcs", Dialect { arcs: true, ..base.clone() }, 0.1),
        ("overrides", Dialect { flow_percent: Some(92.0), speed_percent: Some(70.0), ..base.clone() }, 0.01),
        ("dwells", Dialect { dwell: Some((3, 400)), ..base.clone() }, 0.1),
        ("ripple", Dialect { ripple_mm: 0.02, ..base }, 0.5),
        ("all at once", all.clone(), 1e-3),
        ("all at once, with arcs", Dialect { arcs: true, firmware_retraction: true, ..all }, 0.12),
    ]
}

/// What differs in walls and pockets.
pub fn shape_differences(one: &PrintMeasures, other: &PrintMeasures) -> Vec<String> {
    let mut found = Differences(Vec::new());
    found.share("layers", one.layers.len() as f64, other.layers.len() as f64, 0.0);
    for (a, b) in one.layers.iter().zip(&other.layers) {
        found.layer(a, b, false);
    }
    found.pockets(one, other);
    found.0
}

/// What differs by more than rounding.
///
/// Roles are compared unless the words are false: where there are words, they are taken.
pub fn differences(one: &PrintMeasures, other: &PrintMeasures, time: f64, written: &Dialect) -> Vec<String> {
    let rippled = written.ripple_mm > 0.0;
    let mut found = Differences(Vec::new());
    found.share("filament", one.totals.filament_mm, other.totals.filament_mm, 3e-4);
    found.share("volume", one.totals.volume_mm3, other.totals.volume_mm3, 3e-4);
    found.share("moving time", one.totals.time.moving_s(), other.totals.time.moving_s(), time);
    found.share("layers", one.layers.len() as f64, other.layers.len() as f64, 0.0);
    for (a, b) in one.layers.iter().zip(&other.layers) {
        found.layer(a, b, rippled);
    }
    for role in [Role::OuterWall, Role::InnerWall, Role::SparseInfill, Role::SolidInfill] {
        if written.words != Words::False {
            found.near(role.word(), share_of(one, role), share_of(other, role), 0.03);
        }
    }
    found.pockets(one, other);
    found.0
}

fn share_of(print: &PrintMeasures, role: Role) -> f64 {
    let volume: f64 = print.roles.iter().filter(|r| r.role == role).map(|r| r.volume_mm3).sum();
    volume / print.totals.volume_mm3
}

struct Differences(Vec<String>);

impl Differences {
    fn near(&mut self, what: &str, one: f64, other: f64, within: f64) {
        if !((one - other).abs() <= within) {
            self.0.push(format!("{what}: {one} and {other}"));
        }
    }

    fn share(&mut self, what: &str, one: f64, other: f64, within: f64) {
        self.near(what, one, other, within * one.abs());
    }

    fn pockets(&mut self, one: &PrintMeasures, other: &PrintMeasures) {
        self.share("pockets", one.pockets.len() as f64, other.pockets.len() as f64, 0.0);
        for (a, b) in one.pockets.iter().zip(&other.pockets) {
            self.near("pocket x", a.centre.x, b.centre.x, 0.02);
            self.near("pocket y", a.centre.y, b.centre.y, 0.02);
            self.near("pocket size", a.size_mm, b.size_mm, 0.03);
            if (a.shape, a.access, a.stop_after_layer) != (b.shape, b.access, b.stop_after_layer) {
                self.0.push(format!("pocket {a:?} and {b:?}"));
            }
        }
    }

    fn layer(&mut self, a: &LayerMeasure, b: &LayerMeasure, rippled: bool) {
        let name = |what: &str| format!("layer {} {what}", a.index);
        // Where heights swing, so does the area that a volume makes.
        let (height, section) = if rippled { (0.021, 0.02) } else { (2e-3, 5e-3) };
        self.near(&name("top"), a.z_mm, b.z_mm, height);
        self.near(&name("thickness"), a.height_mm, b.height_mm, height);
        self.share(&name("volume"), a.volume_mm3, b.volume_mm3, 1e-3);
        let area = |l: &LayerMeasure| l.outline_area_mm2.unwrap_or(f64::NAN);
        self.share(&name("outline"), area(a), area(b), 2e-3);
        let counts = |l: &LayerMeasure| (l.walls_min.map(|m| m.0), l.walls_median);
        if counts(a) != counts(b) {
            self.0.push(format!("{}: {:?} and {:?}", name("walls"), counts(a), counts(b)));
        }
        match (a.core_density, b.core_density) {
            (Some(one), Some(other)) => self.near(&name("core"), one, other, 0.01),
            (None, None) => {}
            (one, other) => self.0.push(format!("{}: {one:?} and {other:?}", name("core"))),
        }
        if let (Some(one), Some(other)) = (a.section, b.section) {
            self.share(&name("ixx"), one.ixx_mm4, other.ixx_mm4, section);
            self.share(&name("iyy"), one.iyy_mm4, other.iyy_mm4, section);
        }
    }
}
