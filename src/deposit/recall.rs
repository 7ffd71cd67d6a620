//! Layers that lie as one shortly before them did are found, so that they need no second look.
//!
//! Tooling is mostly prisms: the same walls over each other, and core lines that come again every second layer or
//! after a few turns.
//!
//! ```text
//!   layer     0 1 2 3 4 5 6     lines of the core run  / \ / \ / /
//!   number    0 1 2 1 2 3 1     the first layer is squeezed on the bed and counts as one of its own; 5 has a hole
//! ```
//!
//! Two layers are alike when every bead of one lies where the same bead of the other does, with the same plastic but
//! for the rounding of the file. So the answer is that of the layer itself within that rounding, and it depends on the
//! layers before it alone, never on how fast anybody was.

use super::run::Piece;
use super::{Bead, Layer, LayerKind, Strand};
use crate::geom::whole_below;
use std::collections::VecDeque;

/// Layers remembered at most: cores that wind through the part in waves come again after some tens of layers.
const MOST_LAYERS: usize = 64;

/// Beads remembered at most (about 100 bytes each), and their length, mm (plans of them take about 80 bytes for each).
const MOST_BEADS: usize = 300_000;
const MOST_LENGTH_MM: f64 = 600_000.0;

/// Places that are the same, mm: what is written to three digits comes back within this.
const SAME_PLACE_MM: f64 = 1e-6;

/// Plastic that is the same: this share of it, and what the fifth digit of a filament length amounts to, mm³.
const SAME_SHARE: f64 = 0.003;
const SAME_PLASTIC_MM3: f64 = 1e-4;

/// Numbers layers so that those alike have one number.
#[derive(Debug, Default)]
pub(super) struct Recall {
    /// The layer met last comes first.
    remembered: VecDeque<Remembered>,
    next: usize,
}

/// A layer as it was when its number was given.
#[derive(Debug)]
pub(super) struct Remembered {
    pub number: usize,
    /// How its beads were cut into strands.
    pub strands: Vec<Strand>,
    fingerprint: u64,
    z_mm: f64,
    height_mm: f64,
    beads: Vec<Bead>,
    pieces: Vec<Piece>,
    length_mm: f64,
}

impl Recall {
    /// A layer before this one that is like it; `layer` has no strands yet, `pieces` are what they will be cut from.
    pub fn like(&mut self, layer: &Layer, pieces: &[Piece]) -> Option<&Remembered> {
        if !may_come_again(layer) {
            return None;
        }
        let fingerprint = fingerprint(layer);
        let is_like = |before: &Remembered| before.fingerprint == fingerprint && before.is_like(layer, pieces);
        let at = self.remembered.iter().position(is_like)?;
        let found = self.remembered.remove(at)?;
        self.remembered.push_front(found);
        self.remembered.front()
    }

    /// Gives a layer that is like none before it a number, and remembers it with its strands.
    pub fn number(&mut self, layer: &Layer, pieces: &[Piece]) -> usize {
        let number = self.next;
        self.next += 1;
        let length_mm = layer.beads.iter().map(|bead| bead.length_mm).sum();
        // Two of a kind in turn must fit, or remembering costs and never helps.
        let fits = 2 * layer.beads.len() <= MOST_BEADS && 2.0 * length_mm <= MOST_LENGTH_MM;
        if fits && may_come_again(layer) {
            self.remembered.push_front(Remembered {
                number,
                strands: layer.strands.clone(),
                fingerprint: fingerprint(layer),
                z_mm: layer.z_mm,
                height_mm: layer.height_mm,
                beads: layer.beads.clone(),
                pieces: pieces.to_vec(),
                length_mm,
            });
            self.forget();
        }
        number
    }

    /// Forgets what was not met for longest.
    fn forget(&mut self) {
        let (mut layers, mut beads, mut length_mm) = (0, 0, 0.0);
        self.remembered.retain(|layer| {
            layers += 1;
            beads += layer.beads.len();
            length_mm += layer.length_mm;
            layers <= MOST_LAYERS && beads <= MOST_BEADS && length_mm <= MOST_LENGTH_MM
        });
    }
}

/// The first layer of all is measured by rules of its own, and where the nozzle climbs no layer is like another.
fn may_come_again(layer: &Layer) -> bool {
    layer.kind == LayerKind::Part && layer.index != Some(0) && !layer.rising
}

/// The same for layers whose beads begin in the same places: whether they are alike is asked only of those.
fn fingerprint(layer: &Layer) -> u64 {
    // Files are written to some digits, so that what is the same lies in the middle of a step and not at its edge.
    let steps = |mm: f64| whole_below(mm * 1e4 + 0.5) as u64;
    // Odd multipliers of a usual mixing kind (common practice, no source); equal prints of unlike layers only cost time.
    let mix = |sum: u64, more: u64| (sum ^ more).wrapping_mul(0x9E37_79B9_7F4A_7C15).rotate_left(29);
    layer.beads.iter().fold(layer.beads.len() as u64, |sum, bead| mix(mix(sum, steps(bead.from.x)), steps(bead.from.y)))
}

impl Remembered {
    fn is_like(&self, layer: &Layer, pieces: &[Piece]) -> bool {
        let rise_mm = layer.z_mm - self.z_mm;
        let cut_alike = |(one, other): (&Piece, &Piece)| (&one.beads, one.tool) == (&other.beads, other.tool);
        self.beads.len() == layer.beads.len()
            && self.pieces.len() == pieces.len()
            && (self.height_mm - layer.height_mm).abs() <= SAME_PLACE_MM
            && self.beads.iter().zip(&layer.beads).all(|(one, other)| lies_alike(one, other, rise_mm))
            && self.pieces.iter().zip(pieces).all(cut_alike)
    }
}

fn lies_alike(one: &Bead, other: &Bead, rise_mm: f64) -> bool {
    let same = |a: f64, b: f64| (a - b).abs() <= SAME_PLACE_MM;
    let (plastic_mm3, more_mm3) = (one.volume_mm3(), other.volume_mm3() - one.volume_mm3());
    same(one.from.x, other.from.x)
        && same(one.from.y, other.from.y)
        && same(one.to.x, other.to.x)
        && same(one.to.y, other.to.y)
        && same(one.z_mm + rise_mm, other.z_mm)
        && more_mm3.abs() <= SAME_SHARE * plastic_mm3 + SAME_PLASTIC_MM3
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::by_hand::{beads, layer};
    use super::*;

    /// Three beads of 100, 50 and 0.1 mm with 8, 4 and 0.008 mm³, in two pieces, on layer `index`.
    fn drawn(index: usize) -> (Layer, Vec<Piece>) {
        let z_mm = 0.2 * (index + 1) as f64;
        let mut beads = beads(&[(10.0, 20.0), (110.0, 20.0), (110.0, 70.0), (110.0, 70.1)]);
        beads.iter_mut().for_each(|bead| bead.z_mm = z_mm);
        let layer = layer(index, 0.2, beads);
        let piece = |beads| Piece { beads, tool: 0, time_s: 0.0, blob_mm3: 0.0 };
        (layer, vec![piece(0..2), piece(2..3)])
    }

    /// Whether a layer is known again with this much changed.
    fn known(change: impl Fn(&mut Layer, &mut Vec<Piece>)) -> bool {
        let mut recall = Recall::default();
        let (first, pieces) = drawn(3);
        recall.number(&first, &pieces);
        let (mut again, mut pieces) = drawn(7);
        change(&mut again, &mut pieces);
        recall.like(&again, &pieces).is_some()
    }

    #[test]
    fn the_same_layer_higher_up_is_known_again_with_its_number_and_strands() {
        let mut recall = Recall::default();
        let (other, pieces) = drawn(1);
        recall.number(&Layer { height_mm: 0.3, ..other }, &pieces);
        let (mut first, pieces) = drawn(3);
        first.strands = super::super::by_hand::strands(&[(vec![(0.0, 0.0), (1.0, 0.0)], false)]).1;
        assert_eq!(recall.number(&first, &pieces), 1);
        let found = recall.like(&drawn(7).0, &pieces).unwrap();
        assert_eq!((found.number, &found.strands), (1, &first.strands));
    }

    #[test]
    fn a_layer_with_one_corner_elsewhere_is_another_layer() {
        // Rounding moves a place by less than a millionth of a millimetre.
        for (mm, same) in [(5e-7, true), (-5e-7, true), (1e-5, false), (-1e-5, false), (1.0, false)] {
            for bead in 0..3 {
                assert_eq!(known(|layer, _| layer.beads[bead].from.x += mm), same);
                assert_eq!(known(|layer, _| layer.beads[bead].from.y += mm), same);
                assert_eq!(known(|layer, _| layer.beads[bead].to.x += mm), same);
                assert_eq!(known(|layer, _| layer.beads[bead].to.y += mm), same);
                assert_eq!(known(|layer, _| layer.beads[bead].z_mm += mm), same);
            }
            assert_eq!(known(|layer, _| layer.height_mm += mm), same);
        }
    }

    #[test]
    fn a_layer_with_more_plastic_in_one_bead_is_another_layer() {
        // A bead of 8 mm³ may have 0.3 % more or less, and 0.0001 mm³: 0.0241 mm³. One of 0.008 mm³: 0.000124.
        for (bead, mm3, same) in [(0, 0.023, true), (0, 0.026, false), (2, 0.00011, true), (2, 0.00014, false)] {
            for mm3 in [mm3, -mm3] {
                let change = |layer: &mut Layer, _: &mut Vec<Piece>| {
                    let length_mm = layer.beads[bead].length_mm;
                    layer.beads[bead].area_mm2 += mm3 / length_mm;
                };
                assert_eq!(known(change), same, "{mm3} mm³ in bead {bead}");
            }
        }
    }

    #[test]
    fn a_layer_in_other_pieces_or_of_another_tool_is_another_layer() {
        assert!(!known(|_, pieces| (pieces[0].beads, pieces[1].beads) = (0..1, 1..3)));
        assert!(!known(|_, pieces| pieces[1].tool = 1));
        assert!(known(|_, pieces| pieces[1].time_s = 9.0), "how long it takes is no matter");
    }

    #[test]
    fn the_first_layer_what_climbs_and_what_is_no_part_are_never_known_again() {
        let changes: [fn(&mut Layer); 3] =
            [|layer| layer.index = Some(0), |layer| layer.rising = true, |layer| layer.kind = LayerKind::Raft];
        for change in changes {
            assert!(!known(|layer, _| change(layer)), "it is like none before it");
            let mut recall = Recall::default();
            let (mut first, pieces) = drawn(3);
            change(&mut first);
            recall.number(&first, &pieces);
            assert!(recall.like(&drawn(7).0, &pieces).is_none(), "and none after it is like it");
        }
    }

    #[test]
    fn long_layers_are_remembered_as_far_as_two_of_a_kind_fit() {
        let long = |index: usize, aside_mm: f64, length_mm: f64| {
            let (mut layer, pieces) = drawn(index);
            layer.beads[0].from.x += aside_mm;
            layer.beads[0].length_mm = length_mm;
            (layer, pieces)
        };
        for (length_mm, remembered) in [(290_000.0, true), (310_000.0, false)] {
            let mut recall = Recall::default();
            let (layer, pieces) = long(3, 0.0, length_mm);
            recall.number(&layer, &pieces);
            assert_eq!(recall.like(&long(7, 0.0, length_mm).0, &pieces).is_some(), remembered);
        }
        // Three of a quarter of a kilometre are too many: the one met longest ago is forgotten.
        let mut recall = Recall::default();
        for k in 1..=3 {
            let (layer, pieces) = long(k, k as f64, 250_000.0);
            recall.number(&layer, &pieces);
        }
        let mut met = |k: usize| recall.like(&long(9, k as f64, 250_000.0).0, &drawn(9).1).is_some();
        assert_eq!([met(1), met(2), met(3)], [false, true, true]);
    }
}
