//! The head of the page: the verdict, then the figures a person asks for first.

use super::AuditPage;
use crate::audit::Verdict;
use crate::report::words::{core_words, skin_words, verdict_sentence, verdict_word};
use maud::{Markup, html};

pub(super) fn verdict(page: &AuditPage<'_>) -> Markup {
    let file = page.file;
    let mut materials: Vec<&str> = file.measures.tools.iter().filter_map(|t| t.material.as_deref()).collect();
    materials.dedup();
    let material = if materials.is_empty() { "material not named".to_owned() } else { materials.join(" and ") };
    html! {
        header.head {
            div.(format!("verdict {}", class(file.audit.verdict))) {
                (mark(file.audit.verdict))
                strong { (verdict_word(file.audit.verdict)) }
            }
            div.of {
                h1 { (short_name(&file.name)) }
                p { (verdict_sentence(file)) }
                p.small { "for " (file.machine) ", " (material) }
            }
        }
        (key_figures(page))
    }
}

/// The name without its folders: a page travels further than a path.
pub(super) fn short_name(name: &str) -> &str {
    name.rsplit(['/', '\\']).next().filter(|n| !n.is_empty()).unwrap_or(name)
}

/// The style of a verdict.
pub(super) const fn class(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "fail",
        Verdict::Undetermined | Verdict::Unchecked => "open",
    }
}

/// A tick, a cross or a question mark, so that colour is not needed.
pub(super) fn mark(verdict: Verdict) -> Markup {
    let line = match verdict {
        Verdict::Pass => "M5 13l6 6 9-14",
        Verdict::Fail => "M5 5l14 14M19 5l-14 14",
        Verdict::Undetermined => "M7 8c0-6 10-6 10 0c0 4-5 3-5 7M12 19v.5",
        Verdict::Unchecked => "M5 12h14",
    };
    html! {
        svg.mark viewBox="0 0 24 24" aria-hidden="true" { path d=(line) {} }
    }
}

fn key_figures(page: &AuditPage<'_>) -> Markup {
    let (measures, figures) = (&page.file.measures, page.figures);
    let (totals, part) = (&measures.totals, &measures.part);
    let unknown = || "not known".to_owned();
    let size = part.bbox_mm.map_or_else(unknown, |[low, high]| {
        let side = |i: usize| figures.short_length(high[i] - low[i]);
        format!("{} × {} × {} {}", side(0), side(1), side(2), figures.length_unit())
    });
    let walls = part.walls.map_or_else(unknown, |w| format!("{:.0}", w.median));
    let thickness = part.wall_thickness_mm.map_or_else(unknown, |w| figures.length(w.min));
    let height = part.layer_height_mm.map_or(String::new(), |mm| format!(" of {}", figures.length(mm)));
    let rows = [
        ("mass", totals.mass_g.map_or_else(|| "name the material".to_owned(), |g| figures.mass(g))),
        ("time", figures.time(totals.time.total_s())),
        ("cost", totals.cost.map_or_else(unknown, |c| format!("{c:.2}"))),
        ("size", size),
        ("layers", format!("{}{height}", measures.layers.len())),
        ("walls", format!("{walls}, {thickness} at the thinnest")),
        ("core", core_words(part, figures)),
        ("skins", skin_words(&part.skins)),
    ];
    html! {
        dl.key {
            @for (name, value) in rows {
                div { dt { (name) } dd { (value) } }
            }
        }
    }
}
