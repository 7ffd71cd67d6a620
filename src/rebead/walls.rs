//! Walls: loops that follow the edges of an outline, one pitch further in each time.
//!
//! ```text
//!   edge   |<- w/2 ->o<--- s --->o<--- s --->o     o: centrelines of walls 0, 1, 2
//! ```
//!
//! The beads fill a region that starts (w - s) / 2 inside the edge; each wall takes a strip one pitch s wide off
//! it. What is too narrow for two strips gets one bead as wide as it is, or stays empty.

use super::rib::{Rib, ribs};
use super::settings::Settings;
use crate::geom::{Polygon, Ring, difference, offset};

/// Two beads that would touch exactly are still laid, mm.
const SLACK_MM: f64 = 2e-4;

/// One closed wall.
#[derive(Debug, Clone, PartialEq)]
pub struct WallLoop {
    /// 0 for the outermost.
    pub depth: u32,
    /// It goes round a hole.
    pub hole: bool,
    /// Its centreline.
    pub ring: Ring,
}

/// The walls of an outline and what they leave.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WallSet {
    /// Closed walls, from the outside in.
    pub loops: Vec<WallLoop>,
    /// Single beads where two did not fit, with the number of walls outside them.
    pub ribs: Vec<(u32, Rib)>,
    /// What is left within the walls: its edge lies half a pitch inside the innermost centreline.
    pub inside: Vec<Polygon>,
}

/// Lays `walls` walls along every edge of `outline` in a layer of the given height.
#[must_use]
pub fn lay_walls(outline: &[Polygon], walls: u32, height_mm: f64, settings: &Settings) -> WallSet {
    let pitch = settings.pitch_mm(height_mm);
    let mut region = offset(outline, -0.5 * (settings.bead_width_mm - pitch));
    let mut set = WallSet::default();
    for depth in 0..walls {
        let inner = offset(&region, SLACK_MM - pitch);
        if settings.thin_ribs {
            let narrow = difference(&region, &offset(&inner, pitch - SLACK_MM));
            set.ribs.extend(ribs(&narrow, pitch).into_iter().map(|rib| (depth, rib)));
        }
        let centrelines = offset(&inner, 0.5 * pitch - SLACK_MM);
        set.loops.extend(centrelines.into_iter().flat_map(|polygon| loops_of(polygon, depth)));
        region = offset(&inner, -SLACK_MM);
        if region.is_empty() {
            break;
        }
    }
    set.inside = region;
    set
}

fn loops_of(polygon: Polygon, depth: u32) -> impl Iterator<Item = WallLoop> {
    let outer = WallLoop { depth, hole: false, ring: polygon.outer };
    std::iter::once(outer).chain(polygon.holes.into_iter().map(move |ring| WallLoop { depth, hole: true, ring }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Point, signed_area};
    use crate::rebead::drawing::{polygon, rectangle};
    use approx::assert_relative_eq;

    fn settings(walls: u32) -> Settings {
        Settings { walls, ..Settings::default() }
    }

    #[test]
    fn centrelines_lie_half_a_width_and_then_a_pitch_inside() {
        let block = rectangle(Point::new(3.0, 1.0), Point::new(33.0, 11.0));
        let set = lay_walls(&[block], 3, 0.2, &settings(3));
        let s = 0.407_079_63;
        for (k, wall) in set.loops.iter().enumerate() {
            let depth = 2.0 * (0.225 + k as f64 * s);
            assert_eq!(wall.depth, k as u32);
            assert_relative_eq!(signed_area(&wall.ring), (30.0 - depth) * (10.0 - depth), epsilon = 1e-3);
        }
        let left = 2.0 * (0.225 + 2.5 * s);
        assert_relative_eq!(set.inside[0].area_mm2(), (30.0 - left) * (10.0 - left), epsilon = 1e-2);
        assert!(set.ribs.is_empty());
    }

    #[test]
    fn a_rib_narrower_than_two_beads_gets_one_as_wide_as_itself() {
        // A body 20 x 8 with a rib 0.7 wide and 9 long on it.
        let comb = polygon(&[
            (0.0, 0.0),
            (20.0, 0.0),
            (20.0, 8.0),
            (7.7, 8.0),
            (7.7, 17.0),
            (7.0, 17.0),
            (7.0, 8.0),
            (0.0, 8.0),
        ]);
        let set = lay_walls(&[comb], 2, 0.2, &settings(2));
        assert_eq!((set.loops.len(), set.ribs.len()), (2, 1));
        let (depth, rib) = &set.ribs[0];
        assert_eq!((*depth, rib.closed), (0, false));
        assert_relative_eq!(rib.length_mm(), 9.0, epsilon = 0.02);
        // Its own strip is narrower than the rib by the share of a bead that its round flanks leave empty.
        assert!(rib.strip_mm.iter().all(|u| (u - (0.7 - 0.45 + 0.407_08)).abs() < 1e-3), "{rib:?}");
    }

    #[test]
    fn walls_that_meet_in_a_rib_leave_a_single_bead_between() {
        // 1.6 wide: two beads from each side would be 1.671 wide, so one from each side and a wider one between.
        let bar = rectangle(Point::new(0.0, 0.0), Point::new(30.0, 1.6));
        let set = lay_walls(&[bar], 2, 0.2, &settings(2));
        assert_eq!((set.loops.len(), set.ribs.len()), (1, 1));
        let (depth, rib) = &set.ribs[0];
        assert_eq!(*depth, 1);
        assert_relative_eq!(rib.strip_mm[0], 1.6 - 0.042_92 - 2.0 * 0.407_08, epsilon = 2e-3);
    }

    #[test]
    fn without_thin_ribs_the_place_stays_empty() {
        let bar = rectangle(Point::new(0.0, 0.0), Point::new(30.0, 0.6));
        let set = lay_walls(&[bar], 2, 0.2, &Settings { thin_ribs: false, ..settings(2) });
        assert!(set.loops.is_empty() && set.ribs.is_empty());
    }
}
