//! The core log: height runs down the page, beside it what each layer is and lacks.

use super::AuditPage;
use super::findings::class;
use super::ladder::{Ladder, Row, round_step};
use super::readings::readings;
use super::strata::{percent, strata};
use crate::audit::Weight;
use crate::measure::LayerMeasure;
use maud::{Markup, PreEscaped, html};
use std::fmt::Write;

/// Findings that are bracketed beside the log at most.
const MOST_BRACKETS: usize = 30;
/// Brackets side by side at most.
const MOST_LANES: usize = 6;
/// Height that the number of a bracket needs, as a share of the log's.
const NUMBER_NEEDS: f64 = 0.035;

/// One measured column.
struct Column<'a> {
    title: &'static str,
    unit: &'static str,
    /// What a layer has, in the column's unit.
    value: &'a dyn Fn(&LayerMeasure) -> Option<f64>,
    /// What it should have at least.
    wanted: Option<f64>,
    /// The least possible full scale.
    least_scale: f64,
    /// The greatest possible full scale; what is beyond it is drawn to the edge.
    most_scale: f64,
    digits: usize,
    /// Where the first layer says nothing.
    from_layer: usize,
}

pub(super) fn core_log(page: &AuditPage<'_>) -> Markup {
    let measures = &page.file.measures;
    let ladder = Ladder::new(&measures.layers, page.figures.unit_mm());
    let figures = page.figures;
    let mm = figures.lengths_in_unit(1.0);
    let mm2 = mm * mm;
    let bonds = |l: &LayerMeasure| l.bond_area_mm2.map(|a| a * mm2);
    let length_digits = if figures.is_inch() { 3 } else { 2 };
    let columns = [
        Column {
            title: "wall",
            unit: figures.length_unit(),
            value: &|l| l.wall_thickness_median_mm.map(|t| t * mm),
            wanted: page.strength.and_then(|s| s.min_wall_thickness_mm).map(|t| t * mm),
            least_scale: mm,
            most_scale: f64::INFINITY,
            digits: length_digits,
            from_layer: 0,
        },
        Column {
            title: "core filled",
            unit: "%",
            value: &|l| l.core_density.map(|d| d * 100.0),
            wanted: page.strength.and_then(|s| s.min_core_density).map(|d| d * 100.0),
            least_scale: 100.0,
            most_scale: 100.0,
            digits: 0,
            from_layer: 0,
        },
        Column {
            title: "bond area",
            unit: figures.area_unit(),
            value: &bonds,
            wanted: None,
            least_scale: mm2,
            most_scale: f64::INFINITY,
            digits: if figures.is_inch() { 3 } else { 0 },
            from_layer: 1,
        },
        Column {
            title: "layer time",
            unit: "s",
            value: &|l| Some(l.time_s),
            wanted: least_layer_s(page),
            least_scale: 1.0,
            most_scale: f64::INFINITY,
            digits: 0,
            from_layer: 1,
        },
    ];
    html! {
        section.log-section {
            h2 { "Core log" }
            p.small { "From the top of the part down to the bed. Grey is what is there; a dashed line is what is wanted; what falls short is hatched." }
            div.log id="log" style=(format!("--paper-mm:{}mm", paper_mm(page))) {
                div.log-head { span { "z " (figures.length_unit()) } }
                div.log-head { span { "section" } }
                @for column in &columns { div.log-head { span { (column.title) " " (column.unit) } } }
                div.log-head { span { "found" } }
                div.log-body.scale {
                    @for (at, z) in &ladder.marks {
                        span.tick style=(format!("top:{}", percent(*at))) { (figures.short_length(*z)) }
                    }
                }
                div.log-body.section { (strata(measures, &ladder)) }
                @for column in &columns { (body(column, &ladder)) }
                (brackets(page, &ladder))
                div.log-foot {}
                div.log-foot {}
                @for column in &columns { (foot(column, &ladder)) }
                div.log-foot {}
            }
            script id="readings" type="application/json" { (PreEscaped(readings(page, &ladder))) }
        }
    }
}

/// Height of the log on paper, so that verdict, findings and log share the first page (A4 and US letter).
fn paper_mm(page: &AuditPage<'_>) -> usize {
    let findings = page.file.audit.findings.len().min(super::findings::IN_FULL);
    let modes: usize = page.file.cases.iter().map(|case| case.capacities.len().min(4)).sum();
    let cases = page.file.cases.len();
    let above = 9 * findings + 5 * modes + 34 * cases + if cases > 0 { 14 } else { 0 };
    175_usize.saturating_sub(above).clamp(45, 125)
}

/// The least time a layer needs to cool: that of the slowest material used.
fn least_layer_s(page: &AuditPage<'_>) -> Option<f64> {
    let tools = page.file.measures.tools.iter();
    tools.filter_map(|t| page.setup.material(t.tool)?.min_layer_s).max_by(f64::total_cmp)
}

impl Column<'_> {
    fn of(&self, layer: &LayerMeasure) -> Option<f64> {
        (self.value)(layer).filter(|v| v.is_finite() && layer.index >= self.from_layer)
    }

    /// The least of a row: what matters where several layers share one.
    fn least(&self, row: &Row<'_>) -> Option<f64> {
        row.layers.iter().filter_map(|l| self.of(l)).min_by(f64::total_cmp)
    }

    /// A round full scale that holds every row and what is wanted.
    fn full_scale(&self, ladder: &Ladder<'_>) -> f64 {
        let most = ladder.rows.iter().filter_map(|r| self.least(r)).fold(self.least_scale, f64::max);
        let most = most.max(self.wanted.unwrap_or(0.0) * 1.05);
        let step = round_step(most / 4.0);
        ((most / step).ceil() * step).min(self.most_scale)
    }

    fn falls_short(&self, value: f64) -> bool {
        // Figures are written with few digits; what rounds to the wanted value has it.
        self.wanted.is_some_and(|wanted| !(value >= wanted * 0.99))
    }
}

/// The bars of one column.
fn body(column: &Column<'_>, ladder: &Ladder<'_>) -> Markup {
    let full = column.full_scale(ladder);
    let there = bars(ladder, |row| column.least(row), full);
    let label = format!("{} of each layer, {}", column.title, column.unit);
    html! {
        div.log-body.bars {
            svg viewBox="0 0 100 1000" preserveAspectRatio="none" role="img" aria-label=(label) {
                path.there d=(there) {}
            }
            // Not stretched with the bars: hatching would be pulled out of shape.
            svg.over aria-hidden="true" {
                @for (upper, lower, share) in short_runs(column, ladder, full) {
                    rect fill="url(#trouble)" x="0" width=(percent(share)) y=(percent(upper)) height=(percent(lower - upper)) {}
                    rect.short x="0" width="3" y=(percent(upper)) height=(percent(lower - upper)) {}
                }
                @if let Some(wanted) = column.wanted {
                    @let x = percent(wanted / full);
                    line.wanted x1=(x) x2=(x) y1="0" y2="100%" {}
                }
            }
        }
    }
}

/// One filled step line from the left edge.
fn bars(ladder: &Ladder<'_>, value: impl Fn(&Row<'_>) -> Option<f64>, full: f64) -> String {
    let mut path = "M0 1000".to_owned();
    let mut last = String::from("0");
    for row in &ladder.rows {
        let x = short((value(row).unwrap_or(0.0) / full * 100.0).clamp(0.0, 100.0));
        // Writing to a String cannot fail.
        if x != last {
            let _ = write!(path, "V{}H{x}", short(row.lower * 1000.0));
            last = x;
        }
    }
    path + "V0H0z"
}

fn short(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
}

/// Runs of rows that fall short by much the same, with the share of the scale they reach.
fn short_runs(column: &Column<'_>, ladder: &Ladder<'_>, full: f64) -> Vec<(f64, f64, f64)> {
    let mut runs: Vec<(f64, f64, f64)> = Vec::new();
    for row in &ladder.rows {
        let Some(value) = column.least(row).filter(|v| column.falls_short(*v)) else { continue };
        let share = (value / full).clamp(0.0, 1.0);
        match runs.last_mut() {
            Some((upper, _, reached)) if *upper == row.lower && (*reached - share).abs() < 0.01 => {
                *upper = row.upper;
                *reached = reached.min(share);
            }
            _ => runs.push((row.upper, row.lower, share)),
        }
    }
    runs
}

/// The scale of a column and its least value, so that paper tells as much as a pointer does.
fn foot(column: &Column<'_>, ladder: &Ladder<'_>) -> Markup {
    let full = column.full_scale(ladder);
    let layers = || ladder.rows.iter().flat_map(|r| r.layers);
    let least = layers().filter_map(|l| column.of(l).map(|v| (v, l.index))).min_by(|a, b| a.0.total_cmp(&b.0));
    html! {
        div.log-foot {
            span.ends { span { "0" } span { (trimmed(full, column.digits)) } }
            @if let Some((value, index)) = least {
                span.least { "least " (format!("{value:.0$}", column.digits)) span.at { " layer " (index) } }
            } @else {
                span.least { "none" }
            }
        }
    }
}

pub(super) fn trimmed(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Findings as brackets along the layers they concern, side by side where they meet.
fn brackets(page: &AuditPage<'_>, ladder: &Ladder<'_>) -> Markup {
    let mut lanes: Vec<f64> = Vec::new();
    let mut placed = Vec::new();
    let findings = page.file.audit.findings.iter().enumerate().filter(|(_, f)| f.weight >= Weight::Warning);
    let spans = findings.filter_map(|(i, f)| Some((i, f, ladder.span(f.layers?)?)));
    let mut spans: Vec<_> = spans.take(MOST_BRACKETS).collect();
    // From the top of the page down, so that a lane is free again below a bracket's end.
    spans.sort_by(|a, b| a.2.0.total_cmp(&b.2.0));
    for (i, finding, (upper, lower)) in spans {
        let needs_to = lower.max(upper + NUMBER_NEEDS);
        let free = lanes.iter().position(|end| *end <= upper);
        let lane = match free {
            Some(lane) => lane,
            None if lanes.len() < MOST_LANES => {
                lanes.push(0.0);
                lanes.len() - 1
            }
            None => continue,
        };
        if let Some(end) = lanes.get_mut(lane) {
            *end = needs_to;
        }
        placed.push((i, finding, upper.min(1.0 - NUMBER_NEEDS), upper, lower, lane));
    }
    let stops = page.file.measures.stops.iter().filter_map(|s| ladder.span((s.after_layer?, s.after_layer?)));
    html! {
        div.log-body.found-column style=(format!("--lanes:{}", lanes.len().max(1))) {
            @for (i, finding, number_at, upper, lower, lane) in &placed {
                span.(format!("bracket {}", class(finding.weight)))
                    style=(format!("--lane:{lane};top:{};height:{}", percent(*upper), percent(lower - upper))) {}
                a.number href=(format!("#f{}", i + 1)) aria-label=(format!("finding {}", i + 1))
                    style=(format!("--lane:{lane};top:{}", percent(*number_at))) { (i + 1) }
            }
            @for (upper, _) in stops {
                span.stop style=(format!("top:{}", percent(upper))) title="stop" {}
            }
        }
    }
}
