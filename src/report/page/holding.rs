//! Load cases: what the part bears in each way it could give, against what it has to bear.

use super::AuditPage;
use super::strata::percent;
use crate::report::Figures;
use crate::report::translate::translate;
use crate::strength::{Capacity, CaseResult, Holds};
use crate::units::{Force, System, Torque, significant};
use maud::{Markup, html};

pub(super) fn holding(page: &AuditPage<'_>) -> Markup {
    let cases = &page.file.cases;
    html! {
        @if !cases.is_empty() {
            section.holding {
                h2 { "Will it hold" }
                p.small {
                    "Bars: what it bears on low values, and in the outline on typical ones. Heavy line: the load. "
                    "Dashed: the load with the reserve that is wanted. Verdicts use the low values."
                }
                @for case in cases { (case_block(case, page.figures)) }
            }
        }
    }
}

fn case_block(case: &CaseResult, figures: Figures) -> Markup {
    let say = |text: &str| translate(text, figures);
    let answer = match case.holds() {
        Some(Holds::Holds) => ("pass", "holds"),
        Some(Holds::AtTheLimit) => ("fail", "at the limit: expect marks and wear"),
        Some(Holds::WillNotHold) => ("fail", "will not hold"),
        None => ("open", "cannot be judged"),
    };
    html! {
        div.case {
            h3 { (case.name) ", " (show(case, case.load, figures)) ": " span.(format!("answer {}", answer.0)) { (answer.1) } }
            @if let Some(why) = &case.undetermined { p { (say(why)) } }
            @if let (Some(reserve), None) = (case.reserve(), &case.undetermined) {
                p {
                    "Reserve " b { (significant(reserve, 3)) } " on low values"
                    @if let Some(typical) = case.reserve_typical() { ", " (significant(typical, 3)) " on typical ones" }
                    "; " (significant(case.wanted, 3)) " wanted (" (case.material) ")."
                }
                (bars(case, figures))
                @if let Some(worst) = case.governing() {
                    p.small { b { (worst.mode.word()) } ", " (say(&worst.place.words)) ": " (say(&worst.working)) }
                    @if case.holds() != Some(Holds::Holds) { p.small { "To raise it: " (worst.mode.what_helps()) "." } }
                }
            }
            @if !case.remarks.is_empty() { ul.small { @for remark in &case.remarks { li { (say(remark)) } } } }
        }
    }
}

/// A force or a torque in the reader's units.
fn show(case: &CaseResult, value: f64, figures: Figures) -> String {
    let system = if figures.is_inch() { System::Inch } else { System::Metric };
    if case.is_torque { Torque::from_n_mm(value).show(system) } else { Force::from_newtons(value).show(system) }
}

/// One bar for each way of giving way, the weakest first.
fn bars(case: &CaseResult, figures: Figures) -> Markup {
    // Long bars are cut: what bears many times the load is not in question.
    let full = case.capacities.iter().map(|c| c.bears.likely).fold(0.0, f64::max);
    let wanted = case.load * case.wanted;
    let full = full.clamp(1.25 * wanted, 3.0 * wanted);
    html! {
        div.modes {
            @for capacity in &case.capacities { (bar(case, capacity, full, figures)) }
        }
    }
}

fn bar(case: &CaseResult, capacity: &Capacity, full: f64, figures: Figures) -> Markup {
    let share = |value: f64| (value / full).clamp(0.0, 1.0);
    let (low, likely, wanted) = (capacity.bears.low, capacity.bears.likely, case.load * case.wanted);
    let (low_at, likely_at) = (share(low), share(likely));
    let (load_x, wanted_x) = (percent(share(case.load)), percent(share(wanted)));
    html! {
        div.mode {
            span.mode-name { (capacity.mode.word()) }
            svg.mode-bar role="img" aria-label=(format!("bears {} on low values", show(case, low, figures))) {
                rect.there x="0" y="20%" width=(percent(low_at)) height="60%" {}
                @if !(low >= wanted) {
                    rect fill="url(#trouble)" x="0" y="20%" width=(percent(low_at)) height="60%" {}
                }
                rect.likely x=(percent(low_at)) y="20%" width=(percent(likely_at - low_at)) height="60%" {}
                line.load x1=(load_x) x2=(load_x) y1="0" y2="100%" {}
                line.wanted x1=(wanted_x) x2=(wanted_x) y1="0" y2="100%" {}
            }
            span.mode-value { (show(case, low, figures)) @if likely > full { " →" } }
        }
    }
}
