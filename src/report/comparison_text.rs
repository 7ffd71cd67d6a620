//! Slices side by side as text: one row a figure, one column a slice.

use super::{Figures, Paint};
use crate::compare::{Comparison, Slice};
use std::fmt::Write;

/// Width of the names of rows.
const LABEL: usize = 18;

/// The value by which the best slice of a row is marked; greater is better.
type Merit = dyn Fn(&Slice) -> Option<f64>;

/// A figure of every slice: its name, how it reads, and the value by which the best is marked.
struct Row<'a> {
    label: &'static str,
    show: &'a dyn Fn(&Slice) -> String,
    /// `None` where the figure is no merit.
    merit: Option<&'a Merit>,
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
    let unknown = || "not known".to_owned();
    let count = |n: Option<u32>| n.map_or_else(unknown, |n| n.to_string());
    let rows: [Row<'_>; 13] = [
        Row { label: "verdict", show: &|s| verdict_word(s).to_owned(), merit: None },
        Row {
            label: "mass",
            show: &|s| s.mass_g.map_or_else(unknown, |g| figures.mass(g)),
            merit: Some(&|s| s.mass_g.map(|g| -g)),
        },
        Row { label: "plastic", show: &|s| figures.volume(s.volume_mm3), merit: Some(&|s| Some(-s.volume_mm3)) },
        Row {
            label: "cost",
            show: &|s| s.cost.map_or_else(unknown, |c| format!("{c:.2}")),
            merit: Some(&|s| s.cost.map(|c| -c)),
        },
        Row { label: "time", show: &|s| figures.time(s.time_s), merit: Some(&|s| Some(-s.time_s)) },
        Row {
            label: "layers",
            show: &|s| {
                let height = s.layer_height_mm.map_or(String::new(), |mm| format!(" of {}", figures.bare_length(mm)));
                format!("{}{height}", s.layers)
            },
            merit: None,
        },
        Row { label: "walls", show: &|s| s.walls.map_or_else(unknown, |w| format!("{w:.0}")), merit: None },
        Row {
            label: "wall thickness",
            show: &|s| s.wall_thickness_mm.map_or_else(unknown, |mm| figures.length(mm)),
            merit: Some(&|s| s.wall_thickness_mm),
        },
        Row {
            label: "core filled",
            show: &|s| s.core_density.map_or_else(|| "-".to_owned(), |d| figures.percent(d)),
            merit: None,
        },
        Row {
            label: "floor skin layers",
            show: &|s| count(s.bottom_skin_layers),
            merit: Some(&|s| s.bottom_skin_layers.map(f64::from)),
        },
        Row {
            label: "roof skin layers",
            show: &|s| count(s.top_skin_layers),
            merit: Some(&|s| s.top_skin_layers.map(f64::from)),
        },
        Row {
            label: "weakest section",
            show: &|s| s.least_section_mm2.map_or_else(unknown, |a| figures.area(a)),
            merit: Some(&|s| s.least_section_mm2),
        },
        Row {
            label: "weakest bond",
            show: &|s| s.least_bond_area_mm2.map_or_else(unknown, |a| figures.area(a)),
            merit: Some(&|s| s.least_bond_area_mm2),
        },
    ];
    for row in &rows {
        write_row(text, row, slices)?;
    }
    writeln!(text, "{}", paint.faint("* the best of its row"))?;
    for (loser, winner) in comparison.beaten_by.iter().enumerate() {
        if let Some(winner) = winner {
            writeln!(text, "[{}] is beaten on all counts by [{}]", loser + 1, winner + 1)?;
        }
    }
    Ok(())
}

fn write_row(text: &mut String, row: &Row<'_>, slices: &[Slice]) -> std::fmt::Result {
    let merits: Vec<Option<f64>> = slices.iter().map(|s| row.merit.and_then(|merit| merit(s))).collect();
    let best = merits.iter().flatten().copied().max_by(f64::total_cmp);
    // A star on every column says nothing.
    let all_equal = merits.iter().all(|m| *m == best);
    write!(text, "{:LABEL$}", row.label)?;
    for (slice, merit) in slices.iter().zip(&merits) {
        let star = if best.is_some() && *merit == best && !all_equal { "*" } else { " " };
        write!(text, "{:>13}{star}", (row.show)(slice))?;
    }
    writeln!(text)
}

fn verdict_word(slice: &Slice) -> &'static str {
    use crate::audit::Verdict;
    match slice.verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "fail",
        Verdict::Undetermined => "cannot say",
        Verdict::Unchecked => "not checked",
    }
}
