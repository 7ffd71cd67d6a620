//! Where the fill of a layer may lie: within its innermost walls, less the walls in there that do not close and the
//! slivers that these leave.
//!
//! ```text
//!   +-----------------+      polygon: half a pitch inside the innermost walls
//!   |        .--------|      open wall, with a sliver above it
//!   |        '--------|
//!   |  core           |
//!   +-----------------+
//! ```

use super::bit_plan::BitPlan;
use super::part_beads::Strip;
use crate::geom::{Point, Polygon, Ring, box_of};

/// Cells in the width of an open wall.
const CELLS: f64 = 8.0;

/// One piece of a layer's core.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct CoreRoom {
    polygon: Polygon,
    /// The open walls within its box.
    open_walls: Vec<Strip>,
    /// Half the width of the widest open wall of the layer: twice as wide at least is what is no sliver, mm.
    half_sliver_mm: f64,
}

impl CoreRoom {
    /// `open_walls` are those of the layer, strand by strand.
    pub fn new(polygon: Polygon, open_walls: &[Vec<Strip>]) -> Self {
        let widest_mm = open_walls.iter().flatten().map(|strip| strip.width_mm).fold(0.0, f64::max);
        let meeting = open_walls.iter().filter(|strand| boxes_meet(&polygon, strand));
        Self { open_walls: meeting.flatten().copied().collect(), half_sliver_mm: 0.5 * widest_mm, polygon }
    }

    /// Lowest and highest x and y it reaches, mm.
    pub fn bounds(&self) -> Option<(Point, Point)> {
        box_of(&self.polygon.outer)
    }

    /// The same with x and y exchanged.
    pub fn turned(&self) -> Self {
        let turned = |p: Point| Point::new(p.y, p.x);
        let ring = |ring: &Ring| ring.iter().map(|&p| turned(p)).collect();
        let strip = |s: &Strip| Strip { from: turned(s.from), to: turned(s.to), ..*s };
        Self {
            polygon: Polygon { outer: ring(&self.polygon.outer), holes: self.polygon.holes.iter().map(ring).collect() },
            open_walls: self.open_walls.iter().map(strip).collect(),
            ..*self
        }
    }

    /// Its area, mm²; what open walls take of it is counted in cells.
    pub fn area_mm2(&self) -> f64 {
        let whole_mm2 = self.polygon.area_mm2();
        if self.open_walls.is_empty() {
            return whole_mm2;
        }
        let cell_mm = 2.0 * self.half_sliver_mm / CELLS;
        let Some(mut drawn) = self.bounds().and_then(|(low, high)| BitPlan::over(low, high, cell_mm, 1)) else {
            return whole_mm2;
        };
        drawn.draw_polygons(std::slice::from_ref(&self.polygon));
        let polygon_mm2 = drawn.area_mm2();
        self.take_open_walls(&mut drawn);
        whole_mm2 * drawn.area_mm2() / polygon_mm2.max(f64::MIN_POSITIVE)
    }

    /// Sets its cells in an empty plan.
    pub fn draw(&self, into: &mut BitPlan) {
        into.draw_polygons(std::slice::from_ref(&self.polygon));
        if !self.open_walls.is_empty() {
            self.take_open_walls(into);
        }
    }

    /// Clears the cells of open walls, and slivers.
    fn take_open_walls(&self, plan: &mut BitPlan) {
        let mut walls = plan.like();
        self.open_walls.iter().for_each(|strip| walls.draw_strip(strip));
        plan.take_away(&walls);
        let steps = (self.half_sliver_mm / plan.cell_mm).round() as usize;
        plan.shrink(steps / 2, steps.div_ceil(2));
        plan.grow(steps / 2, steps.div_ceil(2));
    }
}

fn boxes_meet(polygon: &Polygon, strand: &[Strip]) -> bool {
    let ends: Vec<Point> = strand.iter().flat_map(|strip| [strip.from, strip.to]).collect();
    let half_mm = 0.5 * strand.iter().map(|strip| strip.width_mm).fold(0.0, f64::max);
    box_of(&polygon.outer).zip(box_of(&ends)).is_some_and(|((low, high), (strand_low, strand_high))| {
        let aside = Point::new(half_mm, half_mm);
        let (from, to) = (strand_low - aside, strand_high + aside);
        from.x <= high.x && from.y <= high.y && to.x >= low.x && to.y >= low.y
    })
}

#[cfg(test)]
mod tests {
    use super::super::bit_plan::tests::rectangle;
    use super::*;
    use approx::assert_relative_eq;

    fn strip(from: (f64, f64), to: (f64, f64)) -> Strip {
        Strip { from: Point::new(from.0, from.1), to: Point::new(to.0, to.1), width_mm: 0.4 }
    }

    #[test]
    fn without_open_walls_the_area_is_exact() {
        let frame = Polygon { holes: vec![rectangle(5.0, 5.0, 9.0, 15.0).outer], ..rectangle(1.0, 2.0, 31.0, 38.0) };
        assert_relative_eq!(CoreRoom::new(frame.clone(), &[]).area_mm2(), 30.0 * 36.0 - 40.0, epsilon = 1e-9);
        let aside = vec![strip((50.0, 3.0), (60.0, 3.0))];
        assert_relative_eq!(CoreRoom::new(frame, &[aside]).area_mm2(), 30.0 * 36.0 - 40.0, epsilon = 1e-9);
    }

    /// By hand: 20 x 10 less a wall of 0.4 x 20 and a sliver of 0.3 x 20 between it and the edge.
    #[test]
    fn an_open_wall_takes_its_sliver_with_it() {
        let wall = vec![strip((-1.0, 0.5), (21.0, 0.5))];
        let room = CoreRoom::new(rectangle(0.0, 0.0, 20.0, 10.0), &[wall]);
        assert_relative_eq!(room.area_mm2(), 20.0 * (10.0 - 0.7), max_relative = 0.005);
        assert_relative_eq!(room.turned().area_mm2(), room.area_mm2(), max_relative = 0.005);
        let mut plan = BitPlan::over(Point::new(0.0, 0.0), Point::new(20.0, 10.0), 0.05, 3).unwrap_or_default();
        room.draw(&mut plan);
        assert_relative_eq!(plan.area_mm2(), room.area_mm2(), max_relative = 0.01);
    }

    /// By hand: the room beyond the wall is 1.3 mm wide, so it stays.
    #[test]
    fn an_open_wall_in_the_middle_takes_itself_only() {
        let wall = vec![strip((0.0, 1.5), (12.0, 1.5)), strip((12.0, 1.5), (12.0, 10.0))];
        let room = CoreRoom::new(rectangle(0.0, 0.0, 20.0, 10.0), &[wall]);
        assert_relative_eq!(room.area_mm2(), 200.0 - 0.4 * (12.2 + 8.3), max_relative = 0.003);
    }

    /// By hand: 20 x 10 less the 0.1 mm that a wall 0.4 mm wide, laid 0.1 mm outside of an edge, reaches in along it.
    #[test]
    fn an_open_wall_just_outside_takes_what_it_reaches_in() {
        let outside = [
            (strip((-1.0, -0.1), (21.0, -0.1)), 20.0),
            (strip((-1.0, 10.1), (21.0, 10.1)), 20.0),
            (strip((-0.1, -1.0), (-0.1, 11.0)), 10.0),
            (strip((20.1, -1.0), (20.1, 11.0)), 10.0),
        ];
        for (wall, long_mm) in outside {
            let room = CoreRoom::new(rectangle(0.0, 0.0, 20.0, 10.0), &[vec![wall]]);
            assert_relative_eq!(room.area_mm2(), 200.0 - 0.1 * long_mm, max_relative = 0.001);
        }
    }
}
