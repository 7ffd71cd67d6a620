//! Runs of neighbouring layers that share a trouble.
//!
//! One finding a band, not one a layer: `layers 32-38` is what a person can act on.

use crate::audit::Finding;
use crate::measure::LayerMeasure;
use std::ops::Range;

/// Runs of neighbouring layers for which `is_bad` holds.
pub(super) fn bands(layers: &[LayerMeasure], is_bad: impl Fn(&LayerMeasure) -> bool) -> Vec<&[LayerMeasure]> {
    layers.chunk_by(|a, b| is_bad(a) == is_bad(b)).filter(|band| band.first().is_some_and(&is_bad)).collect()
}

/// The same, grown to either side as far as `is_touched` holds: a trouble at the edge of being told is told whole.
pub(super) fn grown_bands(
    layers: &[LayerMeasure],
    is_bad: impl Fn(&LayerMeasure) -> bool,
    is_touched: impl Fn(&LayerMeasure) -> bool,
) -> Vec<&[LayerMeasure]> {
    bands(layers, |l| is_bad(l) || is_touched(l)).into_iter().filter(|band| band.iter().any(&is_bad)).collect()
}

/// Runs of neighbouring places from 0 to `count` for which `is_bad` holds.
pub(super) fn bands_by_place(count: usize, is_bad: impl Fn(usize) -> bool) -> Vec<Range<usize>> {
    let mut runs = Vec::new();
    let mut start = None;
    for place in 0..=count {
        match (place < count && is_bad(place), start) {
            (true, None) => start = Some(place),
            (false, Some(from)) => {
                runs.push(from..place);
                start = None;
            }
            _ => {}
        }
    }
    runs
}

/// The finding with the layers, heights and first line of a band.
pub(super) fn over(finding: Finding, band: &[LayerMeasure]) -> Finding {
    let (Some(first), Some(last)) = (band.first(), band.last()) else { return finding };
    Finding {
        layers: Some((first.index, last.index)),
        z_mm: Some((first.z_mm - first.height_mm, last.z_mm)),
        line: finding.line.or(Some(first.lines.0)),
        ..finding
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::audit::Weight;

    fn layers(times: &[f64]) -> Vec<LayerMeasure> {
        times
            .iter()
            .enumerate()
            .map(|(index, &time_s)| LayerMeasure {
                index,
                z_mm: 0.25 * (index + 1) as f64,
                height_mm: 0.25,
                time_s,
                lines: (10 * index as u64 + 1, 10 * index as u64 + 9),
                ..LayerMeasure::default()
            })
            .collect()
    }

    #[test]
    fn a_band_grows_over_what_is_nearly_as_bad_and_begins_nowhere_else() {
        let layers = layers(&[9.0, 4.0, 3.0, 4.0, 9.0, 4.0, 9.0]);
        let found = grown_bands(&layers, |l| l.time_s < 3.5, |l| l.time_s < 5.0);
        assert_eq!(found.iter().map(|b| (b[0].index, b.len())).collect::<Vec<_>>(), [(1, 3)]);
    }

    #[test]
    fn places_join_up_to_the_last() {
        assert_eq!(bands_by_place(6, |i| i != 0 && i != 3), [1..3, 4..6]);
        assert!(bands_by_place(0, |_| true).is_empty());
    }

    #[test]
    fn neighbours_join_and_gaps_part() {
        let layers = layers(&[1.0, 9.0, 1.0, 1.0, 9.0]);
        let found = bands(&layers, |l| l.time_s < 5.0);
        assert_eq!(found.iter().map(|b| b.len()).collect::<Vec<_>>(), [1, 2]);
        let finding = over(Finding::new("short-layer", Weight::Warning, "m", "r"), found[1]);
        assert_eq!(finding.layers, Some((2, 3)));
        assert_eq!(finding.z_mm, Some((0.5, 1.0)));
        assert_eq!(finding.line, Some(21));
    }
}
