//! Troubles at one place that go up through neighbouring layers: one finding for all of them.

use crate::geom::Point;

/// A trouble seen in one layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Seen {
    /// Index of the layer.
    pub layer: usize,
    /// Where, mm.
    pub at: Point,
    /// How bad it is; greater is worse.
    pub badness: f64,
}

/// The same trouble through layers that follow each other.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Column {
    /// First and last layer.
    pub layers: (usize, usize),
    /// The worst of it.
    pub worst: Seen,
    /// Where it was seen in its last layer and the one before.
    latest: Vec<(usize, Point)>,
    /// Sum of the places where it was seen.
    sum: Point,
    /// How often it was seen.
    seen: u32,
}

impl Column {
    /// The middle of the places where it was seen.
    pub fn middle(&self) -> Point {
        self.sum * (1.0 / f64::from(self.seen))
    }
}

/// Joins troubles of neighbouring layers that lie within `reach_mm` of each other in plan. `seen` is in order of layers.
pub(super) fn columns(seen: impl IntoIterator<Item = Seen>, reach_mm: f64) -> Vec<Column> {
    let mut columns: Vec<Column> = Vec::new();
    for trouble in seen {
        let near = |&(layer, at): &(usize, Point)| trouble.layer <= layer + 1 && at.distance(trouble.at) <= reach_mm;
        let goes_on = |c: &&mut Column| c.latest.iter().any(near);
        match columns.iter_mut().rev().find(goes_on) {
            Some(column) => {
                column.layers.1 = trouble.layer;
                column.latest.retain(|(layer, _)| trouble.layer <= layer + 1);
                column.latest.push((trouble.layer, trouble.at));
                column.sum = column.sum + trouble.at;
                column.seen += 1;
                if trouble.badness > column.worst.badness {
                    column.worst = trouble;
                }
            }
            None => columns.push(Column {
                layers: (trouble.layer, trouble.layer),
                worst: trouble,
                latest: vec![(trouble.layer, trouble.at)],
                sum: trouble.at,
                seen: 1,
            }),
        }
    }
    columns
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_trouble_that_goes_up_is_one_trouble() {
        let seen = |layer, x, badness| Seen { layer, at: Point::new(x, 7.0), badness };
        let found = columns([seen(3, 1.0, 2.0), seen(3, 20.0, 1.0), seen(4, 1.5, 3.0), seen(6, 1.5, 9.0)], 2.0);
        assert_eq!(found.iter().map(|c| c.layers).collect::<Vec<_>>(), [(3, 4), (3, 3), (6, 6)]);
        assert!((found[0].worst.badness - 3.0).abs() < 1e-12);
    }
}
