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
