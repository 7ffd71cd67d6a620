//! What is true of a part as laid, so that measurements can be checked against it.

use super::laid::Laid;
use super::part::Slice;
use super::settings::Flaw;
use crate::geom::{Point, Polygon};
use crate::profile::Role;
use serde::Serialize;
use std::collections::BTreeMap;

/// What is true of a part as laid.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Truth {
    /// Bead width asked for, mm.
    pub bead_width_mm: f64,
    /// Walls asked for.
    pub walls: u32,
    /// Solid layers asked for above floors.
    pub bottom_skins: u32,
    /// Solid layers asked for below roofs.
    pub top_skins: u32,
    /// Share of the sparse core that is filled; `None` where there is none.
    pub core_density: Option<f64>,
    /// Filament of each tool, mm.
    pub filament_mm: BTreeMap<u16, f64>,
    /// Plastic, mm³.
    pub volume_mm3: f64,
    /// Plastic by role, mm³.
    pub volume_by_role_mm3: BTreeMap<&'static str, f64>,
    /// Layer by layer from the bed up.
    pub layers: Vec<TrueLayer>,
    /// Pockets that need a stop.
    pub pockets: Vec<TruePocket>,
    /// Layers before which the file stops for a person.
    pub stops_before: Vec<usize>,
    /// Deliberate faults.
    pub flaws: Vec<TrueFlaw>,
}

/// What is true of one layer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrueLayer {
    /// Top, mm.
    pub z_mm: f64,
    /// Thickness, mm.
    pub height_mm: f64,
    /// Plastic of the part, mm³.
    pub part_mm3: f64,
    /// Area within the outline, mm².
    pub outline_mm2: f64,
    /// Walls asked for.
    pub walls: u32,
    /// Area of the sparse core, mm².
    pub core_mm2: f64,
    /// Area of skins and other solid fill within the walls, mm².
    pub solid_mm2: f64,
    /// Share of the sparse core that is filled.
    pub core_density: Option<f64>,
}

/// A pocket, as drawn in the plane and as printed in height.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TruePocket {
    /// Its shape: `round` or `hex`.
    pub shape: &'static str,
    /// Centre in x, mm.
    pub cx_mm: f64,
    /// Centre in y, mm.
    pub cy_mm: f64,
    /// Diameter, or distance across flats, mm.
    pub size_mm: f64,
    /// Height of its floor, mm.
    pub floor_z_mm: f64,
    /// Height of its roof, mm.
    pub roof_z_mm: f64,
    /// The last layer to print before the insert goes in.
    pub stop_after_layer: usize,
}

/// A deliberate fault.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrueFlaw {
    /// Its finding code.
    pub code: &'static str,
    /// First and last layer.
    pub layers: [usize; 2],
    /// Where in the plane, if at one place, mm.
    pub at_mm: Option<[f64; 2]>,
}

/// A pocket as drawn, before it is cut into layers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pocket {
    /// `round` or `hex`.
    pub shape: &'static str,
    /// Its centre.
    pub centre: Point,
    /// Diameter, or distance across flats, mm.
    pub size_mm: f64,
    /// Floor as drawn, mm.
    pub floor_z_mm: f64,
    /// Roof as drawn, mm.
    pub roof_z_mm: f64,
}

impl Pocket {
    /// The same in the layers that have it open; `None` if none has.
    #[must_use]
    pub fn printed(&self, slices: &[Slice]) -> Option<TruePocket> {
        let open = |s: &Slice| {
            let middle = s.z_mm - 0.5 * s.height_mm;
            (self.floor_z_mm - 1e-9..self.roof_z_mm - 1e-9).contains(&middle)
        };
        let first = slices.iter().position(open)?;
        let last = slices.iter().rposition(open)?;
        Some(TruePocket {
            shape: self.shape,
            cx_mm: self.centre.x,
            cy_mm: self.centre.y,
            size_mm: self.size_mm,
            floor_z_mm: rounded(slices[first].z_mm - slices[first].height_mm, 6),
            roof_z_mm: slices[last].z_mm,
            stop_after_layer: last,
        })
    }
}

impl Truth {
    /// What is true of `laid`, which was laid from `slices`.
    #[must_use]
    pub fn of(laid: &Laid, slices: &[Slice], pockets: &[Pocket], stops_before: Vec<usize>) -> Self {
        let settings = &laid.settings;
        let by_role = Role::ALL.into_iter().map(|role| (role.word(), rounded(laid.volume_of_mm3(role), 4)));
        let tools = laid.tools();
        Self {
            bead_width_mm: settings.bead_width_mm,
            walls: settings.walls,
            bottom_skins: settings.bottom_skins,
            top_skins: settings.top_skins,
            core_density: laid.core_density().map(|d| rounded(d, 5)),
            filament_mm: tools.iter().map(|&t| (t, rounded(laid.filament_mm(t), 4))).collect(),
            volume_mm3: rounded(tools.iter().map(|&t| laid.volume_of_tool_mm3(t)).sum(), 4),
            volume_by_role_mm3: by_role.filter(|(_, volume)| *volume > 0.0).collect(),
            layers: true_layers(laid),
            pockets: pockets.iter().filter_map(|p| p.printed(slices)).collect(),
            stops_before,
            flaws: settings.flaws.iter().map(|flaw| true_flaw(flaw, laid.layers.len())).collect(),
        }
    }
}

fn true_layers(laid: &Laid) -> Vec<TrueLayer> {
    let of = |layer: &super::LaidLayer| TrueLayer {
        z_mm: layer.z_mm,
        height_mm: rounded(layer.height_mm, 6),
        part_mm3: rounded(layer.part_mm3(), 4),
        outline_mm2: rounded(layer.outline.iter().map(Polygon::area_mm2).sum(), 4),
        walls: layer.walls,
        core_mm2: rounded(layer.core_mm2, 4),
        solid_mm2: rounded(layer.solid_mm2, 4),
        core_density: layer.core_density().map(|d| rounded(d, 4)),
    };
    laid.layers.iter().map(of).collect()
}

fn true_flaw(flaw: &Flaw, layer_count: usize) -> TrueFlaw {
    let band = |code, layers: &std::ops::RangeInclusive<usize>, at: Option<Point>| TrueFlaw {
        code,
        layers: [*layers.start(), *layers.end()],
        at_mm: at.map(|p| [p.x, p.y]),
    };
    match flaw {
        Flaw::FewWalls { layers, .. } => band("few-walls", layers, None),
        Flaw::Flow { layers, share, .. } if *share < 1.0 => band("starved-flow", layers, None),
        Flaw::Flow { layers, .. } => band("excess-flow", layers, None),
        Flaw::WallGap { layers, at, .. } => band("wall-gap", layers, Some(*at)),
        Flaw::OpenTop { layers } => {
            let first = layer_count.saturating_sub(*layers);
            band("thin-skin", &(first..=layer_count.saturating_sub(1)), None)
        }
    }
}

/// Rounded to so many decimals, for files that stay the same from machine to machine.
fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10_f64.powi(decimals);
    (value * scale).round() / scale
}
