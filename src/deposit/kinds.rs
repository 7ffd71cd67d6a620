//! What the runs at the bottom belong to: purge, raft or part.

use super::height::Usual;
use super::run::Run;
use super::strand::rough_width_mm;
use super::{BeadGrid, LayerKind};
use std::collections::VecDeque;

/// A raft has at most so many runs.
const MOST_RAFT_RUNS: usize = 12;
/// Purge lines at most at the start of the first layer.
const MOST_PURGE_PIECES: usize = 8;

/// Kinds of the first runs, as far as they are not plainly layers of the part.
pub(super) fn leading(runs: &[Run], usual: Option<Usual>) -> VecDeque<LayerKind> {
    let mut kinds = VecDeque::new();
    let purges = runs.iter().enumerate().take_while(|(i, run)| is_purge(run, runs.get(i + 1), *i)).count();
    // A file that never leaves the bed has its part there.
    if purges < runs.len() {
        kinds.extend(std::iter::repeat_n(LayerKind::Purge, purges));
        let raft = usual.map_or(0, |usual| raft_runs(&runs[purges..], usual));
        kinds.extend(std::iter::repeat_n(LayerKind::Raft, raft));
    }
    kinds
}

/// At or below the bed, or (the very first) above the run that follows.
fn is_purge(run: &Run, next: Option<&Run>, place: usize) -> bool {
    let above = next.is_some_and(|next| run.z_mm > next.z_mm + 0.015);
    run.z_mm <= 0.0 || (place == 0 && above && !run.rising)
}

/// How many runs are a raft: lines without loops, fat at the bottom, then an air gap that the flow does not
/// fill, and loops above it.
fn raft_runs(runs: &[Run], usual: Usual) -> usize {
    let Some(first) = runs.first() else { return 0 };
    let count = (1..runs.len().min(MOST_RAFT_RUNS)).find(|i| {
        let step = runs[*i].z_mm - runs[*i - 1].z_mm;
        let unfilled = runs[*i].area_mm2 < 0.82 * step * usual.area_per_height_mm;
        step > 1.4 * usual.step_mm && unfilled && runs[*i].loops().next().is_some()
    });
    let typical = usual.area_per_height_mm * usual.step_mm;
    let plain = |count: usize| runs[..count].iter().all(|r| r.loops().count() * 3 <= r.pieces.len());
    count.filter(|c| plain(*c) && first.area_mm2 > 1.5 * typical).unwrap_or(0)
}

/// How many pieces at the start of the part's first run are purge lines: open, on their own, never built on.
pub(super) fn purge_pieces(run: &Run, above: Option<&Run>) -> usize {
    let width = rough_width_mm(run.area_mm2);
    let mut count = 0;
    for (number, piece) in run.pieces.iter().enumerate().take(MOST_PURGE_PIECES) {
        if number + 1 == run.pieces.len() || !is_purge_line(run, piece.beads.clone(), width) {
            break;
        }
        count = number + 1;
    }
    // Lines laid side by side are judged together: the first `count` against all the rest.
    while count > 0 && !stands_alone(run, above, count, width) {
        count -= 1;
    }
    count
}

fn is_purge_line(run: &Run, beads: std::ops::Range<usize>, width_mm: f64) -> bool {
    let beads = &run.beads[beads];
    let (Some(first), Some(last)) = (beads.first(), beads.last()) else { return false };
    let length: f64 = beads.iter().map(|b| b.length_mm).sum();
    let open = first.from.distance(last.to) > 0.3 * width_mm.max(0.3);
    open && beads.len() <= 12 && length > 5.0
}

fn stands_alone(run: &Run, above: Option<&Run>, count: usize, width_mm: f64) -> bool {
    let Some(end) = run.pieces.get(count - 1).map(|p| p.beads.end) else { return false };
    let Some(above) = above else { return false };
    let rest = BeadGrid::new(&run.beads, |i| i >= end);
    let built = BeadGrid::new(&above.beads, |_| true);
    super::roles::places(&run.beads[..end], 2.0)
        .all(|(p, _)| !rest.any_near(p, 3.0 * width_mm) && !built.any_near(p, 2.0 * width_mm))
}

#[cfg(test)]
mod tests {
    use super::super::by_hand::{Corners, ring, run};
    use super::*;

    const USUAL: Usual = Usual { step_mm: 0.2, area_per_height_mm: 0.4 };
    /// The section of a usual bead, mm²: it is about 0.42 mm wide.
    const AREA_MM2: f64 = 0.08;

    fn line(x: f64) -> Corners {
        vec![(x, 0.0), (x, 40.0)]
    }

    fn block(x: f64) -> Corners {
        ring(x, 0.0, x + 20.0, 40.0, 0.0)
    }

    fn purges(heights: &[f64]) -> usize {
        let runs: Vec<Run> = heights.iter().map(|z| run(*z, AREA_MM2, &[block(0.0)])).collect();
        leading(&runs, Some(USUAL)).iter().filter(|kind| **kind == LayerKind::Purge).count()
    }

    #[test]
    fn what_is_laid_below_the_bed_or_first_of_all_above_the_next_is_purge() {
        assert_eq!(purges(&[0.0, -0.1, 0.2, 0.4]), 2);
        assert_eq!(purges(&[0.3, 0.2, 0.4]), 1);
        assert_eq!(purges(&[0.21, 0.2, 0.4]), 0, "within the rounding of heights it is not above");
        assert_eq!(purges(&[0.2, 0.2, 0.4]), 0);
        assert_eq!(purges(&[0.2, 0.4, 0.2]), 0, "a later one may be the end of an object");
        assert_eq!(purges(&[0.0, 0.0]), 0, "a file that never leaves the bed has its part there");
    }

    /// How many runs are a raft: two runs of lines, then a part with walls `step_mm` above, of beads `area_mm2` in section.
    fn rafts(bottom_mm2: f64, below: &[Corners], step_mm: f64, area_mm2: f64, part: &[Corners]) -> usize {
        let runs = [
            run(0.3, bottom_mm2, below),
            run(0.5, AREA_MM2, &[line(0.0), line(1.0)]),
            run(0.5 + step_mm, area_mm2, part),
            run(0.7 + step_mm, AREA_MM2, part),
        ];
        leading(&runs, Some(USUAL)).iter().filter(|kind| **kind == LayerKind::Raft).count()
    }

    #[test]
    fn a_raft_lies_below_a_gap_that_the_flow_does_not_fill() {
        let (lines, part) = ([line(0.0), line(1.0)], [block(0.0)]);
        let raft = |step_mm, area_mm2| rafts(0.13, &lines, step_mm, area_mm2, &part);
        // More than 1.4 usual steps: 0.28 mm.
        assert_eq!([raft(0.29, AREA_MM2), raft(0.27, AREA_MM2)], [2, 0]);
        // Less than 0.82 of what fills a step of 0.29 mm: 0.095 mm².
        assert_eq!([raft(0.29, 0.09), raft(0.29, 0.1)], [2, 0]);
        assert_eq!(rafts(0.13, &lines, 0.29, AREA_MM2, &lines), 0, "a part has walls");
    }

    #[test]
    fn a_raft_is_made_of_lines_and_fat_at_the_bottom() {
        let part = [block(0.0)];
        let below = |paths: &[Corners]| rafts(0.13, paths, 0.29, AREA_MM2, &part);
        // At most a third of its strands close.
        assert_eq!(below(&[block(0.0), line(1.0), line(2.0)]), 2);
        assert_eq!(below(&[block(0.0), line(1.0)]), 0);
        // More than one and a half usual sections: 0.12 mm².
        assert_eq!(rafts(0.121, &[line(0.0)], 0.29, AREA_MM2, &part), 2);
        assert_eq!(rafts(0.119, &[line(0.0)], 0.29, AREA_MM2, &part), 0);
    }

    /// Purge lines at the start of a first run: `path`, then a block `rest_mm` beside the line x = 0 and on the next run
    /// one `above_mm` beside it.
    fn lines_before(path: Corners, rest_mm: f64, above_mm: f64) -> usize {
        let first = run(0.2, AREA_MM2, &[path, block(rest_mm)]);
        purge_pieces(&first, Some(&run(0.4, AREA_MM2, &[block(above_mm)])))
    }

    #[test]
    fn a_purge_line_is_open_long_and_plain() {
        let before = |path| lines_before(path, 10.0, 10.0);
        // Out and back beside itself; ends within 0.3 of a width (0.126 mm) close it.
        let hairpin = |gap: f64| vec![(0.0, 0.0), (0.0, 40.0), (gap, 40.0), (gap, 0.0)];
        assert_eq!([before(hairpin(0.5)), before(hairpin(0.14)), before(hairpin(0.11))], [1, 1, 0]);
        let upwards = |beads: u32, mm: f64| (0..=beads).map(|k| (0.0, mm * f64::from(k) / f64::from(beads))).collect();
        assert_eq!([before(upwards(12, 40.0)), before(upwards(13, 40.0))], [1, 0]);
        assert_eq!([before(upwards(1, 5.1)), before(upwards(1, 4.9))], [1, 0]);
    }

    #[test]
    fn a_purge_line_stands_alone() {
        // Three widths (1.26 mm) from everything else on its height, two (0.84 mm) from what is built above.
        assert_eq!(lines_before(line(0.0), 1.3, 1.3), 1);
        assert_eq!(lines_before(line(0.0), 1.2, 1.3), 0);
        assert_eq!(lines_before(line(0.0), 1.3, 0.87), 1);
        assert_eq!(lines_before(line(0.0), 1.3, 0.81), 0);
    }
}
