//! Places along an edge where fewer beads hold than elsewhere in the layer.

use super::layer_shape::{ThinPlace, WallSample, Walls};
use crate::geom::Point;

/// A place is at least so many neighbouring points long, about a millimetre each.
const LEAST_POINTS: usize = 3;

/// In a web whose walls just meet the beads of both faces count where they do, and beside that place they part.
const MOST_BETWEEN: usize = 3;

/// Stretches of neighbouring points, away from corners, with fewer beads than the layer's median. The two edges of a
/// thin web give it twice; the second is left out.
pub(super) fn thin_places(rings: &[Vec<WallSample>], walls: &Walls) -> Vec<ThinPlace> {
    let Some(usual) = walls.median.filter(|m| *m > 1) else { return Vec::new() };
    let mut places: Vec<ThinPlace> = Vec::new();
    for ring in rings {
        let few = |s: &WallSample| s.count < usual;
        // Begin where enough beads are, so that no stretch is cut in two at the ring's first point.
        let Some(start) = ring.iter().position(|s| !few(s)) else { continue };
        let turned: Vec<WallSample> = ring[start..].iter().chain(&ring[..start]).copied().collect();
        for run in stretches(&turned, few) {
            if run.iter().filter(|s| !s.corner).count() < LEAST_POINTS {
                continue;
            }
            let place = place_of(run, usual);
            let known = |p: &ThinPlace| p.at.distance(place.at) < 0.5 * p.length_mm.max(place.length_mm);
            if !places.iter().any(known) {
                places.push(place);
            }
        }
    }
    places
}

/// The runs of points that are `few`; so many others between two of them do not part them.
fn stretches(ring: &[WallSample], few: impl Fn(&WallSample) -> bool) -> Vec<&[WallSample]> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (i, _) in ring.iter().enumerate().filter(|(_, s)| few(s)) {
        match runs.last_mut() {
            Some((_, end)) if i - *end <= MOST_BETWEEN => *end = i + 1,
            _ => runs.push((i, i + 1)),
        }
    }
    runs.into_iter().map(|(from, to)| &ring[from..to]).collect()
}

/// The stretch's middle, half-way through what holds there, with the fewest beads along it.
fn place_of(run: &[WallSample], usual: u32) -> ThinPlace {
    let count = run.iter().map(|s| s.count).min().unwrap_or(0);
    let middle = run.len() / 2;
    let sample = run[middle];
    let thickness_mm = run.iter().map(|s| s.thickness_mm).fold(f64::INFINITY, f64::min);
    let next = run[(middle + 1).min(run.len() - 1)].at;
    let before = run[middle.saturating_sub(1)].at;
    let inward = (next - before).unit().map_or(Point::default(), Point::left);
    let length_mm = run.windows(2).map(|w| w[0].at.distance(w[1].at)).sum();
    ThinPlace { at: sample.at + inward * (0.5 * sample.thickness_mm), length_mm, thickness_mm, count, usual }
}
