//! An edge of an outline by the distance along it: where samples of the walls lie, and where it bends.
//!
//! ```text
//!   +--o--o--o--+      + corners, each with its station (how far from the first) and its turn
//!   |           o      o samples, each with the inward normal over a little way on both sides of it
//! ```

use crate::geom::{Point, Ring, edges_of};

/// Samples lie at most this far apart along an edge, mm; further where the edge is longer than so many of them.
const SAMPLE_STEP_MM: f64 = 1.0;

/// No part has an edge of 100 m: a damaged file may ask for one of kilometres.
const MOST_SAMPLES: usize = 100_000;

/// A ring by the distance along it.
pub(super) struct Track<'a> {
    ring: &'a Ring,
    /// Distance along the ring at which each corner lies, and the whole length at the end.
    stations: Vec<f64>,
    /// Change of direction at each corner, radians, left positive.
    turns: Vec<f64>,
}

impl<'a> Track<'a> {
    pub fn new(ring: &'a Ring) -> Self {
        let mut stations = vec![0.0];
        for segment in edges_of(ring) {
            stations.push(stations[stations.len() - 1] + segment.length_mm());
        }
        let count = ring.len();
        let turns = (0..count)
            .map(|i| {
                let (a, b, c) = (ring[(i + count - 1) % count], ring[i], ring[(i + 1) % count]);
                let (before, after) = (b - a, c - b);
                before.cross(after).atan2(before.dot(after))
            })
            .collect();
        Self { ring, stations, turns }
    }

    fn length(&self) -> f64 {
        self.stations[self.stations.len() - 1]
    }

    /// Distances along the ring at which samples lie.
    pub fn spots(&self) -> Vec<f64> {
        let length = self.length();
        let count = ((length / SAMPLE_STEP_MM).ceil() as usize).clamp(4, MOST_SAMPLES);
        (0..count).map(|i| (i as f64 + 0.5) * length / count as f64).collect()
    }

    fn point(&self, s: f64) -> Point {
        let s = s.rem_euclid(self.length().max(1e-12));
        let i = self.stations.partition_point(|x| *x <= s).clamp(1, self.ring.len()) - 1;
        let (a, b) = (self.ring[i], self.ring[(i + 1) % self.ring.len()]);
        let span = self.stations[i + 1] - self.stations[i];
        a.lerp(b, if span > 0.0 { (s - self.stations[i]) / span } else { 0.0 })
    }

    /// The point at distance `s` and the inward normal there, over `around_mm` on both sides. Outer rings run
    /// counter-clockwise and holes clockwise, so inwards is to the left.
    pub fn place(&self, s: f64, around_mm: f64) -> (Point, Point) {
        let around = around_mm.min(0.1 * self.length());
        let chord = self.point(s + around) - self.point(s - around);
        (self.point(s), chord.unit().unwrap_or(Point::new(1.0, 0.0)).left())
    }

    /// Whether within `zone_mm` along the ring there is a stretch of `window_mm` whose turn (radians, left
    /// positive) is `too_much`.
    pub fn bends_near(&self, s: f64, zone_mm: f64, window_mm: f64, too_much: impl Fn(f64) -> bool) -> bool {
        let length = self.length();
        if zone_mm * 2.0 >= length {
            return self.turns.iter().any(|t| too_much(*t));
        }
        let mut recent: Vec<(f64, f64)> = Vec::new();
        for (station, turn) in self.corners_between(s - zone_mm, s + zone_mm) {
            recent.push((station, turn));
            let turned: f64 = recent.iter().filter(|r| station - r.0 <= window_mm).map(|r| r.1).sum();
            if too_much(turned) {
                return true;
            }
        }
        false
    }

    /// Corners with their distances, from `low` to `high` (which may run past the ring's ends).
    fn corners_between(&self, low: f64, high: f64) -> impl Iterator<Item = (f64, f64)> + '_ {
        let (length, count) = (self.length(), self.ring.len());
        let laps = (low / length).floor();
        let first = self.stations[..count].partition_point(|x| *x < low - laps * length);
        (0..count).map_while(move |k| {
            let at = first + k;
            let station = self.stations[at % count] + (laps + (at / count) as f64) * length;
            (station <= high).then(|| (station, self.turns[at % count]))
        })
    }
}
