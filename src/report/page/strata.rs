//! The section through the part as a borehole log draws its strata: walls as black bars at both sides, between
//! them the core, hatched as dense as it is filled.

use super::ladder::{Ladder, Row};
use crate::measure::PrintMeasures;
use crate::shape::Access;
use maud::{Markup, html};

/// Pixels of one millimetre of wall.
const PER_MM: f64 = 4.0;
/// Widest bar: walls of solid parts would meet.
const WIDEST: f64 = 17.0;
/// Distances of hatch lines, and the density up to which each stands.
const HATCHES: [(f64, f64); 5] = [(0.12, 16.0), (0.25, 11.0), (0.45, 7.0), (0.7, 5.0), (0.95, 3.5)];

/// Patterns that the columns of a page share; once on every page.
pub(super) fn patterns() -> Markup {
    html! {
        svg.defs width="0" height="0" aria-hidden="true" {
            defs {
                @for (i, (_, step)) in HATCHES.iter().enumerate() {
                    pattern id=(format!("core{i}")) width=(step) height=(step) patternUnits="userSpaceOnUse"
                        patternTransform="rotate(45)" {
                        path d=(format!("M0 0H{step}M0 0V{step}")) stroke="#555" stroke-width="1" {}
                    }
                }
                pattern id="trouble" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)" {
                    path d="M0 0H5" stroke="#b3261e" stroke-width="2.2" {}
                }
            }
        }
    }
}

/// A run of rows that are drawn alike.
struct Stratum {
    upper: f64,
    lower: f64,
    wall_px: f64,
    fill: String,
}

pub(super) fn strata(measures: &PrintMeasures, ladder: &Ladder<'_>) -> Markup {
    let mut strata: Vec<Stratum> = Vec::new();
    for row in &ladder.rows {
        let (wall_px, fill) = (wall_px(row), fill(row));
        match strata.last_mut() {
            Some(last) if last.fill == fill && (last.wall_px - wall_px).abs() < 0.75 => last.upper = row.upper,
            _ => strata.push(Stratum { upper: row.upper, lower: row.lower, wall_px, fill }),
        }
    }
    html! {
        svg.strata role="img" aria-label="walls and core from the bed up" {
            @for s in &strata {
                @let (y, height) = (percent(s.upper), percent(s.lower - s.upper));
                rect x="0" y=(y) width="100%" height=(height) fill=(s.fill) {}
                @if s.wall_px > 0.0 {
                    rect.ink x="0" y=(y) width=(s.wall_px) height=(height) {}
                    rect.ink x="100%" y=(y) width=(s.wall_px) height=(height)
                        transform=(format!("translate(-{} 0)", s.wall_px)) {}
                }
            }
            @for pocket in &measures.pockets {
                @let layers = pocket.layers.first().zip(pocket.layers.last()).map(|(a, b)| (a.layer, b.layer));
                @if let Some((upper, lower)) = layers.and_then(|layers| ladder.span(layers)) {
                    rect.(if pocket.access == Access::Closed { "pocket closed" } else { "pocket" })
                        x="38%" y=(percent(upper)) width="24%" height=(percent(lower - upper)) {}
                }
            }
        }
    }
}

fn wall_px(row: &Row<'_>) -> f64 {
    let thinnest = row.layers.iter().filter_map(|l| l.wall_thickness_median_mm).min_by(f64::total_cmp);
    thinnest.map_or(0.0, |mm| ((mm * PER_MM).min(WIDEST) * 2.0).round() / 2.0)
}

fn fill(row: &Row<'_>) -> String {
    let density = row.layers.iter().filter_map(|l| l.core_density).min_by(f64::total_cmp);
    let solid = row.layers.iter().all(|l| l.solid);
    match density {
        None if solid => "#777".to_owned(),
        None => "#fff".to_owned(),
        Some(density) => {
            let hatch = HATCHES.iter().position(|(up_to, _)| density <= *up_to);
            hatch.map_or("#777".to_owned(), |i| format!("url(#core{i})"))
        }
    }
}

/// A share as a percentage for the page, short.
pub(super) fn percent(share: f64) -> String {
    let text = format!("{:.2}", share * 100.0);
    format!("{}%", text.trim_end_matches('0').trim_end_matches('.'))
}
