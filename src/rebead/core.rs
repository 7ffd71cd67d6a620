//! What fills the inside of the walls: solid skins and the sparse core.

use super::lines::{Family, extent, joined_lines, separate_lines};
use super::settings::{CoreFill, Lie, Pattern};
use crate::geom::{Point, Polygon, offset, ring_length_mm};

/// Waves are drawn with this many pieces each.
const PIECES_PER_WAVE: usize = 16;

/// A wave is this many times as long as its lines are apart, and swings out by [`WAVE_SWING`] of that distance.
const WAVE_LENGTH: f64 = 4.0;

/// How far a wave swings to either side, as a share of the distance between lines.
const WAVE_SWING: f64 = 0.35;

/// Lines of fill; each is one strand, closed ones repeat their first point.
pub type Lines = Vec<Vec<Point>>;

/// A patch narrower than this many pitches on the mean is a sliver.
const SLIVER_PITCHES: f64 = 1.75;

/// Fills a region completely with lines at one pitch, joined end to end. The region's edge lies half a pitch
/// from the centreline of its neighbour.
///
/// Slivers, as between walls that nearly meet, are filled with short lines across them, from edge to edge: joined ones,
/// which keep off the edges, would leave half of a sliver bare.
#[must_use]
pub fn solid_lines(region: &[Polygon], pitch_mm: f64, angle_deg: f64) -> Lines {
    let (slivers, wide): (Vec<&Polygon>, Vec<&Polygon>) = region.iter().partition(|patch| is_sliver(patch, pitch_mm));
    let wide: Vec<Polygon> = wide.into_iter().cloned().collect();
    let mut lines: Lines = offset(&wide, -0.5 * pitch_mm)
        .iter()
        .flat_map(|island| {
            let island = std::slice::from_ref(island);
            evenly(island, pitch_mm, angle_deg).map_or_else(Vec::new, |family| joined_lines(island, family, region))
        })
        .collect();
    for sliver in slivers {
        let sliver = std::slice::from_ref(sliver);
        lines.extend(evenly(sliver, pitch_mm, angle_deg).into_iter().flat_map(|family| separate_lines(sliver, family)));
    }
    lines
}

fn is_sliver(patch: &Polygon, pitch_mm: f64) -> bool {
    let edges_mm: f64 = patch.rings().map(|ring| ring_length_mm(ring)).sum();
    2.0 * patch.area_mm2() < SLIVER_PITCHES * pitch_mm * edges_mm
}

/// Lines that stand evenly between the two sides of an island: what is left over is shared between both.
fn evenly(island: &[Polygon], pitch_mm: f64, angle_deg: f64) -> Option<Family> {
    let (low, high) = extent(island, angle_deg)?;
    let spare = (high - low) % pitch_mm;
    Some(Family { angle_deg, pitch_mm, phase_mm: low + 0.5 * spare })
}

/// Fills a region with a core of the wanted density.
///
/// `pitch_mm` is the distance between beads that fill the layer completely; `anchor` is a point that all layers
/// share, so that aligned lines lie on each other.
#[must_use]
pub fn core_lines(region: &[Polygon], core: &CoreFill, pitch_mm: f64, layer: usize, anchor: Point) -> Lines {
    if !(core.density > 0.0 && pitch_mm > 0.0) {
        return Vec::new();
    }
    let odd = layer % 2 == 1;
    let one = pitch_mm / core.density;
    match core.pattern {
        Pattern::Straight | Pattern::Grid | Pattern::Triangles => straight_lines(region, core, pitch_mm, odd, anchor),
        Pattern::Concentric => {
            let start = match (core.lie, odd) {
                (Lie::Aligned, _) => 0.5,
                (Lie::Crossed, false) => 0.25,
                (Lie::Crossed, true) => 0.75,
            };
            concentric_lines(region, one, start)
        }
        Pattern::Wavy => {
            let turned_deg = if core.lie == Lie::Crossed && odd { 90.0 } else { 0.0 };
            wavy_lines(region, one, core.angle_deg + turned_deg, anchor)
        }
    }
}

/// Families of straight lines; several share the density between them.
fn straight_lines(region: &[Polygon], core: &CoreFill, pitch_mm: f64, odd: bool, anchor: Point) -> Lines {
    let angles = core.family_angles_deg(odd);
    let apart_mm = angles.len() as f64 * pitch_mm / core.density;
    // Joins run along the walls, a whole pitch off the last of them; separate lines end half a pitch off.
    let joined = if core.joined { offset(region, -0.5 * pitch_mm) } else { Vec::new() };
    let beside_mm = core.beside_mm[usize::from(odd)];
    let family = |(angle_deg, beside_mm): (f64, f64)| {
        let phase_mm = anchor.dot(direction(angle_deg).left()) + beside_mm;
        let family = Family { angle_deg, pitch_mm: apart_mm, phase_mm };
        if core.joined { joined_lines(&joined, family, region) } else { separate_lines(region, family) }
    };
    angles.into_iter().zip(beside_mm).flat_map(family).collect()
}

fn direction(angle_deg: f64) -> Point {
    Point::new(angle_deg.to_radians().cos(), angle_deg.to_radians().sin())
}

/// Loops that follow the region's edge, the first this share of a distance inside it.
fn concentric_lines(region: &[Polygon], apart_mm: f64, start: f64) -> Lines {
    let mut lines = Lines::new();
    let mut depth = start * apart_mm;
    loop {
        let inner = offset(region, -depth);
        if inner.is_empty() {
            return lines;
        }
        for ring in inner.iter().flat_map(Polygon::rings) {
            let mut line = ring.clone();
            line.extend(ring.first().copied());
            lines.push(line);
        }
        depth += apart_mm;
    }
}

/// Waves side by side, further apart than straight lines would be by as much as they are longer.
fn wavy_lines(region: &[Polygon], apart_mm: f64, angle_deg: f64, anchor: Point) -> Lines {
    let apart = apart_mm * wave_stretch();
    let (along, across) = (direction(angle_deg), direction(angle_deg).left());
    let swing = WAVE_SWING * apart;
    let (Some((low, high)), Some((first, last))) = (extent(region, angle_deg), extent(region, angle_deg - 90.0)) else {
        return Vec::new();
    };
    let step = WAVE_LENGTH * apart / PIECES_PER_WAVE as f64;
    let middle = (anchor.dot(across), anchor.dot(along));
    let row = |y: f64| ((y - middle.0) / apart).floor() as i64;
    let place = |x: f64| ((x - middle.1) / step).floor() as i64;
    let mut lines = Lines::new();
    for number in row(low - swing)..=row(high + swing) + 1 {
        let y = middle.0 + number as f64 * apart;
        let wave: Vec<Point> = (place(first) - 1..=place(last) + 2)
            .map(|i| {
                let phase = std::f64::consts::TAU * i as f64 / PIECES_PER_WAVE as f64;
                along * (middle.1 + i as f64 * step) + across * (y + swing * phase.sin())
            })
            .collect();
        let mut cut = crate::geom::clip_line(&wave, region, false);
        if number.rem_euclid(2) == 1 {
            cut.reverse();
            cut.iter_mut().for_each(|piece| piece.reverse());
        }
        lines.extend(cut);
    }
    lines
}

/// How much longer a wave is than the straight line below it.
fn wave_stretch() -> f64 {
    let at = |i: usize| {
        let turn = i as f64 / PIECES_PER_WAVE as f64;
        Point::new(WAVE_LENGTH * turn, WAVE_SWING * (std::f64::consts::TAU * turn).sin())
    };
    (0..PIECES_PER_WAVE).map(|i| at(i).distance(at(i + 1))).sum::<f64>() / WAVE_LENGTH
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rebead::drawing::rectangle;
    use approx::assert_relative_eq;

    const PITCH: f64 = 0.4;

    fn length(lines: &Lines) -> f64 {
        lines.iter().flat_map(|l| l.windows(2)).map(|p| p[0].distance(p[1])).sum()
    }

    fn block() -> Vec<Polygon> {
        vec![rectangle(Point::new(1.0, 2.0), Point::new(61.0, 42.0))]
    }

    #[test]
    fn every_pattern_has_the_density_asked_for() {
        for pattern in [Pattern::Straight, Pattern::Grid, Pattern::Triangles, Pattern::Concentric, Pattern::Wavy] {
            for density in [0.1, 0.25, 0.6] {
                let core = CoreFill { pattern, density, ..CoreFill::default() };
                let mean: f64 = (0..2)
                    .map(|layer| length(&core_lines(&block(), &core, PITCH, layer, Point::new(31.0, 22.0))) / 2.0)
                    .sum();
                let share = mean * PITCH / (60.0 * 40.0);
                assert_relative_eq!(share, density, max_relative = 0.03);
            }
        }
    }

    #[test]
    fn aligned_lines_repeat_and_crossed_lines_do_not() {
        let anchor = Point::new(0.0, 0.0);
        for pattern in [Pattern::Straight, Pattern::Grid, Pattern::Triangles, Pattern::Concentric, Pattern::Wavy] {
            let of = |lie, layer| {
                core_lines(&block(), &CoreFill { pattern, lie, ..CoreFill::default() }, PITCH, layer, anchor)
            };
            assert_eq!(of(Lie::Aligned, 0), of(Lie::Aligned, 1));
            assert_ne!(of(Lie::Crossed, 0), of(Lie::Crossed, 1));
        }
    }

    #[test]
    fn no_density_no_lines() {
        for density in [0.0, -1.0, f64::NAN] {
            let core = CoreFill { density, ..CoreFill::default() };
            assert!(core_lines(&block(), &core, PITCH, 0, Point::new(0.0, 0.0)).is_empty());
        }
    }

    #[test]
    fn solid_lines_fill_the_region() {
        for angle in [0.0, 45.0, 90.0] {
            let share = length(&solid_lines(&block(), PITCH, angle)) * PITCH / 2400.0;
            assert_relative_eq!(share, 1.0, max_relative = 0.012);
        }
    }
}
