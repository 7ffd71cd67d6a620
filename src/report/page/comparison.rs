//! Slices of one part side by side: time against strength, their sections, and every figure.

use super::frame::document;
use super::ladder::{Ladder, round_step};
use super::plot::{grid, scale};
use super::strata::{patterns, percent, strata};
use super::verdict::{class, mark, short_name};
use crate::compare::{Comparison, Slice};
use crate::measure::PrintMeasures;
use crate::report::Figures;
use crate::report::comparison_text::{Row, best_of, rows};
use crate::report::translate::translate;
use crate::report::words::verdict_word;
use crate::units::significant;
use maud::{Markup, html};

/// The page as HTML text; `measures` are those of the slices, in their order.
#[must_use]
pub fn comparison_page(comparison: &Comparison, measures: &[&PrintMeasures], figures: Figures) -> String {
    let body = html! {
        header.head { div.of { h1 { "Slices side by side" } p { (comparison.slices.len()) " slices of one part" } } }
        @if !comparison.differences.is_empty() {
            section.findings {
                h2 { "These may be different parts" }
                ul { @for difference in &comparison.differences { li { (translate(difference, figures)) } } }
            }
        }
        (charts(comparison, figures))
        (table(comparison, figures))
        (sections(comparison, measures))
    };
    document("Slices side by side: beadwise", &body)
}

/// What a chart shows upwards.
struct Upwards<'a> {
    title: String,
    axis: String,
    value: &'a dyn Fn(&Slice) -> Option<f64>,
}

/// Time against the reserve of each load case, or against the weakest section where no load was asked for.
fn charts(comparison: &Comparison, figures: Figures) -> Markup {
    let names: Vec<String> =
        comparison.slices.first().map_or_else(Vec::new, |s| s.cases.iter().map(|c| c.name.clone()).collect());
    let area = figures.lengths_in_unit(1.0).powi(2);
    html! {
        @for (case, name) in names.iter().enumerate() {
            (chart(comparison, &Upwards {
                title: format!("Time against reserve: {name}"),
                axis: "reserve on low values".to_owned(),
                value: &|s| s.cases.get(case)?.reserve,
            }))
        }
        @if names.is_empty() {
            (chart(comparison, &Upwards {
                title: "Time against the weakest section".to_owned(),
                axis: format!("weakest section {}", figures.area_unit()),
                value: &|s| Some(s.least_section_mm2? * area),
            }))
        }
    }
}

/// Time to the right, what is wanted upwards: better is up and to the left.
fn chart(comparison: &Comparison, upwards: &Upwards<'_>) -> Markup {
    let points: Vec<(usize, f64, f64)> = comparison
        .slices
        .iter()
        .enumerate()
        .filter_map(|(i, s)| Some((i, s.time_s / 60.0, (upwards.value)(s)?)))
        .collect();
    let most = |of: &dyn Fn(&(usize, f64, f64)) -> f64| points.iter().map(of).fold(0.0, f64::max);
    let (step_x, step_y) = (round_step(most(&|p| p.1) / 4.0), round_step(most(&|p| p.2) / 4.0));
    let (full_x, full_y) = (scale(most(&|p| p.1), step_x), scale(most(&|p| p.2), step_y));
    html! {
        @if !points.is_empty() {
            section {
                h2 { (upwards.title) }
                p.small { "Up and to the left is better. Hollow: beaten on all counts by another." }
                div.chart role="img" aria-label=(format!("{} of each slice against its time; the figures are in the table", upwards.axis)) {
                    span.y-name { (upwards.axis) }
                    div.plot {
                        (grid(full_x, step_x, full_y, step_y))
                        @for (i, x, y) in &points {
                            @let beaten = comparison.beaten_by.get(*i).copied().flatten().is_some();
                            span.(if beaten { "point beaten" } else { "point" })
                                style=(format!("left:{};top:{}", percent(x / full_x), percent(1.0 - y / full_y))) { (i + 1) }
                        }
                    }
                    span.x-name { "time, minutes" }
                }
            }
        }
    }
}

fn table(comparison: &Comparison, figures: Figures) -> Markup {
    let slices = &comparison.slices;
    html! {
        section {
            h2 { "Figures" }
            div.wide tabindex="0" role="region" aria-label="figures of every slice" {
                table.compare {
                    thead {
                        tr {
                            th scope="col" { "slice" }
                            @for (i, slice) in slices.iter().enumerate() { th scope="col" { (i + 1) " " (short_name(&slice.name)) } }
                        }
                        tr {
                            th scope="row" { "verdict" }
                            @for slice in slices {
                                td.(format!("verdict-cell {}", class(slice.verdict))) { (mark(slice.verdict)) " " (verdict_word(slice.verdict)) }
                            }
                        }
                    }
                    tbody {
                        @for row in rows().iter().filter(|r| r.label != "verdict") { (table_row(row, slices, figures)) }
                        @for (case, name) in slices.first().into_iter().flat_map(|s| s.cases.iter().enumerate()) {
                            (case_rows(case, &name.name, slices))
                        }
                    }
                }
            }
            p.small { "Bold and starred: the best of its row." }
            ul {
                @for (i, winner) in comparison.beaten_by.iter().enumerate() {
                    @if let Some(winner) = winner { li { (i + 1) " is beaten on all counts by " (winner + 1) } }
                }
            }
        }
    }
}

fn table_row(row: &Row, slices: &[Slice], figures: Figures) -> Markup {
    let best = row.best(slices);
    html! {
        tr {
            th scope="row" { (row.label) }
            @for (slice, best) in slices.iter().zip(best) {
                td { @if best { b { ((row.show)(slice, figures)) " *" } } @else { ((row.show)(slice, figures)) } }
            }
        }
    }
}

/// Reserve of one load case, and that for each gram and each hour.
fn case_rows(case: usize, name: &str, slices: &[Slice]) -> Markup {
    let reserve = |s: &Slice| s.cases.get(case).and_then(|c| c.reserve);
    let rows: [(String, Vec<Option<f64>>); 3] = [
        (format!("{name}: reserve"), slices.iter().map(reserve).collect()),
        ("for each gram".to_owned(), slices.iter().map(|s| s.reserve_per_gram(case)).collect()),
        ("for each hour".to_owned(), slices.iter().map(|s| s.reserve_per_hour(case)).collect()),
    ];
    html! {
        @for (label, values) in rows {
            tr {
                th scope="row" { (label) }
                @for (value, best) in values.iter().zip(best_of(&values)) {
                    @let text = value.map_or_else(|| "not known".to_owned(), |v| significant(v, 3));
                    td { @if best { b { (text) " *" } } @else { (text) } }
                }
            }
        }
    }
}

/// The strata of every slice beside each other.
fn sections(comparison: &Comparison, measures: &[&PrintMeasures]) -> Markup {
    html! {
        (patterns())
        section {
            h2 { "Sections" }
            p.small { "Walls black, the core hatched as dense as it is filled, from the bed at the foot to the top." }
            div.side-by-side {
                @for (i, (slice, measures)) in comparison.slices.iter().zip(measures).enumerate() {
                    figure {
                        div.log-body.section { (strata(measures, &Ladder::new(&measures.layers, 1.0))) }
                        figcaption { (i + 1) " " (short_name(&slice.name)) }
                    }
                }
            }
        }
    }
}
