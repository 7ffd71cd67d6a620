//! Two layers at one height: the second lays the loops of the first again.

use super::run::Run;
use super::strand::rough_width_mm;
use crate::geom::Point;
use std::collections::HashMap;

/// Loops this equal in length and centroid are one loop laid twice, mm.
const SAME_MM: f64 = 0.1;
/// So many loops laid again make a layer.
const LEAST_LOOPS: usize = 3;

/// A loop to know again: its piece, length and centroid.
type Mark = (usize, f64, Point);

/// The piece where a second layer begins within a run, if one does.
///
/// A loop laid again at once (a double wall) is no new layer: every first laying has to come before
/// any second one.
pub(super) fn second_layer(run: &Run) -> Option<usize> {
    if run.rising {
        return None;
    }
    let mut seen: HashMap<(i64, i64), Vec<Mark>> = HashMap::new();
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    for (piece, length, centre) in loops(run) {
        let cell = ((centre.x / 0.5).floor() as i64, (centre.y / 0.5).floor() as i64);
        let twin = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (cell.0 + dx, cell.1 + dy))).find_map(|c| {
            let there = seen.get(&c)?;
            there.iter().find(|(_, l, p)| (l - length).abs() <= SAME_MM && p.distance(centre) <= SAME_MM).map(|t| t.0)
        });
        if let Some(first) = twin {
            pairs.push((first, piece));
        } else {
            seen.entry(cell).or_default().push((piece, length, centre));
        }
    }
    let split = pairs.iter().map(|p| p.1).min()?;
    let across = pairs.iter().filter(|p| p.0 < split).count();
    (across >= LEAST_LOOPS && across * 10 >= pairs.len() * 9 && pairs.iter().all(|p| p.1 >= split)).then_some(split)
}

/// Loops long enough to know again.
fn loops(run: &Run) -> impl Iterator<Item = Mark> {
    let least = 6.0 * rough_width_mm(run.area_mm2);
    run.loops().filter_map(move |(number, beads)| {
        let length: f64 = beads.iter().map(|b| b.length_mm).sum();
        let sum = beads.iter().fold(Point::default(), |sum, b| sum + b.from.lerp(b.to, 0.5) * b.length_mm);
        (length > least).then(|| (number, length, sum * (1.0 / length)))
    })
}

#[cfg(test)]
mod tests {
    use super::super::by_hand::{Corners, ring, run};
    use super::*;

    /// Loops of `side` mm beside each other, from the first of `which` to before the second, moved by `aside` mm.
    fn row(which: std::ops::Range<u32>, side: f64, aside: f64) -> Vec<Corners> {
        let square = |k| {
            let x = 10.0 * f64::from(k) + aside;
            ring(x, 0.0, x + side, side, 0.0)
        };
        which.map(square).collect()
    }

    fn second(paths: &[Vec<Corners>]) -> Option<usize> {
        second_layer(&run(0.2, 0.08, &paths.concat()))
    }

    #[test]
    fn three_loops_laid_again_begin_a_second_layer() {
        assert_eq!(second(&[row(0..3, 3.0, 0.0), row(0..3, 3.0, 0.0)]), Some(3));
        assert_eq!(second(&[row(0..2, 3.0, 0.0), row(0..2, 3.0, 0.0)]), None);
        assert_eq!(second(&[row(0..6, 3.0, 0.0)]), None);
        // Loops of less than six widths of path, 2.5 mm, are not looked at.
        assert_eq!(second(&[row(0..3, 0.6, 0.0), row(0..3, 0.6, 0.0)]), None);
    }

    #[test]
    fn a_loop_is_known_again_by_its_length_and_its_middle() {
        // Within a tenth of a millimetre.
        assert_eq!(second(&[row(0..3, 3.0, 0.0), row(0..3, 3.0, 0.09)]), Some(3));
        assert_eq!(second(&[row(0..3, 3.0, 0.0), row(0..3, 3.0, 0.11)]), None);
        assert_eq!(second(&[row(0..3, 3.0, 0.0), row(0..3, 3.02, -0.01)]), Some(3));
        assert_eq!(second(&[row(0..3, 3.0, 0.0), row(0..3, 3.04, -0.02)]), None);
        // It does not matter where it is cut into pieces.
        let cut = row(0..3, 3.0, 0.0).into_iter().map(|mut corners| {
            let x = corners[0].0;
            corners.insert(1, (x + 0.5, 0.0));
            corners
        });
        assert_eq!(second(&[row(0..3, 3.0, 0.0), cut.collect()]), Some(3));
    }

    #[test]
    fn a_loop_laid_again_at_once_is_a_double_wall() {
        let twice = |k: u32| [row(k..k + 1, 3.0, 0.0), row(k..k + 1, 3.0, 0.0)].concat();
        assert_eq!(second(&[twice(0), twice(1), twice(2)]), None);
        // Nine pairs of ten have to be of two layers.
        assert_eq!(second(&[row(0..9, 3.0, 0.0), row(0..9, 3.0, 0.0), twice(20)]), Some(9));
        assert_eq!(second(&[row(0..8, 3.0, 0.0), row(0..8, 3.0, 0.0), twice(20)]), None);
    }
}
