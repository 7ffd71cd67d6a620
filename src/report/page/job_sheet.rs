//! The job sheet: what the person at the machine needs, to print and to hang beside it.

use super::AuditPage;
use super::verdict::short_name;
use crate::embed::{Asked, suited};
use crate::measure::ToolTotals;
use crate::profile::{Insert, Material};
use crate::report::pocket_groups::groups;
use crate::shape::{Access, Pocket, Round};
use crate::strength::load::CAUTIONS;
use maud::{Markup, html};

/// Rounds this close in diameter are checked as one, mm.
const SAME_SIZE_MM: f64 = 0.03;
/// Inserts named for a pocket at most.
const MOST_INSERTS: usize = 3;
/// Rounds listed for checking at most.
const MOST_ROUNDS: usize = 6;

/// What to mind at a stop.
const STOP_CAUTIONS: &[&str] = &[
    "at a stop the nozzle and the bed stay hot",
    "strong magnets pinch, jump to steel, and spoil pacemakers and cards",
    "check the pole of every magnet before it is sealed in",
];

pub(super) fn job_sheet(page: &AuditPage<'_>) -> Markup {
    html! {
        section.job {
            h2 { "Job sheet: " (short_name(&page.file.name)) }
            div.job-columns {
                div {
                    (setting_up(page))
                    (stops(page))
                }
                div {
                    (afterwards(page))
                    (cautions(page))
                }
            }
            p.blanks {
                span { "printed on" } span.blank {} span { "by" } span.blank {} span { "weighed" } span.blank {}
            }
        }
    }
}

fn setting_up(page: &AuditPage<'_>) -> Markup {
    let (measures, figures) = (&page.file.measures, page.figures);
    let (totals, machine) = (&measures.totals, &page.setup.machine);
    let waiting = totals.time.dwell_s + totals.time.waiting_s;
    html! {
        h3 { "Before" }
        table {
            tr { th scope="row" { "machine" } td { (machine.name) ", nozzle " (figures.length(machine.nozzle_mm)) } }
            @for tool in &measures.tools { (tool_rows(page, tool)) }
            @if let Some((celsius, _)) = measures.flow.bed_c {
                tr { th scope="row" { "bed" } td { (figures.temperature(celsius)) } }
            }
            @if let Some((celsius, _)) = measures.flow.chamber_c {
                tr { th scope="row" { "chamber" } td { (figures.temperature(celsius)) } }
            }
            tr {
                th scope="row" { "time" }
                td {
                    (figures.time(totals.time.total_s()))
                    @if waiting >= 1.0 { ", of it " (figures.time(waiting)) " heating and waiting" }
                }
            }
        }
    }
}

fn tool_rows(page: &AuditPage<'_>, tool: &ToolTotals) -> Markup {
    let figures = page.figures;
    let card = page.setup.material(tool.tool);
    let several = page.file.measures.tools.len() > 1;
    let name = if several { format!("tool {}", tool.tool) } else { "filament".to_owned() };
    let heat = page.file.measures.flow.heat.get(&tool.tool);
    html! {
        tr {
            th scope="row" { (name) }
            td {
                (tool.material.as_deref().unwrap_or("material not named")) ": "
                (figures.filament(tool.filament_mm))
                @if let Some(grams) = tool.mass_g { ", " (figures.mass(grams)) }
                @if let Some(card) = card { (needs(card)) }
            }
        }
        @if let Some(heat) = heat {
            tr {
                th scope="row" { "nozzle" }
                td {
                    (figures.temperature(heat.highest.0))
                    @if heat.lowest.0 < heat.highest.0 - 0.5 { " (down to " (figures.temperature(heat.lowest.0)) ")" }
                    @if let Some([least, most]) = card.and_then(|c| c.temperature_c.as_ref()?.nozzle) {
                        "; its card says " (figures.temperature(least)) " to " (figures.temperature(most))
                    }
                }
            }
        }
    }
}

fn needs(card: &Material) -> Markup {
    let needs = [
        (card.needs.drying, "dry it first"),
        (card.needs.enclosure, "closed machine"),
        (card.needs.hardened_nozzle, "hardened nozzle"),
        (card.needs.own_feed, "own feed, no changer"),
    ];
    html! { @for (_, words) in needs.iter().filter(|(needed, _)| *needed) { "; " b { (words) } } }
}

/// Stops in the file, and pockets that would want one.
fn stops(page: &AuditPage<'_>) -> Markup {
    let (measures, figures) = (&page.file.measures, page.figures);
    let has_stop = |layer: usize| measures.stops.iter().any(|s| s.after_layer == Some(layer));
    let waits = |p: &Pocket| p.access == Access::Closed && p.stop_after_layer.is_some_and(|l| !has_stop(l));
    let without = groups(measures.pockets.iter().enumerate().filter(|(_, p)| waits(p)));
    // A wrong built-in file, which a test excludes, costs the names of what fits and nothing else.
    let inserts = if without.is_empty() { Vec::new() } else { Insert::built_in().unwrap_or_default() };
    html! {
        h3 { "Stops" }
        @if measures.stops.is_empty() && without.is_empty() { p { "None: it runs through." } }
        @if !measures.stops.is_empty() {
            table.stops {
                tr { th scope="col" { "after layer" } th scope="col" { "z" } th scope="col" { "at about" } th scope="col" { "what to do" } }
                @for stop in &measures.stops {
                    tr {
                        td { (stop.after_layer.map_or("–".to_owned(), |l| l.to_string())) }
                        td { (stop.after_layer.and_then(|l| top_of(page, l)).map_or("–".to_owned(), |z| figures.length(z))) }
                        td { (stop.after_layer.map_or("start".to_owned(), |l| figures.time(reached_s(page, l)))) }
                        td { (to_do(page, stop.after_layer, stop.line)) }
                    }
                }
            }
        }
        @if !without.is_empty() {
            p { b { "Closed pockets without a stop:" } }
            ul {
                @for group in without {
                    li {
                        (group.what(figures)) ", " (group.where_they_are(figures))
                        @if let Some(layer) = group.pockets.first().and_then(|p| p.stop_after_layer) {
                            "; a stop belongs after layer " (layer)
                        }
                        @if let Some(names) = made_for(group.pockets.first(), &inserts) { "; it takes " (names) }
                    }
                }
            }
        }
    }
}

/// Names of the inserts that fit a pocket best.
fn made_for(pocket: Option<&&Pocket>, inserts: &[Insert]) -> Option<String> {
    let fits = suited(pocket?, inserts, Asked::default());
    let names: Vec<&str> = fits.iter().take(MOST_INSERTS).map(|(insert, _)| insert.name.as_str()).collect();
    (!names.is_empty()).then(|| names.join(" or "))
}

fn to_do(page: &AuditPage<'_>, after_layer: Option<usize>, line: u64) -> Markup {
    let notes = page.stop_notes.iter().filter(|(layer, _)| Some(*layer) == after_layer).flat_map(|(_, notes)| notes);
    let notes: Vec<&String> = notes.collect();
    let pockets = page.file.measures.pockets.iter().enumerate();
    let here = groups(pockets.filter(|(_, p)| p.stop_after_layer.is_some() && p.stop_after_layer == after_layer));
    html! {
        @if notes.is_empty() && here.is_empty() { "see line " (line) " of the file" }
        @for note in &notes { div { span.tick-box {} (note) } }
        @if notes.is_empty() {
            @for group in &here {
                div { span.tick-box {} "into " (group.what(page.figures)) ", " (group.where_they_are(page.figures)) }
            }
        }
    }
}

fn top_of(page: &AuditPage<'_>, layer: usize) -> Option<f64> {
    page.file.measures.layers.iter().find(|l| l.index == layer).map(|l| l.z_mm)
}

/// Time from the start until a layer is done, s.
fn reached_s(page: &AuditPage<'_>, layer: usize) -> f64 {
    page.file.measures.layers.iter().take_while(|l| l.index <= layer).map(|l| l.time_s).sum()
}

fn afterwards(page: &AuditPage<'_>) -> Markup {
    let (measures, figures) = (&page.file.measures, page.figures);
    html! {
        h3 { "Afterwards, weigh and check" }
        table.checks {
            tr { th scope="col" { "what" } th scope="col" { "as sliced" } th scope="col" { "found" } }
            @if let Some(grams) = measures.totals.mass_g {
                tr { td { "weight, with all that was printed" } td { (figures.mass(grams)) } td.blank {} }
            }
            @if let Some([low, high]) = measures.part.bbox_mm {
                @for (i, side) in ["along x", "along y", "height"].iter().enumerate() {
                    tr { td { (side) } td { (figures.length(high[i] - low[i])) } td.blank {} }
                }
            }
            @for (round, count) in sizes(&measures.part.rounds).into_iter().take(MOST_ROUNDS) {
                tr {
                    td {
                        @if count > 1 { (count) " × " (round.kind.word()) } @else {
                            (round.kind.word()) " at x " (figures.short_length(round.centre.x)) " y "
                            (figures.short_length(round.centre.y))
                        }
                    }
                    td { "⌀ " (figures.length(round.diameter_mm)) }
                    td.blank {}
                }
            }
        }
        @if measures.totals.mass_g.is_some() {
            // Common practice, no source.
            p.small { "More than a tenth lighter than sliced: plastic is missing somewhere; do not load it." }
        }
    }
}

/// Rounds of one kind and size, with their number.
fn sizes(rounds: &[Round]) -> Vec<(&Round, usize)> {
    let mut sizes: Vec<(&Round, usize)> = Vec::new();
    for round in rounds {
        let same = |r: &Round| r.kind == round.kind && (r.diameter_mm - round.diameter_mm).abs() < SAME_SIZE_MM;
        match sizes.iter_mut().find(|(r, _)| same(r)) {
            Some((_, count)) => *count += 1,
            None => sizes.push((round, 1)),
        }
    }
    sizes
}

fn cautions(page: &AuditPage<'_>) -> Markup {
    let own = page.strength.and_then(|s| s.caution.as_deref());
    let cards = page.file.measures.tools.iter().filter_map(|t| page.setup.material(t.tool)?.note.as_deref());
    let stops =
        !page.file.measures.stops.is_empty() || page.file.measures.pockets.iter().any(|p| p.access == Access::Closed);
    html! {
        h3 { "Mind" }
        ul.cautions {
            @if let Some(own) = own { li { (own) } }
            @for note in cards { li { (note) } }
            @if stops { @for caution in STOP_CAUTIONS { li { (caution) } } }
            @for caution in CAUTIONS { li { (caution) } }
        }
    }
}
