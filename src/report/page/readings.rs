//! Figures and traces of every layer for the script that reads them off: JSON with nothing in it that a person wrote.

use super::AuditPage;
use super::ladder::Ladder;
use super::log::trimmed;
use crate::geom::Point;
use crate::measure::{LayerMeasure, LayerTrace};
use std::fmt::Write;

/// Traces together at most, bytes; what is over is left out, from the top of the part.
const MOST_TRACE_BYTES: usize = 500_000;
/// Units of a trace in one millimetre.
const PER_MM: f64 = 10.0;

/// `{"length":"mm", "area":"mm²", "layers":[[index, upper edge, z, walls, thickness, core, bond, time], ..],
/// "box":[width, height], "traces":[[index, path], ..]}`; a layer without a trace of its own looks like the one below.
pub(super) fn readings(page: &AuditPage<'_>, ladder: &Ladder<'_>) -> String {
    let layers = page.file.measures.layers.iter().enumerate();
    let layers: Vec<String> = layers.map(|(place, l)| figures_of(page, l, ladder.share_above(place))).collect();
    let (size, traces) = traces(&page.drawings.traces);
    format!(
        "{{\"length\":\"{}\",\"area\":\"{}\",\"layers\":[{}],\"box\":[{},{}],\"traces\":[{}]}}",
        page.figures.length_unit(),
        page.figures.area_unit(),
        layers.join(","),
        size.0,
        size.1,
        traces.join(",")
    )
}

fn figures_of(page: &AuditPage<'_>, layer: &LayerMeasure, upper: f64) -> String {
    let figures = page.figures;
    let mm = figures.lengths_in_unit(1.0);
    let number = |v: Option<f64>, digits: usize| v.map_or("null".to_owned(), |v| trimmed(v, digits));
    format!(
        "[{},{upper:.4},{},{},{},{},{},{:.1}]",
        layer.index,
        number(Some(layer.z_mm * mm), 3),
        layer.walls_median.map_or("null".to_owned(), |w| w.to_string()),
        number(layer.wall_thickness_median_mm.map(|t| t * mm), 3),
        number(layer.core_density.map(|d| d * 100.0), 0),
        number(layer.bond_area_mm2.map(|a| a * mm * mm), if figures.is_inch() { 4 } else { 1 }),
        layer.time_s
    )
}

/// Width and height of the paper, and the paths on it.
fn traces(traces: &[LayerTrace]) -> ((i64, i64), Vec<String>) {
    let points = || traces.iter().flat_map(|t| t.loops.iter().flatten());
    let low = |of: fn(&Point) -> f64| points().map(of).fold(f64::INFINITY, f64::min);
    let high = |of: fn(&Point) -> f64| points().map(of).fold(f64::NEG_INFINITY, f64::max);
    let (left, right, lower, upper) = (low(|p| p.x), high(|p| p.x), low(|p| p.y), high(|p| p.y));
    if !(left <= right && lower <= upper) {
        return ((1, 1), Vec::new());
    }
    let whole = |mm: f64| (mm * PER_MM).round() as i64;
    let mut written = Vec::new();
    let mut bytes = 0;
    let mut last = String::new();
    for trace in traces {
        let path = path_of(trace, |p| (whole(p.x - left), whole(upper - p.y)));
        if path == last {
            continue;
        }
        bytes += path.len();
        if bytes > MOST_TRACE_BYTES {
            break;
        }
        written.push(format!("[{},\"{path}\"]", trace.index));
        last = path;
    }
    ((whole(right - left).max(1), whole(upper - lower).max(1)), written)
}

/// Loops as a path of relative lines.
fn path_of(trace: &LayerTrace, place: impl Fn(&Point) -> (i64, i64)) -> String {
    let mut path = String::new();
    for points in trace.loops.iter().filter(|points| points.len() > 2) {
        let mut at: Option<(i64, i64)> = None;
        for point in points {
            let to = place(point);
            // Writing to a String cannot fail.
            let _ = match at {
                None => write!(path, "M{} {}l", to.0, to.1),
                Some(at) if at == to => Ok(()),
                Some(at) => write!(path, "{} {} ", to.0 - at.0, to.1 - at.1),
            };
            at = Some(to);
        }
        path = path.trim_end().to_owned();
        path.push('z');
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(index: usize, side: f64) -> LayerTrace {
        let corners = [(5.0, 7.0), (5.0 + side, 7.0), (5.0 + side, 9.0), (5.0, 9.0)];
        LayerTrace { index, loops: vec![corners.map(|(x, y)| Point::new(x, y)).to_vec()] }
    }

    #[test]
    fn a_layer_like_the_one_below_is_not_written_again() {
        let (size, written) = traces(&[square(0, 3.0), square(1, 3.0), square(2, 1.0)]);
        assert_eq!(size, (30, 20));
        assert_eq!(written, ["[0,\"M0 20l30 0 0 -20 -30 0z\"]", "[2,\"M0 20l10 0 0 -20 -10 0z\"]"]);
    }

    #[test]
    fn nothing_traced_is_nothing_written() {
        assert_eq!(traces(&[]), ((1, 1), Vec::new()));
    }
}
