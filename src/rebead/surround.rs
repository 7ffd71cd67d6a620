//! What is laid round the part on the first layer: a priming line, a skirt, a brim.

use super::laid::LaidStrand;
use super::part::Slice;
use super::settings::Settings;
use crate::geom::{Point, Polygon, offset, offset_round, union};
use crate::profile::Role;

/// The priming line begins here and runs along y, mm from the corner of the bed.
const PURGE_FROM: Point = Point::new(8.0, 10.0);

/// Length of the priming line, mm.
const PURGE_MM: f64 = 60.0;

/// The strands that come before the part.
#[must_use]
pub fn surround(slice: &Slice, settings: &Settings) -> Vec<LaidStrand> {
    let tool = slice.bodies.first().map_or(0, |(tool, _)| *tool);
    let area = settings.bead_area_mm2(slice.height_mm);
    let strand = |role: Role, points: Vec<Point>, area: f64| LaidStrand {
        role,
        tool,
        areas_mm2: vec![area; points.len().saturating_sub(1)],
        closed: points.first() == points.last(),
        points,
        climbs: false,
        speed_mm_s: settings.speeds.of(role, true),
        flow: 1.0,
    };
    let mut strands = Vec::new();
    if settings.purge_line {
        let to = Point::new(PURGE_FROM.x, PURGE_FROM.y + PURGE_MM);
        strands.push(strand(Role::Purge, vec![PURGE_FROM, to], 1.6 * area));
    }
    let pitch = settings.pitch_mm(slice.height_mm);
    let filled = without_holes(&slice.outline());
    let half = 0.5 * settings.bead_width_mm;
    for number in (0..settings.skirt_loops).rev() {
        let away = settings.skirt_gap_mm + half + f64::from(number) * pitch;
        strands.extend(loops(&offset_round(&filled, away)).map(|ring| strand(Role::Adhesion, ring, area)));
    }
    for number in (0..settings.brim_loops).rev() {
        let away = pitch - half + f64::from(number) * pitch;
        strands.extend(loops(&offset(&filled, away)).map(|ring| strand(Role::Adhesion, ring, area)));
    }
    strands
}

fn without_holes(of: &[Polygon]) -> Vec<Polygon> {
    let filled: Vec<Polygon> = of.iter().map(|p| Polygon { outer: p.outer.clone(), holes: Vec::new() }).collect();
    union(&filled, &[])
}

/// Outer rings, closed.
fn loops(of: &[Polygon]) -> impl Iterator<Item = Vec<Point>> {
    of.iter().map(|polygon| polygon.outer.iter().chain(polygon.outer.first()).copied().collect())
}
