//! The audit as text: the verdict first, then what to change, then the figures.
//!
//! Fits 80 columns. Nothing here is said by colour alone.

use super::cases_text::write_cases;
use super::translate::translate;
use super::words::{core_words, place, skin_words, verdict_sentence, verdict_word, weight_word, wrap};
use super::{AuditedFile, Figures, Paint};
use crate::audit::{Finding, Verdict, Weight};
use crate::measure::{LayerMeasure, PrintMeasures, Spread};
use std::fmt::Write;

/// Columns of a terminal that nothing may pass.
pub(super) const WIDTH: usize = 80;
/// Findings shown without being asked for more.
const FINDINGS_SHOWN: usize = 12;

/// The audit of one file as text.
///
/// `verbose` shows every finding, every layer and every odd line.
#[must_use]
pub fn audit_text(file: &AuditedFile, figures: Figures, paint: Paint, verbose: bool) -> String {
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = write_verdict(&mut text, file, paint);
    let _ = write_findings(&mut text, file, figures, paint, verbose);
    let _ = write_cases(&mut text, &file.cases, figures, paint, verbose);
    let _ = write_figures(&mut text, &file.measures, figures, paint);
    let _ = write_layers(&mut text, &file.measures, figures, paint, verbose);
    let _ = write_reading(&mut text, file, figures, paint, verbose);
    text
}

/// The verdict alone, in a line or two.
#[must_use]
pub fn verdict_text(file: &AuditedFile, paint: Paint) -> String {
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = write_verdict(&mut text, file, paint);
    text
}

/// The verdict in capitals, in `width` columns at least.
pub(super) fn paint_verdict(verdict: Verdict, paint: Paint, width: usize) -> String {
    let word = format!("{:width$}", verdict_word(verdict).to_uppercase());
    match verdict {
        Verdict::Pass => paint.good(&word),
        Verdict::Fail => paint.bad(&word),
        Verdict::Undetermined => paint.doubtful(&word),
        Verdict::Unchecked => paint.strong(&word),
    }
}

fn write_verdict(text: &mut String, file: &AuditedFile, paint: Paint) -> std::fmt::Result {
    let verdict = paint_verdict(file.audit.verdict, paint, 0);
    let head = format!("{}: {}", file.name, verdict_sentence(file));
    let mut lines = wrap(&head, WIDTH - 13).into_iter();
    writeln!(text, "{verdict}  {}", paint.strong(&lines.next().unwrap_or_default()))?;
    for line in lines {
        writeln!(text, "      {line}")?;
    }
    Ok(())
}

fn write_findings(
    text: &mut String,
    file: &AuditedFile,
    figures: Figures,
    paint: Paint,
    verbose: bool,
) -> std::fmt::Result {
    let findings = &file.audit.findings;
    let shown = if verbose { findings.len() } else { findings.len().min(FINDINGS_SHOWN) };
    for finding in &findings[..shown] {
        write_finding(text, finding, figures, paint)?;
    }
    if shown < findings.len() {
        writeln!(text, "  and {} more; -v shows all", findings.len() - shown)?;
    }
    Ok(())
}

fn write_finding(text: &mut String, finding: &Finding, figures: Figures, paint: Paint) -> std::fmt::Result {
    let word = format!("{:7}", weight_word(finding.weight));
    let mark = match finding.weight {
        Weight::Fail => paint.bad(&word),
        Weight::Undetermined | Weight::Warning => paint.doubtful(&word),
        Weight::Note => paint.faint(&word),
    };
    let mut lines = wrap(&translate(&finding.message, figures), WIDTH - 11).into_iter();
    writeln!(text, "  {mark}  {}", lines.next().unwrap_or_default())?;
    for line in lines {
        writeln!(text, "           {line}")?;
    }
    let place = match place(finding, figures) {
        place if place.is_empty() => place,
        place => format!("{place}; "),
    };
    for line in wrap(&format!("{place}change: {}", translate(&finding.remedy, figures)), WIDTH - 11) {
        writeln!(text, "           {}", paint.faint(&line))?;
    }
    Ok(())
}

fn write_figures(text: &mut String, measures: &PrintMeasures, figures: Figures, paint: Paint) -> std::fmt::Result {
    let totals = &measures.totals;
    writeln!(text, "\n{}", paint.strong("What it will use"))?;
    let mass = totals.mass_g.map_or("mass unknown (name the material: --material)".to_owned(), |g| figures.mass(g));
    let cost = totals.cost.map_or(String::new(), |c| format!(", costs {c:.2}"));
    writeln!(text, "  plastic   {}, {mass}{cost}", figures.volume(totals.volume_mm3))?;
    writeln!(text, "  filament  {}", figures.filament(totals.filament_mm))?;
    let time = &totals.time;
    writeln!(text, "  time      {}", figures.time(time.total_s()))?;
    let waiting_s = time.dwell_s + time.waiting_s;
    let waiting = if waiting_s > 0.0 { format!(", waiting {}", figures.time(waiting_s)) } else { String::new() };
    let split = format!(
        "laying {}, travel {}, retraction {}{waiting}",
        figures.time(time.depositing_s),
        figures.time(time.travel_s),
        figures.time(time.retraction_s)
    );
    for line in wrap(&split, WIDTH - 12) {
        writeln!(text, "            {}", paint.faint(&line))?;
    }
    if measures.tools.len() > 1 {
        for tool in &measures.tools {
            let name = tool.material.as_deref().unwrap_or("material not named");
            let mass = tool.mass_g.map_or(String::new(), |g| format!(", {}", figures.mass(g)));
            writeln!(text, "  tool {}    {name}: {}{mass}", tool.tool, figures.volume(tool.volume_mm3))?;
        }
    }
    write_part(text, measures, figures, paint)?;
    write_roles(text, measures, figures, paint)
}

fn write_part(text: &mut String, measures: &PrintMeasures, figures: Figures, paint: Paint) -> std::fmt::Result {
    let part = &measures.part;
    writeln!(text, "\n{}", paint.strong("What the part is"))?;
    if let Some([low, high]) = part.bbox_mm {
        writeln!(
            text,
            "  size      {} x {} x {} {}",
            figures.bare_length(high[0] - low[0]),
            figures.bare_length(high[1] - low[1]),
            figures.bare_length(high[2] - low[2]),
            figures.length_unit()
        )?;
    }
    let height = part.layer_height_mm.map_or(String::new(), |mm| format!(" of {}", figures.length(mm)));
    writeln!(text, "  layers    {}{height}", measures.layers.len())?;
    writeln!(text, "  walls     {}", spread_text(part.walls, |v| format!("{v:.0}")))?;
    writeln!(text, "  thickness {}", spread_text(part.wall_thickness_mm, |v| figures.length(v)))?;
    writeln!(text, "  core      {}", core_words(part, figures))?;
    writeln!(text, "  skins     {}, where thinnest", skin_words(&part.skins))
}

fn spread_text(spread: Option<Spread>, show: impl Fn(f64) -> String) -> String {
    spread.map_or("not known".to_owned(), |s| format!("{} as a rule, {} at the least", show(s.median), show(s.min)))
}

fn write_roles(text: &mut String, measures: &PrintMeasures, figures: Figures, paint: Paint) -> std::fmt::Result {
    let whole: f64 = measures.roles.iter().map(|r| r.volume_mm3).sum();
    if !(whole > 0.0) {
        return Ok(());
    }
    writeln!(text, "\n{}", paint.strong("Where the plastic goes"))?;
    for role in &measures.roles {
        let source = match role.source {
            crate::measure::RoleSource::Words => "by comments",
            crate::measure::RoleSource::Motion => "by motion",
        };
        writeln!(
            text,
            "  {:14} {:>5}  {:>10}  {:>12}  {source}",
            role.role.word(),
            figures.percent(role.volume_mm3 / whole),
            figures.volume(role.volume_mm3),
            figures.time(role.time_s)
        )?;
    }
    if let Some(share) = measures.agreement.share() {
        writeln!(text, "  comments and motion agree on {} of the plastic they both name", figures.percent(share))?;
    }
    Ok(())
}

/// Rows of layers that look alike are shown as one; `verbose` shows each.
fn write_layers(
    text: &mut String,
    measures: &PrintMeasures,
    figures: Figures,
    paint: Paint,
    verbose: bool,
) -> std::fmt::Result {
    if measures.layers.is_empty() {
        return Ok(());
    }
    writeln!(text, "\n{}", paint.strong("From the bed up"))?;
    writeln!(
        text,
        "  {:>9} {:>13} {:>6} {:>10} {:>6} {:>9} {:>9}",
        "layers",
        format!("z {}", figures.length_unit()),
        "walls",
        format!("thick {}", figures.length_unit()),
        "core",
        format!("bond {}", figures.area_unit()),
        "time"
    )?;
    for rows in alike(&measures.layers, verbose) {
        write_layer_row(text, rows, figures)?;
    }
    Ok(())
}

fn write_layer_row(text: &mut String, rows: &[LayerMeasure], figures: Figures) -> std::fmt::Result {
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else { return Ok(()) };
    let layers = if rows.len() == 1 { first.index.to_string() } else { format!("{}-{}", first.index, last.index) };
    let z = format!("{}-{}", figures.bare_length(first.z_mm - first.height_mm), figures.bare_length(last.z_mm));
    let dash = || "-".to_owned();
    let walls = first.walls_median.map_or_else(dash, |w| w.to_string());
    let thickness = rows
        .iter()
        .filter_map(|l| l.wall_thickness_median_mm)
        .min_by(f64::total_cmp)
        .map_or_else(dash, |mm| figures.bare_length(mm));
    let cores: Vec<f64> = rows.iter().filter_map(|l| l.core_density).collect();
    let core = if cores.is_empty() { dash() } else { figures.percent(cores.iter().sum::<f64>() / cores.len() as f64) };
    let bond =
        rows.iter().filter_map(|l| l.bond_area_mm2).min_by(f64::total_cmp).map_or_else(dash, |a| figures.bare_area(a));
    let time = figures.time(rows.iter().map(|l| l.time_s).sum());
    writeln!(text, "  {layers:>9} {z:>13} {walls:>6} {thickness:>10} {core:>6} {bond:>9} {time:>9}")
}

/// A core may wander by this much within one row.
const CORE_STEP: f64 = 0.06;

/// Runs of neighbouring layers with the same wall count and much the same core as the first of the run.
fn alike(layers: &[LayerMeasure], one_by_one: bool) -> Vec<&[LayerMeasure]> {
    let mut runs = Vec::new();
    let mut start = 0;
    for end in 1..=layers.len() {
        let goes_on = !one_by_one && end < layers.len() && looks_like(layers, start, end);
        if !goes_on {
            runs.push(&layers[start..end]);
            start = end;
        }
    }
    runs
}

fn looks_like(layers: &[LayerMeasure], one: usize, other: usize) -> bool {
    let near = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= CORE_STEP,
        (a, b) => a.is_none() == b.is_none(),
    };
    let pairs = || near(core_of_pair(layers, one), core_of_pair(layers, other));
    same_kind(&layers[one], &layers[other]) && (near(layers[one].core_density, layers[other].core_density) || pairs())
}

fn same_kind(a: &LayerMeasure, b: &LayerMeasure) -> bool {
    a.walls_median == b.walls_median && a.solid == b.solid
}

/// Core of a layer and a neighbour of its kind together: in a small part lines laid one way, then the other, fill it to
/// different shares in turn.
fn core_of_pair(layers: &[LayerMeasure], at: usize) -> Option<f64> {
    let own = layers[at].core_density?;
    let beside = [Some(at + 1), at.checked_sub(1)].into_iter().flatten().filter_map(|i| layers.get(i));
    let like = beside.filter(|l| same_kind(l, &layers[at])).find_map(|l| l.core_density);
    Some(0.5 * (own + like.unwrap_or(own)))
}

fn write_reading(
    text: &mut String,
    file: &AuditedFile,
    figures: Figures,
    paint: Paint,
    verbose: bool,
) -> std::fmt::Result {
    let facts = &file.measures.file;
    writeln!(text, "\n{}", paint.strong("How it was read"))?;
    writeln!(text, "  machine   {}", file.machine)?;
    for assumption in &file.measures.assumptions {
        for line in wrap(&translate(assumption, figures), WIDTH - 2) {
            writeln!(text, "  {line}")?;
        }
    }
    if facts.bad_lines > 0 {
        writeln!(text, "  {} of {} lines could not be read and were left out:", facts.bad_lines, facts.lines)?;
    }
    let shown = if verbose { usize::MAX } else { 5 };
    for diagnostic in file.measures.diagnostics.iter().take(shown) {
        let line = diagnostic.line.map_or(String::new(), |n| format!("line {n}: "));
        for piece in wrap(&format!("{line}{}", diagnostic.message), WIDTH - 4) {
            writeln!(text, "    {piece}")?;
        }
    }
    if facts.unknown_commands > 0 {
        writeln!(text, "  {} commands were not known and were passed over", facts.unknown_commands)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn layers_that_look_alike_share_a_row() {
        let layer = |index, walls_median| LayerMeasure { index, walls_median, ..LayerMeasure::default() };
        let layers = [layer(0, Some(5)), layer(1, Some(2)), layer(2, Some(2)), layer(3, Some(5))];
        assert_eq!(alike(&layers, false).iter().map(|run| run.len()).collect::<Vec<_>>(), [1, 2, 1]);
        assert_eq!(alike(&layers, true).len(), 4);
    }

    #[test]
    fn a_core_that_alternates_shares_a_row_and_one_that_changes_does_not() {
        let rows = |cores: &[f64]| -> Vec<usize> {
            let layer = |&core: &f64| LayerMeasure {
                walls_median: Some(3),
                solid: core == 1.0,
                core_density: Some(core),
                ..LayerMeasure::default()
            };
            let layers: Vec<LayerMeasure> = cores.iter().map(layer).collect();
            alike(&layers, false).iter().map(|run| run.len()).collect()
        };
        assert_eq!(rows(&[1.0, 1.0, 0.17, 0.26, 0.17, 0.26, 0.17, 1.0]), [2, 5, 1]);
        assert_eq!(rows(&[0.5, 0.5, 0.5, 0.3, 0.3, 0.3, 0.5, 0.5]), [3, 3, 2]);
    }
}
