//! The set cells of a plan as runs, and which of them hang together.

use super::bit_plan::BitPlan;

/// Set cells as runs along the rows.
pub(super) struct Runs {
    /// First cell of each run, and one past its last.
    pub all: Vec<(usize, usize)>,
    /// Where the runs of each row begin in `all`, and one more for the end.
    starts: Vec<usize>,
}

impl Runs {
    pub fn of(plan: &BitPlan) -> Self {
        let (mut all, mut starts) = (Vec::new(), vec![0]);
        for row in plan.each_row() {
            let begin = all.len();
            for (i, &word) in row.iter().enumerate() {
                let mut left = word;
                while left != 0 {
                    let from = left.trailing_zeros() as usize;
                    let length = (!(left >> from)).trailing_zeros() as usize;
                    left = if from + length >= 64 { 0 } else { left & (u64::MAX << (from + length)) };
                    let (from, end) = (64 * i + from, 64 * i + from + length);
                    match all[begin..].last_mut() {
                        Some((_, last)) if *last == from => *last = end,
                        _ => all.push((from, end)),
                    }
                }
            }
            starts.push(all.len());
        }
        Self { all, starts }
    }

    pub fn at(&self, column: usize, row: usize) -> Option<usize> {
        let start = *self.starts.get(row)?;
        let runs = &self.all[start..*self.starts.get(row + 1)?];
        let found = runs.partition_point(|run| run.1 <= column);
        runs.get(found).filter(|run| run.0 <= column).map(|_| start + found)
    }

    /// The runs of a row, by their place in `all`.
    pub fn of_row(&self, row: usize) -> std::ops::Range<usize> {
        self.starts[row]..self.starts[row + 1]
    }

    /// Which runs hang together over shared sides.
    pub fn joined(&self) -> Pieces {
        let mut pieces = Pieces { parents: (0..self.all.len()).collect() };
        for rows in self.starts.windows(3) {
            let (mut a, mut b) = (rows[0], rows[1]);
            while a < rows[1] && b < rows[2] {
                if self.all[a].0 < self.all[b].1 && self.all[b].0 < self.all[a].1 {
                    pieces.join(a, b);
                }
                if self.all[a].1 < self.all[b].1 { a += 1 } else { b += 1 }
            }
        }
        pieces
    }
}

/// Sets of runs that hang together (union and find).
pub(super) struct Pieces {
    parents: Vec<usize>,
}

impl Pieces {
    pub fn root(&mut self, mut at: usize) -> usize {
        while self.parents[at] != at {
            self.parents[at] = self.parents[self.parents[at]];
            at = self.parents[at];
        }
        at
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.parents[a.max(b)] = a.min(b);
    }
}
