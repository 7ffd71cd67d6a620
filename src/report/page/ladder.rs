//! Where each layer stands on the page: height runs down it, the top of the part first.
//!
//! Layers are stacked in print order by their own thickness, so that several objects printed one after another
//! stand one above the other instead of over each other. Where there are more layers than a page has rows, rows
//! gather several, and each figure of a row is its worst.

use crate::measure::LayerMeasure;

/// Rows a log has at most.
const MOST_ROWS: usize = 500;

/// One row of the log: one layer, or several neighbours.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row<'a> {
    /// Its layers.
    pub layers: &'a [LayerMeasure],
    /// Upper edge as a share of the page's height, 0 at the top.
    pub upper: f64,
    /// Lower edge.
    pub lower: f64,
}

/// All rows from the bed up, with the marks of the height scale.
#[derive(Debug, Clone)]
pub(super) struct Ladder<'a> {
    /// From the bed up.
    pub rows: Vec<Row<'a>>,
    /// Share of the page's height and z in mm of each mark.
    pub marks: Vec<(f64, f64)>,
    /// All thickness, mm.
    whole_mm: f64,
    /// For each layer its lower edge, mm up from the bed in print order.
    feet_mm: Vec<f64>,
    layers: &'a [LayerMeasure],
}

impl<'a> Ladder<'a> {
    /// Layers on a scale with marks at round heights in units of `unit_mm`.
    pub(super) fn new(layers: &'a [LayerMeasure], unit_mm: f64) -> Self {
        let mut feet_mm = Vec::with_capacity(layers.len() + 1);
        let mut whole_mm = 0.0;
        for layer in layers {
            feet_mm.push(whole_mm);
            whole_mm += layer.height_mm.max(1e-6);
        }
        feet_mm.push(whole_mm);
        let mut ladder = Self { rows: Vec::new(), marks: Vec::new(), whole_mm, feet_mm, layers };
        let in_row = layers.len().div_ceil(MOST_ROWS).max(1);
        ladder.rows = layers
            .chunks(in_row)
            .enumerate()
            .map(|(i, row)| {
                let (first, last) = (i * in_row, i * in_row + row.len() - 1);
                Row { layers: row, upper: ladder.share_above(last), lower: ladder.share_below(first) }
            })
            .collect();
        ladder.marks = ladder.height_marks(unit_mm);
        ladder
    }

    /// Share of the page's height at the upper face of the layer at a place in the list.
    pub(super) fn share_above(&self, place: usize) -> f64 {
        self.share_below(place + 1)
    }

    /// Share of the page's height at the lower face.
    pub(super) fn share_below(&self, place: usize) -> f64 {
        let foot = self.feet_mm.get(place).copied().unwrap_or(self.whole_mm);
        if self.whole_mm > 0.0 { 1.0 - foot / self.whole_mm } else { 0.0 }
    }

    /// Upper and lower edge of a range of layer indexes.
    pub(super) fn span(&self, (first, last): (usize, usize)) -> Option<(f64, f64)> {
        let place = |index: usize| self.layers.iter().position(|l| l.index == index);
        Some((self.share_above(place(last)?), self.share_below(place(first)?)))
    }

    /// Marks at round heights, about a dozen, and at the bed.
    fn height_marks(&self, unit_mm: f64) -> Vec<(f64, f64)> {
        let step = round_step(self.whole_mm / unit_mm / 10.0) * unit_mm;
        let mut marks = Vec::new();
        let mut below_mm = f64::INFINITY;
        for (place, layer) in self.layers.iter().enumerate() {
            let foot_mm = layer.z_mm - layer.height_mm;
            if foot_mm < below_mm - 1e-6 {
                // A stack begins on the bed.
                marks.push((self.share_below(place), foot_mm.max(0.0)));
            } else {
                let reached = (layer.z_mm / step + 1e-6).floor() * step;
                if reached > below_mm + 1e-6 {
                    let part = ((layer.z_mm - reached) / layer.height_mm.max(1e-6)).clamp(0.0, 1.0);
                    let (upper, lower) = (self.share_above(place), self.share_below(place));
                    marks.push((upper + part * (lower - upper), reached));
                }
            }
            below_mm = layer.z_mm;
        }
        marks
    }
}

/// 1, 2 or 5 times a power of ten, the next at or above `least`.
pub(super) fn round_step(least: f64) -> f64 {
    if !(least > 0.0 && least.is_finite()) {
        return 1.0;
    }
    let power = 10f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|n| n * power).find(|step| *step >= least * 0.999_999).unwrap_or(least)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn layers(count: usize, height_mm: f64) -> Vec<LayerMeasure> {
        (0..count)
            .map(|index| LayerMeasure {
                index,
                height_mm,
                z_mm: height_mm * (index + 1) as f64,
                ..LayerMeasure::default()
            })
            .collect()
    }

    #[test]
    fn the_bed_is_at_the_foot_of_the_page() {
        let layers = layers(4, 0.25);
        let ladder = Ladder::new(&layers, 1.0);
        assert!((ladder.rows[0].lower - 1.0).abs() < 1e-12 && ladder.rows[3].upper.abs() < 1e-12);
        let (upper, lower) = ladder.span((1, 2)).unwrap();
        assert!((upper - 0.25).abs() < 1e-12 && (lower - 0.75).abs() < 1e-12);
        assert_eq!(ladder.span((1, 9)), None);
    }

    #[test]
    fn marks_stand_at_round_heights() {
        let layers = layers(100, 0.2);
        let marks = Ladder::new(&layers, 1.0).marks;
        assert_eq!(
            marks.iter().map(|m| m.1.round() as i64).collect::<Vec<_>>(),
            [0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20]
        );
        assert!((marks[5].0 - 0.5).abs() < 1e-6);
        // 20 mm are 0.787 in: marks every tenth of an inch.
        let inches = Ladder::new(&layers, 25.4).marks;
        assert_eq!(inches.iter().map(|m| (m.1 / 2.54).round() as i64).collect::<Vec<_>>(), [0, 1, 2, 3, 4, 5, 6, 7]);
    }

    #[test]
    fn many_layers_share_rows() {
        let layers = layers(1501, 0.1);
        let ladder = Ladder::new(&layers, 1.0);
        assert_eq!(ladder.rows.len(), 376);
        assert_eq!(ladder.rows.iter().map(|r| r.layers.len()).sum::<usize>(), 1501);
    }

    #[test]
    fn steps_are_round() {
        assert!((round_step(1.2) - 2.0).abs() < 1e-12);
        assert!((round_step(0.03) - 0.05).abs() < 1e-12);
        assert!((round_step(7.0) - 10.0).abs() < 1e-12);
        assert!((round_step(f64::NAN) - 1.0).abs() < 1e-12);
    }
}
