//! Flow to bead: section areas smoothed over very short moves, and widths from areas.

use super::Bead;
use crate::geom::weighted_median;
use std::f64::consts::{FRAC_PI_4, PI};
use std::ops::Range;

/// Moves shorter than this are too short for their own section: coordinates are rounded to about
/// 0.001 to 0.1 mm, so volume over length means nothing. Common practice in measuring, no source;
/// on real files the spread along a strand falls below 2 % when areas are taken over this length.
const LEAST_LENGTH_MM: f64 = 0.3;

/// No nozzle lays a bead wider than this, mm: the widest, of machines fed with pellets, are some 10 mm (from memory). A
/// damaged file may ask for metres of it, and a part of such beads would be metres wide and take for ever to measure. Their
/// plastic counts in full.
pub const WIDEST_BEAD_MM: f64 = 25.0;

/// Width of a bead of section `area_mm2` in a layer `height_mm` thick, mm.
///
/// The section is a rectangle with half-round ends, A = (w - h) h + pi h²/4 (the usual model of an
/// extruded line; common practice, no source). A bead thinner than it is tall is a round thread,
/// A = pi w²/4 (geometry).
///
/// ```
/// let area = (0.45 - 0.2) * 0.2 + std::f64::consts::PI * 0.2 * 0.2 / 4.0;
/// assert!((beadwise::deposit::width_mm(area, 0.2) - 0.45).abs() < 1e-12);
/// ```
#[must_use]
pub fn width_mm(area_mm2: f64, height_mm: f64) -> f64 {
    let thread = 2.0 * (area_mm2.max(0.0) / PI).sqrt();
    if height_mm > 0.0 && thread > height_mm { area_mm2 / height_mm + height_mm * (1.0 - FRAC_PI_4) } else { thread }
}

/// Section of a bead `width_mm` wide in a layer `height_mm` thick, mm²: the inverse of [`width_mm`].
#[must_use]
pub fn section_mm2(width_mm: f64, height_mm: f64) -> f64 {
    if width_mm > height_mm {
        (width_mm - height_mm) * height_mm + FRAC_PI_4 * height_mm * height_mm
    } else {
        FRAC_PI_4 * width_mm * width_mm
    }
}

/// Gives neighbouring short beads of one strand a common section, so that none explodes.
///
/// Volume is kept: each group's volume is spread evenly over the group's length.
pub(super) fn smooth_sections(beads: &mut [Bead], strand: Range<usize>) {
    let Some(beads) = beads.get_mut(strand) else { return };
    let mut start = 0;
    while start < beads.len() {
        let end = group_end(beads, start);
        spread(&mut beads[start..end]);
        start = end;
    }
}

/// End of the group that begins at `start`: one long bead alone, or beads up to the least length.
/// A short rest before the strand's end joins the group before it.
fn group_end(beads: &[Bead], start: usize) -> usize {
    let mut length = 0.0;
    let mut end = start;
    while end < beads.len() && length < LEAST_LENGTH_MM {
        length += beads[end].length_mm;
        end += 1;
    }
    let rest: f64 = beads[end..].iter().map(|b| b.length_mm).take(32).sum();
    if rest < LEAST_LENGTH_MM && beads.len() - end <= 32 { beads.len() } else { end }
}

fn spread(group: &mut [Bead]) {
    if group.len() < 2 {
        return;
    }
    let length: f64 = group.iter().map(|b| b.length_mm).sum();
    let volume: f64 = group.iter().map(Bead::volume_mm3).sum();
    if length > 0.0 {
        let area = volume / length;
        group.iter_mut().for_each(|b| b.area_mm2 = area);
    }
}

/// Length-weighted median section of beads, mm².
pub(super) fn median_area_mm2(beads: &[Bead]) -> Option<f64> {
    // A few thousand beads tell the median as well as a million.
    let step = beads.len().div_ceil(4096).max(1);
    let mut pairs: Vec<(f64, f64)> = beads.iter().step_by(step).map(|b| (b.area_mm2, b.length_mm)).collect();
    weighted_median(&mut pairs)
}

/// Length-weighted median width of beads, mm.
pub(super) fn median_width_mm(beads: &[Bead]) -> Option<f64> {
    let mut pairs: Vec<(f64, f64)> = beads.iter().map(|b| (b.width_mm, b.length_mm)).collect();
    weighted_median(&mut pairs)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::geom::Point;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn bead(length_mm: f64, area_mm2: f64) -> Bead {
        let (from, to) = (Point::new(0.0, 0.0), Point::new(length_mm, 0.0));
        Bead { from, to, z_mm: 0.2, length_mm, area_mm2, width_mm: 0.0, time_s: 0.1, line: 1 }
    }

    #[test]
    fn a_thread_is_round() {
        // A full circle 0.1 mm across in a layer 0.2 mm tall (geometry).
        assert_relative_eq!(width_mm(PI * 0.05 * 0.05, 0.2), 0.1, max_relative = 1e-12);
        assert_relative_eq!(width_mm(0.0, 0.2), 0.0);
    }

    #[test]
    fn a_micro_move_takes_its_neighbours_section() {
        let mut beads = vec![bead(5.0, 0.08), bead(1e-7, 40.0), bead(0.2, 0.08), bead(0.2, 0.08), bead(4.0, 0.08)];
        smooth_sections(&mut beads, 0..5);
        assert!(beads.iter().all(|b| (b.area_mm2 - 0.08).abs() < 1e-4), "{beads:?}");
    }

    proptest! {
        #[test]
        fn width_and_section_are_inverse(width in 0.02_f64..3.0, height in 0.05_f64..0.8) {
            prop_assert!((width_mm(section_mm2(width, height), height) - width).abs() < 1e-9);
        }

        #[test]
        fn smoothing_keeps_the_volume(lengths in prop::collection::vec(1e-6_f64..2.0, 1..60)) {
            let mut beads: Vec<Bead> = lengths.iter().enumerate().map(|(i, l)| bead(*l, 0.02 + 0.01 * (i % 7) as f64)).collect();
            let before: f64 = beads.iter().map(Bead::volume_mm3).sum();
            smooth_sections(&mut beads, 0..lengths.len());
            let after: f64 = beads.iter().map(Bead::volume_mm3).sum();
            prop_assert!((before - after).abs() < 1e-12 * before.max(1.0));
        }
    }
}
