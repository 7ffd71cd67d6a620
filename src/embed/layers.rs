//! Where each layer of the part begins and ends in the file.

use super::EmbedError;
use crate::deposit::Layer;
use crate::deposit::LayerKind;

/// A rectangle in x and y that holds something, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extent {
    /// Least x and y.
    pub low: [f64; 2],
    /// Greatest x and y.
    pub high: [f64; 2],
}

impl Extent {
    /// The rectangle that holds both.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        let pick = |f: fn(f64, f64) -> f64, a: [f64; 2], b: [f64; 2]| [f(a[0], b[0]), f(a[1], b[1])];
        Self { low: pick(f64::min, self.low, other.low), high: pick(f64::max, self.high, other.high) }
    }

    /// How far a point is outside; 0 within, mm.
    #[must_use]
    pub fn distance_mm(&self, at: [f64; 2]) -> f64 {
        let ([low_x, low_y], [high_x, high_y], [x, y]) = (self.low, self.high, at);
        let beyond = |low: f64, high: f64, at: f64| (low - at).max(at - high).max(0.0);
        beyond(low_x, high_x, x).hypot(beyond(low_y, high_y, y))
    }

    /// Of a layer's beads, to their centrelines.
    fn of(layer: &Layer) -> Option<Self> {
        let ends = layer.beads.iter().flat_map(|bead| [bead.from, bead.to]);
        ends.map(|p| Self { low: [p.x, p.y], high: [p.x, p.y] }).reduce(Self::with)
    }
}

/// One layer in print order.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerPlace {
    /// Its number, from 0 at the bed; `None` for raft and purge.
    pub index: Option<usize>,
    /// Its top, mm.
    pub z_mm: f64,
    /// The highest bead of it, mm.
    pub highest_mm: f64,
    /// First and last line of the file with a bead of it.
    pub lines: (u64, u64),
    /// What its beads reach.
    pub extent: Option<Extent>,
}

/// The layers of a file in print order.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerPlaces {
    /// In print order, raft and purge included.
    pub all: Vec<LayerPlace>,
}

impl LayerPlaces {
    /// The layers of the part, in print order.
    fn part(&self) -> impl Iterator<Item = (usize, &LayerPlace)> {
        self.all.iter().filter_map(|layer| Some((layer.index?, layer)))
    }

    /// The layer with this number.
    fn numbered(&self, index: usize) -> Option<&LayerPlace> {
        self.all.iter().find(|layer| layer.index == Some(index))
    }

    /// The top of the layer with this number, mm.
    #[must_use]
    pub fn top_mm(&self, index: usize) -> Option<f64> {
        self.numbered(index).map(|layer| layer.z_mm)
    }

    /// The last line with a bead of the layer with this number; 0 where there is none.
    pub(super) fn last_line(&self, index: usize) -> u64 {
        self.numbered(index).map_or(0, |layer| layer.lines.1)
    }

    /// The layer with this number, if a stop can stand after it.
    ///
    /// # Errors
    /// [`EmbedError`] when there is none, when it is the last, or when it ends in the line in which the next begins.
    pub fn stop_after(&self, index: usize) -> Result<&LayerPlace, EmbedError> {
        let last = self.part().map(|(index, _)| index).max().unwrap_or(0);
        let missing = EmbedError::NoSuchLayer { asked: index, last };
        let place = self.all.iter().position(|layer| layer.index == Some(index)).ok_or(missing.clone())?;
        let layer = self.all.get(place).ok_or(missing)?;
        let mut later = self.all.iter().skip(place.saturating_add(1));
        let Some(next) = later.next() else { return Err(EmbedError::AfterTheEnd { layer: index }) };
        if next.lines.0 <= layer.lines.1 {
            return Err(EmbedError::SharedLine { layer: index, line: layer.lines.1 });
        }
        Ok(layer)
    }

    /// The number of the last layer whose top is at or below `z_mm` before the print rises above it.
    ///
    /// # Errors
    /// [`EmbedError`] when there is none, or when several objects printed one after another pass that height.
    pub fn last_below(&self, z_mm: f64) -> Result<usize, EmbedError> {
        // Tops come from summed layer heights: a micrometre is rounding.
        let below = |layer: &LayerPlace| layer.z_mm <= z_mm + 1e-3;
        let layers: Vec<_> = self.part().collect();
        let ends: Vec<usize> = layers
            .windows(2)
            .filter_map(|pair| match pair {
                [(index, layer), (_, next)] if below(layer) && (!below(next) || next.z_mm < layer.z_mm - 1e-3) => {
                    Some(*index)
                }
                _ => None,
            })
            .chain(layers.last().filter(|(_, layer)| below(layer)).map(|(index, _)| *index))
            .collect();
        match ends.as_slice() {
            [one] => Ok(*one),
            [] => {
                let first_mm = layers.iter().map(|(_, layer)| layer.z_mm).fold(f64::INFINITY, f64::min);
                Err(EmbedError::BelowAllLayers { z_mm, first_mm })
            }
            several => {
                let layers = several.iter().map(usize::to_string).collect::<Vec<_>>().join(", ");
                Err(EmbedError::ManyAtHeight { z_mm, times: several.len(), layers })
            }
        }
    }

    /// What has been printed up to `line`: how high, and how far it reaches.
    #[must_use]
    pub fn printed_until(&self, line: u64) -> (f64, Option<Extent>) {
        let done = || self.all.iter().filter(|layer| layer.lines.0 <= line);
        let highest_mm = done().map(|layer| layer.highest_mm).fold(0.0, f64::max);
        (highest_mm, done().filter_map(|layer| layer.extent).reduce(Extent::with))
    }
}

impl LayerPlace {
    pub(super) fn of(layer: &Layer) -> Self {
        Self {
            index: layer.index.filter(|_| layer.kind == LayerKind::Part),
            z_mm: layer.z_mm,
            highest_mm: layer.beads.iter().map(|bead| bead.z_mm).fold(layer.z_mm, f64::max),
            lines: layer.lines,
            extent: Extent::of(layer),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn place(index: Option<usize>, z_mm: f64, lines: (u64, u64)) -> LayerPlace {
        let extent = Some(Extent { low: [z_mm, 2.0], high: [30.0, 40.0 + z_mm] });
        LayerPlace { index, z_mm, highest_mm: z_mm, lines, extent }
    }

    fn tower() -> LayerPlaces {
        LayerPlaces {
            all: vec![
                place(None, 0.3, (3, 4)),
                place(Some(0), 0.5, (5, 9)),
                place(Some(1), 0.7, (11, 14)),
                place(Some(2), 0.9, (14, 20)),
            ],
        }
    }

    #[test]
    fn a_stop_stands_after_a_layer_and_before_another() {
        let tower = tower();
        assert_eq!(tower.stop_after(0).unwrap().lines, (5, 9));
        assert_eq!(tower.stop_after(1), Err(EmbedError::SharedLine { layer: 1, line: 14 }));
        assert_eq!(tower.stop_after(2), Err(EmbedError::AfterTheEnd { layer: 2 }));
        assert_eq!(tower.stop_after(3), Err(EmbedError::NoSuchLayer { asked: 3, last: 2 }));
    }

    #[test]
    fn heights_name_the_layer_below() {
        let tower = tower();
        assert_eq!(tower.last_below(0.7), Ok(1));
        assert_eq!(tower.last_below(0.89), Ok(1));
        assert_eq!(tower.last_below(50.0), Ok(2));
        assert_eq!(tower.last_below(0.4), Err(EmbedError::BelowAllLayers { z_mm: 0.4, first_mm: 0.5 }));
        assert!(tower.last_below(f64::NAN).is_err());
    }

    #[test]
    fn objects_one_after_another_must_be_named_by_layer() {
        let mut two = tower();
        two.all.extend([place(Some(3), 0.5, (30, 31)), place(Some(4), 0.9, (32, 33))]);
        let Err(EmbedError::ManyAtHeight { times: 2, layers, .. }) = two.last_below(0.6) else { panic!() };
        assert_eq!(layers, "0, 3");
        // Above all of them each ends where the next begins again from the bed.
        let Err(EmbedError::ManyAtHeight { times: 2, layers, .. }) = two.last_below(2.0) else { panic!() };
        assert_eq!(layers, "2, 4");
    }

    #[test]
    fn two_layers_of_one_height_are_passed_once() {
        // Two objects laid side by side, a layer of one and then of the other, the second low by a rounding.
        let places = [0.5, 0.5 - 1e-5, 0.7, 0.7 - 1e-5].into_iter().zip(0_u64..);
        let all = places.map(|(z_mm, i)| place(Some(i as usize), z_mm, (10 * i, 10 * i + 9))).collect();
        let pairs = LayerPlaces { all };
        assert_eq!(pairs.last_below(0.6), Ok(1));
        assert_eq!(pairs.last_below(0.9), Ok(3));
    }

    #[test]
    fn layers_are_known_by_their_number() {
        let tower = tower();
        assert_eq!([0, 1, 2, 3].map(|index| tower.top_mm(index)), [Some(0.5), Some(0.7), Some(0.9), None]);
        assert_eq!([0, 1, 2, 3].map(|index| tower.last_line(index)), [9, 14, 20, 0]);
    }

    #[test]
    fn what_is_printed_grows() {
        let tower = tower();
        assert_eq!(tower.printed_until(10).0, 0.5);
        let extent = tower.printed_until(12).1.unwrap();
        assert_eq!((extent.low, extent.high), ([0.3, 2.0], [30.0, 40.7]));
        assert_eq!(extent.distance_mm([10.0, 10.0]), 0.0);
        assert!((extent.distance_mm([33.0, 44.7]) - 5.0).abs() < 1e-9);
    }
}
