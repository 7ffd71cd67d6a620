//! Which part of the inside must be solid because a floor lies below it or a roof above it.

use super::part::Slice;
use crate::geom::{Polygon, difference, intersect, offset, opened, union};

/// How far a bridge reaches over its edges, in pitches.
const ANCHOR_PITCHES: f64 = 2.0;

/// A solid place is a bridge when more than this share of it lies over nothing; else it is skin that spans a gap.
const BRIDGE_SHARE: f64 = 0.4;

/// The inside of one layer, sorted by what it is for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Inside {
    /// Solid, over something.
    pub skin: Vec<Polygon>,
    /// Solid, over nothing.
    pub bridge: Vec<Polygon>,
    /// Everything else.
    pub core: Vec<Polygon>,
}

/// What closes the inside at floors and roofs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Skins {
    /// Solid layers above a floor.
    pub bottom: u32,
    /// Solid layers below a roof.
    pub top: u32,
    /// How far they reach on under what stands beside them, mm.
    pub reach_mm: f64,
}

/// Outlines of all layers with the tools together, for looking up and down.
#[derive(Debug)]
pub struct Column {
    outlines: Vec<Vec<Polygon>>,
}

impl Column {
    /// The outlines of every slice.
    #[must_use]
    pub fn new(slices: &[Slice]) -> Self {
        Self { outlines: slices.iter().map(Slice::outline).collect() }
    }

    /// Outline of a layer.
    #[must_use]
    pub fn outline(&self, layer: usize) -> &[Polygon] {
        self.outlines.get(layer).map_or(&[], Vec::as_slice)
    }

    /// What all layers of a range cover; nothing if the range reaches out of the part.
    fn covered(&self, layers: std::ops::RangeInclusive<isize>) -> Vec<Polygon> {
        let mut common: Option<(Vec<Polygon>, &[Polygon])> = None;
        for layer in layers {
            let Some(next) = usize::try_from(layer).ok().and_then(|i| self.outlines.get(i)) else { return Vec::new() };
            common = match common {
                None => Some((next.clone(), next)),
                // Prisms repeat the same outline; no need to cut it with itself.
                Some((sofar, last)) if last == next.as_slice() => Some((sofar, last)),
                Some((sofar, _)) => Some((intersect(&sofar, next), next)),
            };
        }
        common.map_or_else(Vec::new, |(sofar, _)| sofar)
    }

    /// Sorts the inside of a layer: what lies within the settings' number of layers of a floor or of a roof is
    /// solid, and so is what lies beside that as far as skins reach. Slivers narrower than a pitch count as core.
    #[must_use]
    pub fn sort(&self, layer: usize, inside: &[Polygon], skins: Skins, pitch_mm: f64) -> Inside {
        let Skins { bottom, top, reach_mm } = skins;
        let at = layer as isize;
        let mut open = Vec::new();
        if bottom > 0 {
            open.extend(difference(inside, &self.covered(at - bottom as isize..=at - 1)));
        }
        if top > 0 {
            open.extend(difference(inside, &self.covered(at + 1..=at + top as isize)));
        }
        let open = opened(&open, 0.45 * pitch_mm);
        let open = if reach_mm > 0.0 { offset(&open, reach_mm) } else { open };
        let solid = intersect(inside, &open);
        let air =
            if layer == 0 { Vec::new() } else { opened(&difference(&solid, self.outline(layer - 1)), 0.45 * pitch_mm) };
        // Beads over air are laid on past its edge, or they would fall.
        let held = intersect(inside, &offset(&air, ANCHOR_PITCHES * pitch_mm));
        let solid = if air.is_empty() { solid } else { union(&solid, &held) };
        let over_air = |island: &Polygon| {
            let open: f64 = intersect(std::slice::from_ref(island), &air).iter().map(Polygon::area_mm2).sum();
            open > BRIDGE_SHARE * island.area_mm2()
        };
        let core = opened(&difference(inside, &solid), 0.1 * pitch_mm);
        let (bridge, skin) = solid.into_iter().partition(|island| !air.is_empty() && over_air(island));
        Inside { skin, bridge, core }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Point;
    use crate::rebead::drawing::rectangle;
    use crate::rebead::part::{Body, slice};
    use approx::assert_relative_eq;

    fn area(of: &[Polygon]) -> f64 {
        of.iter().map(Polygon::area_mm2).sum()
    }

    #[test]
    fn a_step_and_a_pocket_have_roofs_and_bridges() {
        let at = Point::new;
        let body = Body::new(0)
            .add(0.0, 4.0, rectangle(at(0.0, 0.0), at(30.0, 12.0)))
            .add(4.0, 6.0, rectangle(at(0.0, 0.0), at(10.0, 12.0)))
            .cut(1.0, 2.0, rectangle(at(15.0, 3.0), at(20.0, 9.0)));
        let column = Column::new(&slice(&[body], 0.2, 0.2));
        let sort = |layer| column.sort(layer, column.outline(layer), Skins { bottom: 2, top: 3, reach_mm: 0.0 }, 0.4);
        // Layers 0-1 are floor, 19 the roof of the step, 29 of the top; the pocket is open in layers 5-9.
        assert_relative_eq!(area(&sort(1).skin), 360.0, epsilon = 1e-2);
        assert_relative_eq!(area(&sort(19).skin), 20.0 * 12.0, epsilon = 1e-2);
        assert_relative_eq!(area(&sort(27).skin), 120.0, epsilon = 1e-2);
        assert_relative_eq!(area(&sort(26).skin), 0.0, epsilon = 1e-9);
        assert_relative_eq!(area(&sort(4).skin), 30.0, epsilon = 1e-2);
        // Two pitches of 0.4 mm more on every side of the pocket of 5 x 6.
        assert_relative_eq!(area(&sort(10).bridge), 6.6 * 7.6, epsilon = 1e-2);
        assert_relative_eq!(area(&sort(11).skin), 30.0, epsilon = 1e-2);
        assert_relative_eq!(area(&sort(11).core), 330.0, epsilon = 1e-2);
        // Under the upper block the roof of the step goes on for 1.5 mm.
        let reaching = column.sort(19, column.outline(19), Skins { bottom: 2, top: 3, reach_mm: 1.5 }, 0.4);
        assert_relative_eq!(area(&reaching.skin), 21.5 * 12.0, epsilon = 1e-2);
    }
}
