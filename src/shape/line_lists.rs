//! Lists of what each of many lines meets, all in one piece of memory.
//!
//! ```text
//!   told:    2..=4 may meet something, and 3..=3 too
//!   line     2   3     4
//!   room    [ ] [   ] [ ]     counted first, so that nothing has to be sorted by line or moved
//! ```

use std::ops::RangeInclusive;

/// What each line of a run of them meets.
pub(super) struct LineLists<T> {
    first_line: i64,
    /// Where each line's share begins.
    begins: Vec<usize>,
    /// Where what the line has met so far ends.
    ends: Vec<usize>,
    items: Vec<T>,
}

impl<T: Copy + Default> LineLists<T> {
    /// With room for what crosses lines as told; a range may be empty.
    pub fn for_crossings<'a>(ranges: impl Iterator<Item = &'a RangeInclusive<i64>> + Clone) -> Self {
        let ranges = ranges.filter(|range| !range.is_empty());
        let first_line = ranges.clone().map(|range| *range.start()).min().unwrap_or(0);
        let after = ranges.clone().map(|range| range.end() + 1).max().unwrap_or(0);
        // First by how much more meets a line than the one before it.
        let mut more = vec![0_i64; (after - first_line) as usize + 1];
        for range in ranges {
            more[(range.start() - first_line) as usize] += 1;
            more[(range.end() + 1 - first_line) as usize] -= 1;
        }
        more.pop();
        let (mut meeting, mut all) = (0, 0);
        let room = |more: &i64| {
            meeting += more;
            let begin = all;
            all += meeting as usize;
            begin
        };
        let begins: Vec<usize> = more.iter().map(room).collect();
        Self { first_line, ends: begins.clone(), begins, items: vec![T::default(); all] }
    }

    /// Adds to what a line has met; it was told before that this line may meet so many.
    pub fn add(&mut self, line: i64, item: T) {
        let end = &mut self.ends[(line - self.first_line) as usize];
        self.items[*end] = item;
        *end += 1;
    }
}

impl<T> LineLists<T> {
    /// The number of the first line.
    pub fn first_line(&self) -> i64 {
        self.first_line
    }

    /// What each line has met, from the first line on.
    pub fn lines(&mut self) -> impl Iterator<Item = &mut [T]> {
        let mut rest = &mut self.items[..];
        let mut at = 0;
        self.begins.iter().zip(&self.ends).map(move |(&begin, &end)| {
            let (_, from_begin) = std::mem::take(&mut rest).split_at_mut(begin - at);
            let (line, after) = from_begin.split_at_mut(end - begin);
            (rest, at) = (after, end);
            line
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_gets_what_it_meets_and_no_more() {
        let nothing = RangeInclusive::new(7, 6);
        let mut met = LineLists::for_crossings([-3..=-1, nothing, -1..=-1, 1..=1].iter());
        assert_eq!(met.first_line(), -3);
        [(-1, 5), (-3, 4), (1, 9), (-1, 6)].into_iter().for_each(|(line, item)| met.add(line, item));
        // -2 may meet something and does not, nothing is to be met by 0.
        let lists: Vec<Vec<i32>> = met.lines().map(|line| line.to_vec()).collect();
        assert_eq!(lists, [vec![4], vec![], vec![5, 6], vec![], vec![9]]);
    }

    #[test]
    fn no_crossing_makes_no_line() {
        assert_eq!(LineLists::<f64>::for_crossings([RangeInclusive::new(3, 2)].iter()).lines().count(), 0);
    }
}
