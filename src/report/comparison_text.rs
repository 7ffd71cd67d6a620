//! Slices side by side as text: one row a figure, one column a slice.

use super::words::verdict_word;
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
        let best = merits.iter().flatten().copied().max_by(f64::total_cmp);
        let all_equal = merits.iter().all(|m| *m == best);
        merits.iter().map(|m| best.is_some() && *m == best && !all_equal).collect()
    }
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
    let height = slice.layer_height_mm.map_or(String::new(), |mm| format!(" of {}", figures.bare_length(mm)));
    format!("{}{height}", slice.layers)
}

/// Rows of one load case: its reserve, and that for each gram and each hour.
fn write_case(text: &mut String, slices: &[Slice], case: usize) -> std::fmt::Result {
    let name = slices.iter().find_map(|s| s.cases.get(case)).map_or("", |c| c.name.as_str());
    writeln!(text, "load: {name}")?;
    let reserve = |s: &Slice| s.cases.get(case).and_then(|c| c.reserve);
    let rows: [(&str, Vec<Option<f64>>); 3] = [
        ("  reserve", slices.iter().map(reserve).collect()),
        ("  for each gram", slices.iter().map(|s| s.reserve_per_gram(case)).collect()),
        ("  for each hour", slices.iter().map(|s| s.reserve_per_hour(case)).collect()),
    ];
    for (label, values) in rows {
        write!(text, "{label:LABEL$}")?;
        let best = values.iter().flatten().copied().max_by(f64::total_cmp);
        let all_equal = values.iter().all(|v| *v == best);
        for value in &values {
            let mark = if value.is_some() && *value == best && !all_equal { "*" } else { " " };
            write!(text, "{:>13}{mark}", known(*value, |v| significant(v, 3)))?;
        }
        writeln!(text)?;
    }
    Ok(())
}

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
        writeln!(text, "{}  these may be different parts: {difference}", paint.doubtful("warning"))?;
    }
    let slices = &comparison.slices;
    for (number, slice) in slices.iter().enumerate() {
        writeln!(text, "  [{}] {}", number + 1, slice.name)?;
    }
    write!(text, "\n{:LABEL$}", "")?;
    for number in 1..=slices.len() {
        write!(text, "{:>14}", format!("[{number}]"))?;
    }
    writeln!(text)?;
    for row in rows() {
        write!(text, "{:LABEL$}", row.label)?;
        for (slice, best) in slices.iter().zip(row.best(slices)) {
            write!(text, "{:>13}{}", (row.show)(slice, figures), if best { "*" } else { " " })?;
        }
        writeln!(text)?;
    }
    for case in 0..slices.iter().map(|s| s.cases.len()).max().unwrap_or(0) {
        write_case(text, slices, case)?;
    }
    writeln!(text, "{}", paint.faint("* the best of its row"))?;
    for (loser, winner) in comparison.beaten_by.iter().enumerate() {
        if let Some(winner) = winner {
            writeln!(text, "[{}] is beaten on all counts by [{}]", loser + 1, winner + 1)?;
        }
    }
    Ok(())
}
