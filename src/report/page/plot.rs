//! The faint grid behind a plot, with its numbers.

use super::strata::percent;
use maud::{Markup, html};

/// Faint lines with their numbers.
pub(super) fn grid(full_x: f64, step_x: f64, full_y: f64, step_y: f64) -> Markup {
    html! {
        svg.grid aria-hidden="true" {
            @for i in 0..=ticks(full_x, step_x) {
                @let x = percent(i as f64 * step_x / full_x);
                line x1=(x) x2=(x) y1="0" y2="100%" {}
            }
            @for i in 0..=ticks(full_y, step_y) {
                @let y = percent(1.0 - i as f64 * step_y / full_y);
                line y1=(y) y2=(y) x1="0" x2="100%" {}
            }
        }
        @for i in 0..=ticks(full_x, step_x) {
            span.x-tick style=(format!("left:{}", percent(i as f64 * step_x / full_x))) { (tick(i, step_x)) }
        }
        @for i in 0..=ticks(full_y, step_y) {
            span.y-tick style=(format!("top:{}", percent(1.0 - i as f64 * step_y / full_y))) { (tick(i, step_y)) }
        }
    }
}

/// The full length of an axis that ends at a whole step beyond the most.
pub(super) fn scale(most: f64, step: f64) -> f64 {
    ((most / step).floor() + 1.0) * step
}

fn ticks(full: f64, step: f64) -> usize {
    (full / step).round().clamp(0.0, 20.0) as usize
}

fn tick(i: usize, step: f64) -> String {
    let text = format!("{:.3}", i as f64 * step);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
