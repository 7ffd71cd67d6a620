//! Steps to strands: beads laid without travel, retraction or change of height between them.
//!
//! The only strands cut here are those that climb round and round (spiral printing): such a strand may be the
//! whole print. It is cut each time it comes past the place where the lap began, one lap higher.

use super::Bead;
use crate::geom::Point;
use crate::profile::Role;

/// Change of height that is a slope and not rounding, mm.
const SLOPE_MM: f64 = 5e-4;

/// A strand as laid.
#[derive(Debug, Clone, Default)]
pub(super) struct RawStrand {
    /// Its beads.
    pub beads: Vec<Bead>,
    /// What the comments name each bead.
    pub labels: Vec<Option<Role>>,
    /// Tool that lays it.
    pub tool: u16,
    /// From the end of the last bead before it to the end of its own last bead, s.
    pub time_s: f64,
    /// Plastic without a path that came out before or within it, mm³.
    pub blob_mm3: f64,
    /// Least and greatest set nozzle temperature, °C.
    pub nozzle_c: Option<(f64, f64)>,
    /// It is a lap of a spiral.
    pub rising: bool,
    /// First bead that changes height, and the height where that bead starts, mm.
    slope: Option<(usize, f64)>,
    /// The nozzle went down somewhere: no spiral.
    fell: bool,
    /// The lap has been well away from its start.
    away: bool,
    /// Closest the lap has come to its start again: after which bead, at what distance, mm.
    back: Option<(usize, f64)>,
}

impl RawStrand {
    /// The height changes while laying.
    pub fn sloped(&self) -> bool {
        self.slope.is_some()
    }

    /// Height that stands for the strand, mm: the highest of a spiral lap, else the mean along it.
    pub fn z_mm(&self) -> f64 {
        let Some(last) = self.beads.last() else { return 0.0 };
        if self.rising || !self.sloped() {
            return last.z_mm;
        }
        let (mut sum, mut length) = (0.0, 0.0);
        let mut before = self.slope.map_or(last.z_mm, |(_, z)| z);
        for bead in &self.beads {
            sum += 0.5 * (before + bead.z_mm) * bead.length_mm;
            length += bead.length_mm;
            before = bead.z_mm;
        }
        if length > 0.0 { sum / length } else { last.z_mm }
    }

    /// Adds a bead that starts at the height `from_z_mm`.
    pub fn add(&mut self, bead: Bead, from_z_mm: f64, label: Option<Role>, nozzle_c: Option<f64>) {
        let rise = bead.z_mm - from_z_mm;
        if rise.abs() > SLOPE_MM && self.slope.is_none() {
            self.slope = Some((self.beads.len(), from_z_mm));
        }
        self.fell |= rise < -SLOPE_MM;
        if let Some(c) = nozzle_c {
            let (low, high) = self.nozzle_c.unwrap_or((c, c));
            self.nozzle_c = Some((low.min(c), high.max(c)));
        }
        self.beads.push(bead);
        self.labels.push(label);
        self.watch_lap();
    }

    /// Where the lap that may be a spiral's began.
    fn lap_start(&self) -> Option<(usize, Point, f64)> {
        let (first, z) = self.slope?;
        Some((first, self.beads.get(first)?.from, z))
    }

    fn watch_lap(&mut self) {
        let (Some((first, start, _)), Some(last)) = (self.lap_start(), self.beads.last()) else { return };
        if self.fell {
            return;
        }
        let near_mm = 1.5 * rough_width_mm(last.area_mm2);
        if last.to.distance(start) > 2.0 * near_mm {
            self.away = true;
        }
        let count = self.beads.len();
        if !self.away || count - first < 3 {
            return;
        }
        // The start may be passed in the middle of a long bead: then the nearer end of that bead counts.
        if last.distance_mm(start) > near_mm {
            return;
        }
        let (to, from) = (last.to.distance(start), last.from.distance(start));
        let here = if from < to && count - 1 - first >= 3 { (count - 1, from) } else { (count, to) };
        if self.back.is_none_or(|(_, best)| here.1 < best) {
            self.back = Some(here);
        }
    }

    /// Cuts finished laps of a spiral off the front: a level strand before the first lap, and the lap.
    ///
    /// `step_mm` is what a layer of this print is about thick. Nothing is cut from a strand that does not climb.
    pub fn take_laps(&mut self, step_mm: f64) -> Vec<Self> {
        let (Some((first, start, z)), Some(last)) = (self.lap_start(), self.beads.last()) else { return Vec::new() };
        if self.fell {
            return Vec::new();
        }
        let last_rise = last.z_mm - z;
        let passed = last.to.distance(start) > 3.0 * rough_width_mm(last.area_mm2);
        let end = match self.back {
            Some((end, distance)) if passed || distance < 1e-3 => end,
            _ if last_rise > 1.6 * step_mm && self.beads.len() - first >= 3 => self.beads.len(),
            _ => return Vec::new(),
        };
        let rise = self.beads.get(end - 1).map_or(0.0, |b| b.z_mm - z);
        self.back = None;
        if rise < 0.25 * step_mm {
            return Vec::new();
        }
        self.cut(first, end)
    }

    fn cut(&mut self, first: usize, end: usize) -> Vec<Self> {
        let mut rest = self.split_off(end);
        let mut lap = if first > 0 { self.split_off(first) } else { std::mem::take(self) };
        lap.rising = true;
        // The next lap begins where this one ends.
        rest.rising = true;
        rest.slope = lap.beads.last().map(|b| (0, b.z_mm));
        let level = std::mem::replace(self, rest);
        if first > 0 { vec![Self { slope: None, rising: false, ..level }, lap] } else { vec![lap] }
    }

    fn split_off(&mut self, at: usize) -> Self {
        let beads = self.beads.split_off(at);
        let labels = self.labels.split_off(at);
        let time_s: f64 = beads.iter().map(|b| b.time_s).sum();
        self.time_s -= time_s;
        Self { beads, labels, tool: self.tool, time_s, nozzle_c: self.nozzle_c, slope: self.slope, ..Self::default() }
    }
}

/// About how wide a bead of this section is, mm: beads are commonly about 2.2 times as wide as their
/// section is tall when squeezed (common practice, no source). Good to a third, which is enough here.
pub(super) fn rough_width_mm(area_mm2: f64) -> f64 {
    (2.2 * area_mm2).sqrt().clamp(0.1, 5.0)
}

#[cfg(test)]
mod tests {
    use super::super::by_hand;
    use super::*;
    use approx::assert_relative_eq;

    /// A usual layer's height, mm. Beads here are about 0.42 mm wide.
    const STEP_MM: f64 = 0.2;

    fn drawn(path: &[(f64, f64, f64)], mut after_each: impl FnMut(&mut RawStrand)) -> RawStrand {
        let corners: Vec<(f64, f64)> = path.iter().map(|p| (p.0, p.1)).collect();
        let mut strand = RawStrand::default();
        for (bead, ends) in by_hand::beads(&corners).into_iter().zip(path.windows(2)) {
            strand.add(Bead { z_mm: ends[1].2, ..bead }, ends[0].2, None, None);
            after_each(&mut strand);
        }
        strand
    }

    /// How many beads each strand cut off has, and whether it is a lap of a spiral.
    fn cut(path: &[(f64, f64, f64)]) -> Vec<(usize, bool)> {
        let mut laps = Vec::new();
        drawn(path, |strand| laps.append(&mut strand.take_laps(STEP_MM)));
        laps.iter().map(|lap| (lap.beads.len(), lap.rising)).collect()
    }

    /// A path that climbs evenly from `z_mm`, by `rise_mm` in all.
    fn climbing(corners: &[(f64, f64)], z_mm: f64, rise_mm: f64) -> Vec<(f64, f64, f64)> {
        let sides = corners.windows(2).map(|c| (c[1].0 - c[0].0).hypot(c[1].1 - c[0].1));
        let along: Vec<f64> = std::iter::once(0.0)
            .chain(sides.scan(0.0, |sum, side| {
                *sum += side;
                Some(*sum)
            }))
            .collect();
        let all = along.last().copied().unwrap_or(1.0);
        corners.iter().zip(&along).map(|(c, mm)| (c.0, c.1, z_mm + rise_mm * mm / all)).collect()
    }

    #[test]
    fn a_strand_s_height_is_the_mean_along_it() {
        assert_relative_eq!(drawn(&[(0.0, 0.0, 0.2), (9.0, 0.0, 0.2)], |_| ()).z_mm(), 0.2);
        // 10 mm from 0.2 up to 0.4 mm, and 30 mm at 0.4 mm: (10 * 0.3 + 30 * 0.4) / 40.
        let path = [(0.0, 0.0, 0.2), (10.0, 0.0, 0.4), (40.0, 0.0, 0.4)];
        let mut strand = drawn(&path, |_| ());
        assert_relative_eq!(strand.z_mm(), 0.375, max_relative = 1e-12);
        strand.rising = true;
        assert_relative_eq!(strand.z_mm(), 0.4);
    }

    #[test]
    fn a_lap_that_meets_its_start_is_cut_there() {
        let three = [(0.0, 0.0), (10.0, 0.0), (0.0, 10.0), (0.0, 0.0)];
        assert_eq!(cut(&climbing(&three, 0.2, 0.2)), [(3, true)]);
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0)];
        assert_eq!(cut(&climbing(&square, 0.2, 0.2)), [(4, true)]);
        assert_eq!(cut(&climbing(&square, 0.2, 0.06)), [(4, true)], "a quarter of a step is enough");
        assert_eq!(cut(&climbing(&square, 0.2, 0.04)), [], "less is rounding");
        assert_eq!(cut(&climbing(&square, 0.4, -0.2)), [], "it climbs");
    }

    #[test]
    fn what_is_level_before_the_first_lap_is_a_strand_of_its_own() {
        let mut path = vec![(-20.0, 0.0, 0.2), (-10.0, 0.0, 0.2)];
        path.extend(climbing(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0)], 0.2, 0.2));
        assert_eq!(cut(&path), [(2, false), (4, true)]);
    }

    #[test]
    fn laps_that_pass_beside_their_start_end_where_they_are_nearest_to_it() {
        // A thin cone of 36 beads a lap, small as a pin.
        let corner = |k: u32| {
            let (turns, radius) = (f64::from(k) / 36.0, 1.4 - 0.02 * f64::from(k) / 36.0);
            let (sin, cos) = (std::f64::consts::TAU * turns).sin_cos();
            (radius * cos, radius * sin, 0.2 + STEP_MM * turns)
        };
        let path: Vec<_> = (0..=3 * 36 + 8).map(corner).collect();
        assert_eq!(cut(&path), [(36, true); 3]);
    }

    #[test]
    fn a_long_bead_past_the_start_belongs_to_the_lap_if_its_end_is_the_nearer() {
        let from = |x: f64| [(x, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0), (10.0, 0.0)];
        assert_eq!(cut(&climbing(&from(7.0), 0.2, 0.2)), [(5, true)]);
        assert_eq!(cut(&climbing(&from(3.0), 0.2, 0.2)), [(4, true)]);
        let of_three = [(3.0, 0.0), (10.0, 0.0), (0.0, 10.0), (0.0, 0.0), (10.0, 0.0)];
        assert_eq!(cut(&climbing(&of_three, 0.2, 0.2)), [(3, true)]);
    }

    #[test]
    fn no_lap_has_fewer_than_three_beads() {
        let out_and_back = [(0.0, 0.0), (20.0, 0.0), (0.0, 0.0)];
        assert_eq!(cut(&climbing(&out_and_back, 0.2, 0.2)), []);
        let level = vec![(-20.0, 5.0, 0.2), (-10.0, 5.0, 0.2)];
        assert_eq!(cut(&[level.clone(), climbing(&out_and_back, 0.2, 0.2)].concat()), []);
        // Its third bead begins nearer to the start than it ends.
        let three = climbing(&[(0.0, 0.0), (20.0, 0.0), (-1.0, 0.0), (10.0, 0.0)], 0.2, 0.25);
        assert_eq!(cut(&[level, three].concat()), [(2, false), (3, true)]);
    }

    #[test]
    fn what_climbs_without_coming_back_is_cut_at_about_a_layer_and_a_half() {
        let ramp = |beads: u32, each_mm: f64| -> Vec<(f64, f64, f64)> {
            (0..=beads).map(|k| (5.0 * f64::from(k), 0.0, 0.2 + each_mm * f64::from(k))).collect()
        };
        // More than 1.6 steps, 0.32 mm: seven beads of 0.05 mm, three of 0.15 mm; and three at least.
        assert_eq!(cut(&ramp(8, 0.05)), [(7, true)]);
        assert_eq!(cut(&ramp(3, 0.15)), [(3, true)]);
        assert_eq!(cut(&ramp(2, 0.4)), []);
        let mut after_level = vec![(-20.0, 5.0, 0.2), (-10.0, 5.0, 0.2)];
        after_level.extend(ramp(3, 0.4));
        assert_eq!(cut(&after_level), [(2, false), (3, true)]);
    }

    #[test]
    fn a_section_tells_about_how_wide_a_bead_is() {
        // The root of 2.2 times 0.08 mm².
        assert_relative_eq!(rough_width_mm(0.08), 0.4195, max_relative = 1e-4);
        assert_relative_eq!(rough_width_mm(1e-6), 0.1);
        assert_relative_eq!(rough_width_mm(1e3), 5.0);
    }
}
