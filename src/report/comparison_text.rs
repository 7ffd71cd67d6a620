//! Slices side by side as text: one row a figure, one column a slice.

use super::translate::translate;
use super::words::{verdict_word, wrap};
use super::{Figures, Paint};
use crate::compare::{Comparison, Slice};
use crate::units::significant;
use std::fmt::Write;

/// Width of the names of rows.
const LABEL: usize = 18;

/// A figure of every slice: its name, how it reads, and the value by which the best is marked.
pub(super) struct Row {
    pub(super) label: &'static str,
    pub(super) show: fn(&Slice, Figures) -> String,
    /// The greater the better; `None` where the figure is no merit.
    merit: Option<fn(&Slice) -> Option<f64>>,
}

impl Row {
    /// Which slices are the best of the row; none where all are equal, since that says nothing.
    pub(super) fn best(&self, slices: &[Slice]) -> Vec<bool> {
        let merits: Vec<Option<f64>> = slices.iter().map(|s| self.merit.and_then(|merit| merit(s))).collect();
        best_of(&merits)
    }
}

/// Which values are the greatest; none where all are equal.
pub(super) fn best_of(merits: &[Option<f64>]) -> Vec<bool> {
    let best = merits.iter().flatten().copied().max_by(f64::total_cmp);
    let all_equal = merits.iter().all(|m| *m == best);
    merits.iter().map(|m| best.is_some() && *m == best && !all_equal).collect()
}

/// Every figure that a comparison shows.
pub(super) fn rows() -> [Row; 13] {
    let row = |label, show, merit| Row { label, show, merit };
    [
        row("verdict", |s, _| verdict_word(s.verdict).to_owned(), None),
        row("mass", |s, f| known(s.mass_g, |g| f.mass(g)), Some(|s| s.mass_g.map(|g| -g))),
        row("plastic", |s, f| f.volume(s.volume_mm3), Some(|s| Some(-s.volume_mm3))),
        row("cost", |s, _| known(s.cost, |c| format!("{c:.2}")), Some(|s| s.cost.map(|c| -c))),
        row("time", |s, f| f.time(s.time_s), Some(|s| Some(-s.time_s))),
        row("layers", layers, None),
        row("walls", |s, _| known(s.walls, |w| format!("{w:.0}")), None),
        row("wall thickness", |s, f| known(s.wall_thickness_mm, |mm| f.length(mm)), Some(|s| s.wall_thickness_mm)),
        row("core filled", |s, f| s.core_density.map_or_else(|| "-".to_owned(), |d| f.percent(d)), None),
        row(
            "floor skin layers",
            |s, _| known(s.bottom_skin_layers, |n| n.to_string()),
            Some(|s| s.bottom_skin_layers.map(f64::from)),
        ),
        row(
            "roof skin layers",
            |s, _| known(s.top_skin_layers, |n| n.to_string()),
            Some(|s| s.top_skin_layers.map(f64::from)),
        ),
        row("weakest section", |s, f| known(s.least_section_mm2, |a| f.area(a)), Some(|s| s.least_section_mm2)),
        row("weakest bond", |s, f| known(s.least_bond_area_mm2, |a| f.area(a)), Some(|s| s.least_bond_area_mm2)),
    ]
}

fn known<T>(value: Option<T>, show: impl FnOnce(T) -> String) -> String {
    value.map_or_else(|| "not known".to_owned(), show)
}

fn layers(slice: &Slice, figures: Figures) -> String {
    let height = slice.layer_height_mm.map_or(String::new(), |mm| format!(" of {}", figures.length(mm)));
    format!("{}{height}", slice.layers)
}

/// Slices side by side in 80 columns.
const SIDE_BY_SIDE: usize = 4;

/// The comparison as text.
#[must_use]
pub fn comparison_text(comparison: &Comparison, figures: Figures, paint: Paint) -> String {
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = write_comparison(&mut text, comparison, figures, paint);
    text
}

fn write_comparison(text: &mut String, comparison: &Comparison, figures: Figures, paint: Paint) -> std::fmt::Result {
    for difference in &comparison.differences {
        let said = format!("these may be different parts: {}", translate(difference, figures));
        for (i, line) in wrap(&said, 69).iter().enumerate() {
            let mark = if i == 0 { paint.doubtful("warning") } else { " ".repeat(7) };
            writeln!(text, "{mark}  {line}")?;
        }
    }
    let slices = &comparison.slices;
    for (number, slice) in slices.iter().enumerate() {
        writeln!(text, "  [{}] {}", number + 1, slice.name)?;
    }
    let lines = lines(slices, figures);
    for start in (0..slices.len()).step_by(SIDE_BY_SIDE) {
        let end = slices.len().min(start + SIDE_BY_SIDE);
        write!(text, "\n{:LABEL$}", "")?;
        for number in start + 1..=end {
            write!(text, "{:>14}", format!("[{number}]"))?;
        }
        writeln!(text)?;
        for line in &lines {
            let mut row = format!("{:LABEL$}", line.label);
            for (cell, best) in line.cells.iter().zip(&line.best).take(end).skip(start) {
                write!(row, "{cell:>13}{}", if *best { "*" } else { " " })?;
            }
            writeln!(text, "{}", row.trim_end())?;
        }
    }
    writeln!(text, "{}", paint.faint("* the best of its row"))?;
    for (loser, winner) in comparison.beaten_by.iter().enumerate() {
        if let Some(winner) = winner {
            writeln!(text, "[{}] is beaten on all counts by [{}]", loser + 1, winner + 1)?;
        }
    }
    Ok(())
}

/// One line of the table over all slices.
struct Line {
    label: String,
    cells: Vec<String>,
    best: Vec<bool>,
}

/// Every figure, then for each load case its reserve, and that for each gram and each hour.
fn lines(slices: &[Slice], figures: Figures) -> Vec<Line> {
    let mut lines: Vec<Line> = rows()
        .iter()
        .map(|row| Line {
            label: row.label.to_owned(),
            cells: slices.iter().map(|s| (row.show)(s, figures)).collect(),
            best: row.best(slices),
        })
        .collect();
    for (case, named) in slices.first().into_iter().flat_map(|s| s.cases.iter().enumerate()) {
        let mut add = |label: &str, values: Vec<Option<f64>>| {
            let cells = values.iter().map(|v| known(*v, |v| significant(v, 3))).collect();
            lines.push(Line { label: label.to_owned(), cells, best: best_of(&values) });
        };
        add(&format!("load: {}", named.name), Vec::new());
        add("  reserve", slices.iter().map(|s| s.cases.get(case).and_then(|c| c.reserve)).collect());
        add("  for each gram", slices.iter().map(|s| s.reserve_per_gram(case)).collect());
        add("  for each hour", slices.iter().map(|s| s.reserve_per_hour(case)).collect());
    }
    lines
}
