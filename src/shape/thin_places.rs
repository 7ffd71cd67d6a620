//! Places along an edge where fewer beads hold than elsewhere in the layer.
//!
//! A rib of a single bead is told as such, and so is no thin place too. Round its end no bead crosses the way inwards:
//!
//! ```text
//!    3 3 3 1 1 1 1 1 .       beads counted along the edges
//!    ==============/ 0
//!    3 3 3 1 1 1 1 1 .
//! ```

use super::layer_shape::{Rib, ThinPlace, WallSample, Walls};
use crate::geom::Point;

/// A place is at least so many neighbouring points long, about a millimetre each.
const LEAST_POINTS: usize = 3;

/// In a web whose walls just meet the beads of both faces count where they do, and beside that place they part.
const MOST_BETWEEN: usize = 3;

/// From the last point along a rib to one at its end, mm: points lie a millimetre apart, and the rib is narrow.
const ROUND_AN_END_MM: f64 = 2.0;

/// Stretches of neighbouring points, away from corners, with fewer beads than the layer's median, where no rib is told.
/// The two edges of a thin web give it twice; the second is left out.
pub(super) fn thin_places(rings: &[Vec<WallSample>], walls: &Walls, ribs: &[Rib]) -> Vec<ThinPlace> {
    let Some(usual) = walls.median.filter(|m| *m > 1) else { return Vec::new() };
    let mut places: Vec<ThinPlace> = Vec::new();
    for ring in rings {
        let few = |s: &WallSample| s.count < usual && !ribs.iter().any(|rib| is_of(rib, s));
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

/// Whether a point lies on one of the faces of a rib, or round its end.
fn is_of(rib: &Rib, s: &WallSample) -> bool {
    (s.is_single_bead() || s.count == 0) && rib.at.distance(s.at) < 0.5 * rib.length_mm + ROUND_AN_END_MM
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

/// The stretch's middle, half-way through what holds there, with the fewest beads along it; a lone point does not count.
fn place_of(run: &[WallSample], usual: u32) -> ThinPlace {
    let neighbours = || run.windows(LEAST_POINTS);
    let count = neighbours().filter_map(|few| few.iter().map(|s| s.count).max()).min().unwrap_or(0);
    let thickest = |few: &[WallSample]| few.iter().map(|s| s.thickness_mm).fold(0.0, f64::max);
    let thickness_mm = neighbours().map(thickest).fold(f64::INFINITY, f64::min);
    let middle = run.len() / 2;
    let sample = run[middle];
    let next = run[(middle + 1).min(run.len() - 1)].at;
    let before = run[middle.saturating_sub(1)].at;
    let inward = (next - before).unit().map_or(Point::default(), Point::left);
    let length_mm = run.windows(2).map(|w| w[0].at.distance(w[1].at)).sum();
    ThinPlace { at: sample.at + inward * (0.5 * sample.thickness_mm), length_mm, thickness_mm, count, usual }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::flow::thin_ribs;

    /// Points a millimetre apart along y = 0 and back along y = `thick`, with so many beads at each.
    fn faces(counts: &[(u32, bool)], thick: f64) -> Vec<WallSample> {
        let there = (0..counts.len()).map(|i| (Point::new(i as f64, 0.0), counts[i]));
        let back = (0..counts.len()).rev().map(|i| (Point::new(i as f64, thick), counts[i]));
        let sample = |(at, (count, through)): (Point, (u32, bool))| {
            let thickness_mm = if through { thick } else { 0.45 * f64::from(count) };
            WallSample { at, count, thickness_mm, through, corner: false }
        };
        there.chain(back).map(sample).collect()
    }

    fn walls(median: u32) -> Walls {
        Walls { median: Some(median), ..Walls::default() }
    }

    #[test]
    fn a_rib_that_is_told_is_no_thin_place_nor_is_its_end() {
        let counts = [[(3, false); 8].as_slice(), &[(1, true); 5], &[(0, false)]].concat();
        let rings = [faces(&counts, 0.6)];
        let ribs = thin_ribs(&rings);
        assert_eq!(ribs.len(), 1, "{ribs:?}");
        assert_eq!(thin_places(&rings, &walls(3), &ribs), []);
        // Untold it is one, as many beads thick as more than a lone point has.
        let [place] = thin_places(&rings, &walls(3), &[])[..] else { panic!("one place") };
        assert_eq!((place.count, place.usual, place.thickness_mm), (1, 3, 0.6), "{place:?}");
    }

    #[test]
    fn a_web_of_two_beads_beside_a_rib_is_told() {
        let counts = [[(3, false); 8].as_slice(), &[(2, true); 6], &[(1, true); 5], &[(3, false); 4]].concat();
        let rings = [faces(&counts, 0.8)];
        let places = thin_places(&rings, &walls(3), &thin_ribs(&rings));
        assert_eq!(places.iter().map(|place| place.count).collect::<Vec<_>>(), [2], "{places:?}");
        assert!((8.0..14.0).contains(&places[0].at.x), "{places:?}");
    }

    /// One face only, a millimetre from point to point; whatever counts nothing is no bead at all.
    fn along(counts: &[u32]) -> Vec<WallSample> {
        let sample = |(i, &count): (usize, &u32)| {
            let (at, thickness_mm) = (Point::new(i as f64, 0.0), 0.45 * f64::from(count));
            WallSample { at, count, thickness_mm, through: false, corner: false }
        };
        counts.iter().enumerate().map(sample).collect()
    }

    fn places(counts: &[u32], usual: u32) -> Vec<ThinPlace> {
        thin_places(&[along(counts)], &walls(usual), &[])
    }

    #[test]
    fn three_points_with_fewer_beads_are_a_place_and_two_are_none() {
        assert_eq!(places(&[3, 3, 3, 2, 2, 3, 3, 3], 3), []);
        let [place] = places(&[3, 3, 3, 2, 2, 2, 3, 3], 3)[..] else { panic!("one place") };
        // Half-way along it, and half-way through the 0.9 mm to the left of its edge.
        assert!(place.at.distance(Point::new(4.0, 0.45)) < 1e-9, "{place:?}");
        assert_eq!((place.length_mm, place.thickness_mm, place.count, place.usual), (2.0, 0.9, 2, 3));
        // Points at corners do not count; nor does a place in a layer of one bead.
        let mut bent = along(&[3, 3, 3, 2, 2, 2, 3, 3]);
        bent[4].corner = true;
        assert_eq!(thin_places(&[bent], &walls(3), &[]), []);
        assert_eq!(places(&[1, 1, 1, 0, 0, 0, 1, 1], 1), []);
    }

    #[test]
    fn three_points_between_do_not_part_a_place_and_four_do() {
        let lengths = |counts: &[u32]| places(counts, 3).iter().map(|p| p.length_mm).collect::<Vec<_>>();
        assert_eq!(lengths(&[3, 2, 2, 2, 3, 3, 3, 2, 2, 2, 3, 3]), [8.0]);
        assert_eq!(lengths(&[3, 2, 2, 2, 3, 3, 3, 3, 2, 2, 2, 3]), [2.0, 2.0]);
    }

    #[test]
    fn a_place_over_the_beginning_of_a_ring_is_one_place() {
        // Points in a circle: the ring begins in the middle of the thin stretch.
        let mut ring = along(&[2, 2, 2, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 2, 2]);
        for (i, sample) in ring.iter_mut().enumerate() {
            let (s, c) = f64::to_radians(24.0 * i as f64).sin_cos();
            sample.at = Point::new(2.4 * c, 2.4 * s);
        }
        let [place] = thin_places(&[ring], &walls(3), &[])[..] else { panic!("one place") };
        assert!(place.at.distance(Point::new(2.4 - 0.45, 0.0)) < 1e-9, "{place:?}");
        assert!((3.9..4.1).contains(&place.length_mm), "{place:?}");
    }

    /// A rib 6 mm long reaches 5 mm from its middle, with what is round its end.
    #[test]
    fn a_rib_is_told_for_its_own_points_only() {
        let rib = |x: f64| Rib { at: Point::new(x, 0.3), length_mm: 6.0, thickness_mm: 0.6 };
        let counts = [[(3, false); 8].as_slice(), &[(1, true); 7], &[(0, false); 2]].concat();
        let rings = [faces(&counts, 0.6)];
        assert_eq!(thin_places(&rings, &walls(3), &[rib(11.5)]), []);
        assert_eq!(thin_places(&rings, &walls(3), &[rib(40.0)]).len(), 1);
        // A web of two beads over the same length is no part of it.
        assert_eq!(thin_places(&[along(&[3, 3, 2, 2, 2, 2, 3, 3])], &walls(3), &[rib(4.0)]).len(), 1);
    }
}
