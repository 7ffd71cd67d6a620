//! Plans of cells that grow and shrink by octagons.
//!
//! ```text
//!   # cell     + what one step of the square adds, and of the cross after it
//!                                  + + +
//!         + + +                  + + # + +
//!         + # +       then       + # # # +
//!         + + +                  + + # + +
//!        (square)                  + + +
//! ```
//!
//! Only the window that holds set cells is looked at: a plan is often much larger than what is drawn in it.

use super::bit_plan::{BitPlan, Window};

/// The longest leap: within a word and its neighbours.
const LONGEST_LEAP: usize = 63;

impl BitPlan {
    /// Sets every cell within an octagon of a set one: `cross` steps of a cross, then `square` steps of a square.
    pub fn grow(&mut self, cross: usize, square: usize) {
        self.leap(cross, square, |a, b| a | b, 0);
    }

    /// Clears every cell within an octagon of one that is not set; beyond the plan is taken for set.
    pub fn shrink(&mut self, cross: usize, square: usize) {
        self.leap(cross, square, |a, b| a & b, u64::MAX);
    }

    /// Several steps of a cross and then of a square, in leaps that get longer: what has gone `n` steps of a square all
    /// round leaves no gap when it leaps over `n + 1` cells, of a cross when it leaps over half of `n + 2`. No cell is
    /// then reached only by going too far and back again, so the edge of the plan changes nothing.
    fn leap(&mut self, cross: usize, square: usize, join: impl Fn(u64, u64) -> u64, beyond: u64) {
        let Some(mut window) = self.set_window() else { return };
        let mut joined = self.like();
        self.set_beyond(beyond);
        joined.set_beyond(beyond);
        for (count, diagonals) in [(cross, false), (square, true)] {
            let mut gone = 0;
            while gone < count {
                let furthest = if diagonals { gone + 1 } else { gone / 2 + 1 };
                let by = furthest.min(count - gone).min(LONGEST_LEAP);
                if beyond == 0 {
                    window = window.wider(by, 1, self);
                }
                self.join_into(&mut joined, &window, by, diagonals, &join, beyond);
                std::mem::swap(self, &mut joined);
                gone += by;
            }
        }
        self.set_beyond(0);
    }

    /// Joins every cell of a window with those `by` cells away, four of them, or eight with `diagonals`; `beyond` lies
    /// off the plan. What lies outside of the window is the same in both plans.
    fn join_into(
        &self,
        joined: &mut Self,
        window: &Window,
        by: usize,
        diagonals: bool,
        join: &impl Fn(u64, u64) -> u64,
        beyond: u64,
    ) {
        let (words, off) = (window.words.clone(), vec![beyond; self.words]);
        let row_at = |row: Option<usize>| match row.filter(|row| *row < self.rows) {
            Some(row) => self.row(row),
            None => &off[..],
        };
        let around = words.start.saturating_sub(1)..(words.end + 1).min(self.words);
        let mut upright = vec![0; self.words];
        for row in window.rows.clone() {
            let (over, own, under) = (row_at(row.checked_sub(by)), self.row(row), row_at(Some(row + by)));
            let into = &mut joined.bits[row * self.words..(row + 1) * self.words][words.clone()];
            if diagonals {
                let three = over[around.clone()].iter().zip(&own[around.clone()]).zip(&under[around.clone()]);
                let upright_around = upright[around.clone()].iter_mut().zip(three);
                upright_around.for_each(|(into, ((a, b), c))| *into = join(join(*a, *b), *c));
                widen(&upright, words.start, into, by, join, beyond);
            } else {
                widen(own, words.start, into, by, join, beyond);
                let two = over[words.clone()].iter().zip(&under[words.clone()]);
                into.iter_mut().zip(two).for_each(|(into, (a, b))| *into = join(join(*a, *b), *into));
            }
        }
        joined.set_beyond(beyond);
    }
}

/// Words of a row, from `first` on, with every cell joined with the ones `by` (1 to 63) cells before and after it.
fn widen(row: &[u64], first: usize, wide: &mut [u64], by: usize, join: &impl Fn(u64, u64) -> u64, beyond: u64) {
    let joined = |before: u64, word: u64, after: u64| {
        join(join(word << by | before >> (64 - by), word >> by | after << (64 - by)), word)
    };
    let plain = &row[first..first + wide.len()];
    let [Some(last), before] = [plain.len().checked_sub(1), first.checked_sub(1)] else { return };
    let before = before.map_or(beyond, |at| row[at]);
    let after = row.get(first + wide.len()).copied().unwrap_or(beyond);
    // The inner words in a plain loop over three slices, which becomes one over several words at a time.
    let inner = wide.iter_mut().skip(1).zip(plain).zip(plain.iter().skip(1)).zip(plain.iter().skip(2));
    inner.for_each(|(((into, &before), &word), &after)| *into = joined(before, word, after));
    wide[0] = joined(before, plain[0], plain.get(1).copied().unwrap_or(after));
    if last > 0 {
        wide[last] = joined(plain[last - 1], plain[last], after);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::bit_plan::tests::{plan, rectangle};
    use super::*;
    use crate::geom::Point;

    #[test]
    fn an_octagon_grows_as_far_aslant_as_along() {
        let mut drawn = plan(40.0, 0.05);
        drawn.draw_polygons(&[rectangle(19.98, 19.98, 20.02, 20.02)]);
        drawn.grow(3, 3);
        let within = |x: f64, y: f64| {
            let (column, row) = drawn.cell_at(Point::new(20.0 + x, 20.0 + y)).unwrap();
            drawn.row(row)[column / 64] >> (column % 64) & 1 == 1
        };
        assert!(within(0.28, 0.0) && within(0.0, -0.28) && within(0.2, 0.2) && within(-0.2, 0.2));
        assert!(!within(0.36, 0.0) && !within(0.0, 0.36) && !within(0.28, 0.28));
    }

    #[test]
    fn growing_and_shrinking_closes_cracks_and_keeps_the_rest() {
        let mut drawn = plan(40.0, 0.1);
        drawn.draw_polygons(&[rectangle(5.0, 5.0, 15.0, 30.0), rectangle(15.8, 5.0, 30.0, 30.0)]);
        drawn.grow(3, 3);
        drawn.shrink(3, 3);
        assert!((drawn.area_mm2() / 625.0 - 1.0).abs() < 0.01, "{}", drawn.area_mm2());
        let mut across_the_edge = plan(3.0, 0.1);
        across_the_edge.draw_polygons(&[rectangle(-9.0, -9.0, 9.0, 9.0)]);
        let before = across_the_edge.area_mm2();
        across_the_edge.shrink(2, 2);
        assert_eq!(across_the_edge.area_mm2(), before, "beyond the plan nothing is known to be clear");
    }

    #[test]
    fn leaps_reach_as_far_as_steps() {
        for (cross, square) in [(20, 22), (6, 6), (1, 2), (5, 0), (0, 7), (70, 66)] {
            let margin = (cross + square + 1) as f64;
            let mut drawn =
                BitPlan::new(Point::new(0.0, 0.0), 1.0, 2 * (cross + square) + 75, 2 * (cross + square) + 40);
            // Specks and bars at no even places.
            for i in 0..9 {
                let at = Point::new(margin + f64::from(i * i % 60), margin + f64::from(i * 7 % 31));
                drawn.draw_polygons(&[rectangle(at.x, at.y, at.x + 0.7 + f64::from(i % 4), at.y + 0.8)]);
            }
            let (mut leaping, mut stepping) = (drawn.clone(), drawn.clone());
            leaping.grow(cross, square);
            (0..cross).for_each(|_| stepping.grow(1, 0));
            (0..square).for_each(|_| stepping.grow(0, 1));
            assert!(leaping.area_mm2() > drawn.area_mm2());
            assert_eq!(leaping, stepping, "{cross} {square}");
            leaping.shrink(cross, square);
            (0..cross).for_each(|_| stepping.shrink(1, 0));
            (0..square).for_each(|_| stepping.shrink(0, 1));
            assert_eq!(leaping, stepping, "{cross} {square}");
        }
    }
}
