//! An advice as a page: how it stands, what to set, the edge of cost against strength, what each change does.

use super::frame::document;
use super::ladder::round_step;
use super::plot::{grid, scale};
use super::strata::{patterns, percent};
use super::verdict::{mark, short_name};
use crate::advise::{Advice, Change, Goal, Offer, Standing};
use crate::audit::Verdict;
use crate::report::advice_words::{
    beyond_words, change_words, choice_words, error_warnings, error_words, fault_words, governing_words, holding_words,
    percent_change, side_by_side, skin_words, standing_sentence, standing_word, strength_text, strength_word,
    waste_words,
};
use crate::report::translate::translate;
use crate::report::{AdvisedFile, Figures};
use crate::strength::load::CAUTIONS;
use crate::units::significant;
use maud::{Markup, html};

/// The page as HTML text.
#[must_use]
pub fn advice_page(file: &AdvisedFile, figures: Figures) -> String {
    let advice = &file.advice;
    let body = html! {
        (head(file))
        (patterns())
        (lacking(advice, figures))
        @if advice.standing != Standing::NotUnderstood { (settings(advice, figures)) }
        (edge(advice, figures))
        (effects(advice, figures))
        (beyond(advice, figures))
        (trust(file, figures))
        (cautions(advice))
    };
    document(&format!("{}: beadwise advice", file.name), &body)
}

/// The look of a standing.
const fn look(standing: Standing) -> (&'static str, Verdict) {
    match standing {
        Standing::Holds | Standing::CanBeCheaper => ("pass", Verdict::Pass),
        Standing::CanBeMended | Standing::CannotBeMended => ("fail", Verdict::Fail),
        Standing::Undetermined | Standing::NotUnderstood => ("open", Verdict::Undetermined),
    }
}

fn head(file: &AdvisedFile) -> Markup {
    let advice = &file.advice;
    let (class, verdict) = look(advice.standing);
    html! {
        header.head {
            div.(format!("verdict {class}")) { (mark(verdict)) strong { (standing_word(advice.standing)) } }
            div.of {
                h1 { (short_name(&file.name)) }
                p { (standing_sentence(advice)) }
                p.small {
                    "for " (file.machine)
                    @if let Some(profile) = &file.strength_profile { ", as " (profile) }
                }
            }
        }
    }
}

/// What the file itself comes to, and what it lacks.
fn lacking(advice: &Advice, figures: Figures) -> Markup {
    let faults = fault_words(&advice.faults);
    html! {
        section {
            h2 { "The file as it is" }
            ul {
                @for case in &advice.file.cases {
                    @if let (Some(reserve), Some(worst), None) = (case.reserve(), case.governing(), &case.undetermined) {
                        li {
                            (case.name) ": reserve " b { (significant(reserve, 3)) } ", " (significant(advice.wanted, 3))
                            " wanted (" (worst.mode.word()) ", " (case.material) ")"
                        }
                    }
                }
                @for finding in advice.file.missing.iter().take(6) { li { (translate(&finding.message, figures)) } }
                @for fault in faults { li { "fault: " (fault) "; the advice is for the part without it" } }
            }
        }
    }
}

fn settings(advice: &Advice, figures: Figures) -> Markup {
    let rows = side_by_side(advice, figures);
    let same = advice.best.as_ref().is_some_and(|best| best.choice == advice.own.choice);
    let title = if advice.best.is_some() { "What to set" } else { "The most that settings reach" };
    let spoken_of = advice.best.as_ref().or(advice.strongest.as_ref()).unwrap_or(&advice.own);
    html! {
        section {
            h2 { (title) }
            div.wide tabindex="0" role="region" aria-label="settings of the file and of the advice" {
                table.settings {
                    thead { tr { td {} th scope="col" { "the file" } @if !same { th scope="col" { (title.to_lowercase()) } } } }
                    tbody {
                        @for [name, own, best] in &rows {
                            @let turned = !same && own != best;
                            tr.(if turned { "turned" } else { "" }) {
                                th scope="row" { (name) }
                                td { (own) }
                                @if !same { td { (best) @if turned { " ◂" } } }
                            }
                        }
                    }
                }
            }
            @if let Some(words) = governing_words(spoken_of) { p.small { (words) } }
        }
    }
}

/// The edge: what is spent to the right, what it bears upwards, as stairs; no offer lies above them.
fn edge(advice: &Advice, figures: Figures) -> Markup {
    let spent = |o: &Offer| if advice.goal == Goal::Time { o.time_s / 60.0 } else { advice.goal.of(o) };
    let bears = |o: &Offer| -> Option<f64> {
        let area = figures.lengths_in_unit(1.0).powi(2);
        if advice.file.cases.is_empty() { Some(o.least_section_mm2? * area) } else { o.reserve() }
    };
    let points: Vec<(f64, f64, &Offer)> = advice.edge.iter().filter_map(|o| Some((spent(o), bears(o)?, o))).collect();
    let own = bears(&advice.own).map(|y| (spent(&advice.own), y));
    let wanted = (!advice.file.cases.is_empty()).then_some(advice.wanted);
    let most_x = points.iter().map(|p| p.0).chain(own.map(|p| p.0)).fold(0.0, f64::max);
    let most_y = points.iter().map(|p| p.1).chain(own.map(|p| p.1)).chain(wanted).fold(0.0, f64::max);
    let (step_x, step_y) = (round_step(most_x / 4.0), round_step(most_y / 4.0));
    let (full_x, full_y) = (scale(most_x, step_x), scale(most_y, step_y));
    let place = |x: f64, y: f64| (percent(x / full_x), percent(1.0 - y / full_y));
    html! {
        @if points.len() > 1 {
            section {
                h2 { (spent_word(advice)) " against " (strength_word(advice)) }
                p.small {
                    "Numbered: beaten by none of the " (advice.tried) " that were laid; ringed: the least that holds. "
                    "F: the file." @if wanted.is_some() { " Dashed: what is wanted." }
                }
                div.chart role="img" aria-label=(format!("{} against {}; the figures are in the table below", strength_word(advice), spent_word(advice))) {
                    span.y-name { (strength_word(advice)) @if advice.file.cases.is_empty() { " " (figures.area_unit()) } @else { " on low values" } }
                    div.plot {
                        (grid(full_x, step_x, full_y, step_y))
                        svg.stairs aria-hidden="true" {
                            @for pair in points.windows(2) {
                                @let ((x1, y1), (x2, y2)) = (place(pair[0].0, pair[0].1), place(pair[1].0, pair[1].1));
                                line x1=(x1) y1=(y1) x2=(x2) y2=(y1) {}
                                line x1=(x2) y1=(y1) x2=(x2) y2=(y2) {}
                            }
                            @if let Some(y) = wanted {
                                @let (_, y) = place(0.0, y);
                                line.wanted x1="0" x2="100%" y1=(y) y2=(y) {}
                            }
                        }
                        @if let Some((x, y)) = own.filter(|_| points.iter().all(|p| p.2.choice != advice.own.choice)) {
                            @let (x, y) = place(x, y);
                            span.point.file style=(format!("left:{x};top:{y}")) { "F" }
                        }
                        @for (i, (x, y, offer)) in points.iter().enumerate() {
                            @let (x, y) = place(*x, *y);
                            span.(if is_best(advice, offer) { "point chosen" } else { "point" })
                                style=(format!("left:{x};top:{y}")) { (i + 1) }
                        }
                    }
                    span.x-name { (spent_axis(advice)) }
                }
                (edge_table(advice, &points, figures))
            }
        }
    }
}

fn is_best(advice: &Advice, offer: &Offer) -> bool {
    advice.best.as_ref().is_some_and(|best| best.choice == offer.choice)
}

const fn spent_word(advice: &Advice) -> &'static str {
    match advice.goal {
        Goal::Time => "Time",
        Goal::Mass => "Mass",
        Goal::Cost => "Cost",
    }
}

fn spent_axis(advice: &Advice) -> &'static str {
    match advice.goal {
        Goal::Time => "time, minutes",
        Goal::Mass if advice.own.mass_g.is_some() => "mass, g",
        Goal::Mass => "plastic, mm³",
        Goal::Cost => "cost",
    }
}

fn edge_table(advice: &Advice, points: &[(f64, f64, &Offer)], figures: Figures) -> Markup {
    let height = |o: &Offer| figures.length(o.choice.layer_height_mm().unwrap_or(advice.file.layer_height_mm));
    html! {
        div.wide tabindex="0" role="region" aria-label="settings on the edge" {
            table.compare {
                thead { tr { @for name in ["no.", "time", "mass", strength_word(advice), "walls and core", "skins", "beads", "layers"] { th scope="col" { (name) } } } }
                tbody {
                    @for (i, (_, _, offer)) in points.iter().enumerate() {
                        tr {
                            th scope="row" { (i + 1) @if is_best(advice, offer) { " *" } }
                            td { (figures.time(offer.time_s)) }
                            td { (offer.mass_g.map_or_else(|| figures.volume(offer.volume_mm3), |g| figures.mass(g))) }
                            td { (strength_text(advice, offer, figures)) }
                            td { (choice_words(&offer.choice)) }
                            td { (skin_words(&offer.choice)) }
                            td { (figures.length(offer.choice.bead_width_mm())) }
                            td { (height(offer)) }
                        }
                    }
                }
            }
        }
    }
}

/// One row for each change: what it costs to the left of the middle line, what it gains to the right.
fn effects(advice: &Advice, figures: Figures) -> Markup {
    let most = |of: &dyn Fn(&Change) -> f64| advice.changes.iter().map(|c| of(c).abs()).fold(0.01, f64::max);
    let full = most(&|c| c.time).max(most(&|c| c.strength.unwrap_or(0.0))).min(2.0);
    html! {
        @if !advice.changes.is_empty() {
            section {
                h2 { "What one change alone does" }
                p.small {
                    "From the file's own settings. To the left what it takes or saves of time, to the right what it does to the "
                    (strength_word(advice)) ". Filled: more. Hatched: less. Same: finer than the advice can tell."
                }
                div.effects {
                    div.effect.effect-heads { span.over { "time" } span.gain { (strength_word(advice)) } }
                    @for change in &advice.changes { (effect(advice, change, full, figures)) }
                }
                @if let Some(words) = waste_words(advice) { p { (words) "." } }
            }
        }
    }
}

fn effect(advice: &Advice, change: &Change, full: f64, figures: Figures) -> Markup {
    let words = change_words(change, &advice.own.choice, advice.file.layer_height_mm, figures);
    let time = percent_change(change.time, advice.time_error());
    let strength =
        change.strength.map_or_else(|| "not known".to_owned(), |s| percent_change(s, advice.strength_error()));
    let length = |share: f64, error: f64| if share.abs() > error { (share.abs() / full).min(1.0) } else { 0.0 };
    let long_left = length(change.time, advice.time_error());
    let long_right = length(change.strength.unwrap_or(0.0), advice.strength_error());
    let fill = |share: f64| if share > 0.0 { "var(--ink)" } else { "url(#trouble)" };
    html! {
        div.effect role="img" aria-label=(format!("{words}: {} {strength}, time {time}", strength_word(advice))) {
            span.what { (words) }
            span.spent { (time) }
            svg.to-left aria-hidden="true" {
                rect x=(percent(1.0 - long_left)) y="10%" width=(percent(long_left)) height="80%" style=(format!("fill:{}", fill(change.time))) {}
            }
            svg aria-hidden="true" {
                rect x="0" y="10%" width=(percent(long_right)) height="80%" style=(format!("fill:{}", fill(change.strength.unwrap_or(0.0)))) {}
            }
            span { (strength) }
        }
    }
}

fn beyond(advice: &Advice, figures: Figures) -> Markup {
    let said = beyond_words(advice, figures);
    html! {
        @if !said.is_empty() {
            section { h2 { "What settings cannot do" } ul { @for sentence in said { li { (sentence) } } } }
        }
    }
}

fn trust(file: &AdvisedFile, figures: Figures) -> Markup {
    let advice = &file.advice;
    html! {
        section {
            h2 { "How far to trust it" }
            p {
                "The file's own outlines, laid again with the settings it was measured to have, came to: "
                (error_words(advice).join(", ")) ". Finer differences are called the same."
            }
            ul {
                li { (holding_words(advice)) }
                @for warning in error_warnings(advice) { li { b { (warning) } } }
                @for assumed in &file.assumptions { li.small { (translate(assumed, figures)) } }
                li { "Slice it again with these settings, then audit that file: the file on disk is the evidence." }
            }
        }
    }
}

fn cautions(advice: &Advice) -> Markup {
    html! {
        @if !advice.file.cases.is_empty() {
            section.job { h2 { "Mind" } ul.cautions { @for caution in CAUTIONS { li { (caution) } } } }
        }
    }
}
