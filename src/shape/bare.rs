//! How much of a core its solid fill leaves bare.
//!
//! Lines lie a pitch apart and their ends make a saw-tooth edge: the mouths between lines that turn about are bridged,
//! and cracks up to two pitches wide are closed. Lines too short to lay are left out beside the patch, which leaves
//! notches a line deep and a few lines long: these are closed too, unless a sparse line lies in them. Where a last line
//! had no room beside a wall a strip stays bare, with no sparse line in it: slivers are taken off, and only what holds a
//! sparse line counts.

use super::bit_plan::BitPlan;
use super::core_room::CoreRoom;
use super::fill::FillPiece;
use super::outline::Spacing;
use super::part_beads::Strip;
use crate::geom::{Point, Segment};

/// Cells in a pitch. Against 32 of them the density of a core is off by 0.12 points of 100 on the mean with 4, with 8
/// by 0.08 (114 layers of real and made files; in one of twenty by more than 0.24 and 0.20).
const CELLS: f64 = 4.0;
/// Steps of the cross and of the square that make up one pitch.
const PITCH_STEPS: (usize, usize) = (2, 2);
/// The same for half the width of a notch, three and a half pitches.
const NOTCH_STEPS: (usize, usize) = (7, 7);
/// The same for a sliver, narrower than half a pitch.
const SLIVER_STEPS: (usize, usize) = (0, 1);

/// A mouth is no wider than this, and the turn across it no longer, pitches: two lines at 45 degrees to the edge of a
/// patch have 1.4 of it between them, at 20 degrees 2.9.
const MOST_MOUTH: f64 = 3.0;
/// Pieces in a turn at most; more of them are no edge that is followed but a drawing of specks, slow to look through.
const MOST_TURN: usize = 32;
/// Cosine of 160 degrees: a line that turns about comes back within 20 degrees.
const BACK: f64 = -0.94;

/// What lies in a core.
struct Fill {
    /// Solid lines, a pitch wide, and what lies across the mouths between them.
    covering: Vec<Strip>,
    sparse: Vec<Segment>,
    /// Widest distance of solid lines.
    pitch_mm: f64,
}

/// Area of the core without solid fill but with sparse fill in it, mm². `solid` says of each strand whether it is.
///
/// The rooms are looked at one by one, since more lies between the parts of a plate than in them.
pub(super) fn bare_mm2(core: &[CoreRoom], pieces: &[FillPiece], solid: &[bool], spacing: Spacing) -> f64 {
    let mut fill = Fill { covering: Vec::new(), sparse: Vec::new(), pitch_mm: 0.0 };
    for strand in pieces.chunk_by(|a, b| a.strand == b.strand) {
        if solid[strand[0].strand] {
            fill.covering.extend(covering(strand, spacing));
        } else {
            fill.sparse.extend(strand.iter().map(|piece| piece.segment));
        }
    }
    fill.pitch_mm = fill.covering.iter().map(|strip| strip.width_mm).fold(0.0, f64::max);
    core.iter().map(|room| bare_of(room, &fill)).sum()
}

fn bare_of(room: &CoreRoom, fill: &Fill) -> f64 {
    let margin = NOTCH_STEPS.0 + NOTCH_STEPS.1 + 1;
    let Some((low, high)) = room.bounds() else { return 0.0 };
    // Rows of the plan run along the longer side: a few long ones take less time than many short ones.
    let tall = high.y - low.y > high.x - low.x;
    let laid = |p: Point| if tall { Point::new(p.y, p.x) } else { p };
    let segment = |from: Point, to: Point| Segment::new(laid(from), laid(to));
    let plan = BitPlan::over(laid(low), laid(high), fill.pitch_mm / CELLS, margin);
    let Some(mut whole) = plan else { return 0.0 };
    let mut sparse = fill.sparse.iter().map(|s| segment(s.from, s.to)).filter(|s| whole.meets(*s)).peekable();
    if sparse.peek().is_none() {
        return 0.0;
    }
    let lines: Vec<Point> = sparse.map(|s| s.middle()).collect();
    let mut covered = whole.like();
    for strip in &fill.covering {
        let Segment { from, to } = segment(strip.from, strip.to);
        if whole.meets(Segment::new(from, to)) {
            covered.draw_strip(&Strip { from, to, ..*strip });
        }
    }
    if tall {
        room.turned().draw(&mut whole)
    } else {
        room.draw(&mut whole)
    }
    let lines: Vec<(usize, usize)> = lines.iter().filter_map(|&p| whole.cell_at(p)).collect();
    let open = beside(&whole, &covered, PITCH_STEPS);
    // Wider gaps are closed only where these were not, so nothing else need be looked at again.
    let Some(window) = open.pieces_with(&lines).set_window() else { return 0.0 };
    let window = window.wider(REACH, REACH.div_ceil(64), &whole);
    let [open, whole, covered] = [open, whole, covered].map(|plan| plan.cut_out(&window));
    let within = |(column, row): &(usize, usize)| {
        Some((column.checked_sub(64 * window.words.start)?, row.checked_sub(window.rows.start)?))
    };
    let lines: Vec<(usize, usize)> = lines.iter().filter_map(within).collect();
    let mut smooth = beside(&whole, &covered, NOTCH_STEPS);
    // Near the edge of the window, where it may be wrong.
    smooth.keep(&open);
    let notches = without_slivers(open.without(&smooth));
    smooth.pieces_with(&lines).area_mm2() + notches.pieces_with(&lines).area_mm2()
}

/// What a solid strand covers: its lines, their round ends, and the mouths between lines that turn about, along the edge
/// of their patch:
///
/// ```text
///      /  ____/        the turn at the far end is followed by a line back; `=` lies across the mouth
///     /__/ == /__
/// ```
fn covering(strand: &[FillPiece], spacing: Spacing) -> impl Iterator<Item = Strip> {
    (0..strand.len()).flat_map(move |i| {
        let Segment { from, to } = strand[i].segment;
        let line = Strip { from, to, width_mm: spacing.pitch_mm(strand[i].area_mm2) };
        let begins = i == 0 || strand[i - 1].segment.to != from;
        let ends = strand.get(i + 1).is_none_or(|next| next.segment.from != to);
        let round = |is_end: bool, from: Point, to: Point| is_end.then(|| round_end(from, to, line.width_mm));
        let round_ends = [round(begins, to, from), round(ends, from, to)].into_iter().flatten().flatten();
        round_ends.chain([line]).chain(mouth_before(&strand[i..], spacing))
    })
}

/// The round end of a line from `from` to `to`, as two strips within half an octagon.
fn round_end(from: Point, to: Point, width_mm: f64) -> [Strip; 2] {
    const FLAT: f64 = std::f64::consts::SQRT_2 - 1.0;
    let beyond = Segment::new(from, to).direction().map_or(Point::default(), |along| along * (0.5 * width_mm));
    [
        Strip { from: to, to: to + beyond * FLAT, width_mm },
        Strip { from: to, to: to + beyond, width_mm: FLAT * width_mm },
    ]
}

/// The strip from where the first piece begins to where the line that comes back beside it ends.
fn mouth_before(pieces: &[FillPiece], spacing: Spacing) -> Option<Strip> {
    let (out, rest) = pieces.split_first()?;
    let along = out.segment.direction()?;
    let pitch_mm = spacing.pitch_mm(out.area_mm2);
    let most_mm = MOST_MOUTH * pitch_mm;
    let mut at = out.segment.to;
    let mut turned_mm = 0.0;
    for piece in rest.iter().take(MOST_TURN + 1) {
        let Segment { from, to } = piece.segment;
        if from != at || turned_mm > most_mm {
            return None;
        }
        if turned_mm > 0.0 && piece.segment.direction()?.dot(along) < BACK {
            let wide_mm = out.segment.from.distance(to);
            return (wide_mm <= most_mm).then_some(Strip { from: out.segment.from, to, width_mm: pitch_mm });
        }
        turned_mm += piece.length_mm;
        at = to;
    }
    None
}

/// How far a cell has a say in what becomes of others, cells: over a notch and back, and over a sliver.
const REACH: usize = 2 * (NOTCH_STEPS.0 + NOTCH_STEPS.1 + SLIVER_STEPS.0 + SLIVER_STEPS.1);

/// What the covered cells leave of the whole when gaps between them are closed, without slivers.
fn beside(whole: &BitPlan, covered: &BitPlan, gap: (usize, usize)) -> BitPlan {
    let mut closed = covered.clone();
    closed.grow(gap.0, gap.1);
    closed.shrink(gap.0, gap.1);
    without_slivers(whole.without(&closed))
}

fn without_slivers(mut plan: BitPlan) -> BitPlan {
    plan.shrink(SLIVER_STEPS.0, SLIVER_STEPS.1);
    plan.grow(SLIVER_STEPS.0, SLIVER_STEPS.1);
    plan
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Polygon;
    use approx::assert_relative_eq;

    const PITCH: f64 = 0.4;
    const HEIGHT: f64 = 0.2;
    const LINES: usize = 40;
    /// The patch is so high, the strip beside it so wide, and a sparse line lies in the middle of that.
    const PATCH: f64 = 5.0;
    const STRIP: f64 = 1.0;

    /// A core that leans as the lines of its patch do, turned as a whole, and how long it is:
    ///
    /// ```text
    ///       ---------------        a sparse line in the strip beside the patch
    ///      _ /  ___/  ___/         lines that turn about, or end, at the edge
    ///     /  __/  __/  __/
    /// ```
    fn core(lines_deg: f64, turned_deg: f64, linked: bool) -> (CoreRoom, Vec<FillPiece>, f64) {
        let (sin, cos) = lines_deg.to_radians().sin_cos();
        let apart_mm = PITCH / sin;
        let long_mm = LINES as f64 * apart_mm;
        let (turn_sin, turn_cos) = turned_deg.to_radians().sin_cos();
        let at = |along: f64, high: f64| {
            let (x, y) = (along + high * cos / sin, high);
            Point::new(turn_cos * x - turn_sin * y, turn_sin * x + turn_cos * y)
        };
        let ends = (0..LINES).flat_map(|line| {
            let edges = [0.5 * PITCH, PATCH - 0.5 * PITCH];
            let heights = if line % 2 == 0 { edges } else { [edges[1], edges[0]] };
            heights.map(|high| at((line as f64 + 0.5) * apart_mm, high))
        });
        let path: Vec<Point> = ends.collect();
        let piece = |strand: usize, segment: Segment| FillPiece {
            segment,
            strand,
            area_mm2: PITCH * HEIGHT,
            length_mm: segment.length_mm(),
        };
        let steps = path.windows(2).enumerate().filter(|(step, _)| linked || step % 2 == 0);
        let strand_of = |step: usize| if linked { 1 } else { 1 + step / 2 };
        let mut pieces: Vec<FillPiece> =
            steps.map(|(step, p)| piece(strand_of(step), Segment::new(p[0], p[1]))).collect();
        let middle = PATCH + 0.5 * STRIP;
        pieces.push(piece(0, Segment::new(at(1.0, middle), at(long_mm - 1.0, middle))));
        let outer = vec![at(0.0, 0.0), at(long_mm, 0.0), at(long_mm, PATCH + STRIP), at(0.0, PATCH + STRIP)];
        (CoreRoom::new(Polygon { outer, holes: Vec::new() }, &[]), pieces, long_mm)
    }

    /// By hand: what a patch leaves is the strip beside it, however its lines slope and the part lies on the bed. Where
    /// lines are not linked their edge has more teeth, some of which stay open: less than a fifth of a line deep.
    #[test]
    fn a_patch_reaches_across_the_mouths_between_its_lines_however_it_lies() {
        let solid: Vec<bool> = (0..=LINES).map(|strand| strand > 0).collect();
        for lines_deg in [30.0, 45.0, 60.0, 90.0] {
            for turned_deg in [0.0, 8.0, 20.0, 45.0, 61.0, 90.0] {
                for (linked, off) in [(true, 0.012), (false, 0.08)] {
                    let (room, pieces, long_mm) = core(lines_deg, turned_deg, linked);
                    let bare = bare_mm2(&[room], &pieces, &solid, Spacing::plain(HEIGHT));
                    assert_relative_eq!(bare, long_mm * STRIP, max_relative = off);
                }
            }
        }
    }
}
