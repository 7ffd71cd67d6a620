//! A stack of layers whose repeats were left out when it was laid, measured as if they were there.
//!
//! ```text
//!   whole part     A B C D C D C D C D E F       layers that repeat, two by two
//!   laid           A B C D           C D E F     only what differs is laid, planned and measured
//!   `of`           0 1 2 3 2 3 2 3 . 4 5 6 7     which laid layer stands for each of the whole
//! ```
//!
//! What is measured of a layer depends on its beads and on those just below it, so layers that repeat need no second
//! look. Only sums over heights know the difference: they take each laid layer as often as it stands in the part.

use super::collect::{Collector, begins_on_the_bed};
use super::pipeline::{WithRepeats, measure_with};
use super::probe::{Followed, Probe, Probed, Visited};
use super::worked::Worked;
use super::{LayerMeasure, MeasureError, PartMeasures, PrintMeasures, Setup};
use crate::deposit::Layer;
use crate::shape::PatchLayer;

/// Which laid layer stands for each layer of the whole part.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Repeats {
    /// Index of the laid layer, for each layer of the part from the bed up.
    pub of: Vec<usize>,
    /// Its top in the part, mm.
    pub z_mm: Vec<f64>,
    /// Tops of the laid layers as they were laid, mm.
    pub laid_z_mm: Vec<f64>,
    /// For each laid layer the first one that is bead for bead like it.
    pub alike: Vec<usize>,
}

/// What loads look at beyond the layers' own numbers; what nobody looks at is not measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Looks {
    /// Places of their own: the layers are kept for [`StackMeasures::probed`]; they take some times the memory of the
    /// file.
    pub places: bool,
    /// Cuts along x and along y.
    pub cuts: [bool; 2],
}

/// What a part comes to that was laid without its repeats.
#[derive(Debug, Clone)]
pub struct StackMeasures {
    /// Layers, part and cuts speak of the whole part; totals, tools, roles and pockets of what was laid.
    pub measures: PrintMeasures,
    /// Plastic of the whole part, mm³.
    pub volume_mm3: f64,
    /// Its mass, g, if every material is known.
    pub mass_g: Option<f64>,
    /// Its price, if every price is known.
    pub cost: Option<f64>,
    /// Time in which the machine moves, s.
    pub time_s: f64,
    /// Its layers, for [`StackMeasures::probed`]; none where they were not to be kept.
    kept: Vec<(Layer, Worked)>,
}

impl Repeats {
    /// How far above itself each laid layer stands again in the part, mm.
    fn raises(&self) -> Vec<Vec<f64>> {
        let mut raises = vec![Vec::new(); self.laid_z_mm.len()];
        for (&of, z_mm) in self.of.iter().zip(&self.z_mm) {
            if let (Some(raises), Some(laid)) = (raises.get_mut(of), self.laid_z_mm.get(of)) {
                raises.push(z_mm - laid);
            }
        }
        raises
    }
}

/// Measures a file that was laid without its repeats.
///
/// # Errors
/// As [`super::measure_print`].
pub fn measure_stack(
    bytes: &[u8],
    setup: &Setup,
    repeats: &Repeats,
    looks: Looks,
) -> Result<StackMeasures, MeasureError> {
    let collector = Collector::new(setup.detail).with_repeats(repeats.raises());
    let WithRepeats { mut measures, kept, more_mm3 } = measure_with(bytes, setup, collector.that_looks(looks))?;
    let more_s: f64 = repeated_time_s(&measures.layers, repeats);
    let layers = whole(&measures.layers, repeats);
    let part = PartMeasures::from_layers(&layers);
    measures.part = PartMeasures {
        bbox_mm: measures.part.bbox_mm.map(|[low, high]| [low, [high[0], high[1], top_mm(&layers)]]),
        skins: measures.part.skins,
        rounds: measures.part.rounds,
        ..part
    };
    measures.layers = layers;
    let more = |tool: u16| more_mm3.get(&tool).copied().unwrap_or(0.0);
    let by_tool = |value: fn(&crate::profile::Material, f64) -> Option<f64>| -> Option<f64> {
        let each = measures.tools.iter().map(|t| value(setup.material(t.tool)?, t.volume_mm3 + more(t.tool)));
        each.sum::<Option<f64>>().filter(|_| !measures.tools.is_empty())
    };
    Ok(StackMeasures {
        volume_mm3: measures.totals.volume_mm3 + more_mm3.values().sum::<f64>(),
        mass_g: by_tool(|material, mm3| Some(material.mass_g(mm3))),
        cost: by_tool(|material, mm3| material.cost(mm3)),
        time_s: measures.totals.time.moving_s() + more_s,
        measures,
        kept,
    })
}

fn top_mm(layers: &[LayerMeasure]) -> f64 {
    layers.iter().map(|l| l.z_mm).fold(0.0, f64::max)
}

/// The whole part's layers from those laid.
fn whole(laid: &[LayerMeasure], repeats: &Repeats) -> Vec<LayerMeasure> {
    let places = repeats.of.iter().zip(&repeats.z_mm).enumerate();
    places.filter_map(|(index, (&of, &z_mm))| Some(LayerMeasure { index, z_mm, ..laid.get(of)?.clone() })).collect()
}

/// Time of the layers that were not laid, s.
fn repeated_time_s(laid: &[LayerMeasure], repeats: &Repeats) -> f64 {
    let whole: f64 = repeats.of.iter().filter_map(|&of| laid.get(of)).map(|l| l.time_s).sum();
    whole - laid.iter().map(|l| l.time_s).sum::<f64>()
}

impl StackMeasures {
    /// Follows probes through the part.
    #[must_use]
    pub fn probed(&self, repeats: &Repeats, probes: &[Probe]) -> Vec<Probed> {
        let raises = repeats.raises();
        let mut followed = Followed::new(probes);
        let mut below: Option<&(Layer, Worked)> = None;
        for (count, kept) in self.kept.iter().enumerate() {
            let (layer, worked) = kept;
            let under = below.filter(|(below, _)| !begins_on_the_bed(layer, below.z_mm));
            let under = under.map(|(_, worked)| &*worked.footprint);
            let raised_mm = raises.get(count).map_or(&[0.0][..], Vec::as_slice);
            let first = |layer: &Layer| repeats.alike.get(layer.index?).copied();
            let which = below.and_then(|(below, _)| first(layer).zip(first(below)));
            followed.layer(Visited { layer, worked, under, raised_mm, which });
            below = Some(kept);
        }
        let in_part = |layers: Vec<PatchLayer>| -> Vec<PatchLayer> {
            let place = |(index, (&of, &z_mm)): (usize, (&usize, &f64))| {
                Some(PatchLayer { index, z_mm, ..layers.get(of)?.clone() })
            };
            repeats.of.iter().zip(&repeats.z_mm).enumerate().filter_map(place).collect()
        };
        let whole = |probed| match probed {
            Probed::Plan(layers) => Probed::Plan(in_part(layers)),
            side @ Probed::Side(_) => side,
        };
        followed.finish().into_iter().map(whole).collect()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::fixture::{brick, draw, measured, setup, stack, text_of};
    use super::super::probe::{SideWindow, measure_probes};
    use super::*;
    use crate::geom::Point;
    use crate::profile::Face;
    use crate::shape::{Cuts, Patch, PatchShape, SLAB_MM};
    use approx::assert_relative_eq as near;

    const ALL: Looks = Looks { places: true, cuts: [true; 2] };

    /// A brick of ten layers, of which the third and the fourth come again twice: the file of all, the file of those that
    /// differ, and which of them stands where.
    fn brick_with_repeats() -> (String, String, Repeats) {
        let density = [1.0, 0.35, 0.25, 0.35, 0.3, 1.0];
        let of = vec![0, 1, 2, 3, 2, 3, 2, 3, 4, 5];
        let text = |kinds: &[usize]| {
            text_of(&stack(kinds.len(), |index, laid| {
                draw(laid, &brick(), density[kinds[index]]);
            }))
        };
        let tops = |count: u32| (1..=count).map(|n| 0.2 * f64::from(n)).collect();
        let texts = (text(&of), text(&[0, 1, 2, 3, 4, 5]));
        (texts.0, texts.1, Repeats { of, z_mm: tops(10), laid_z_mm: tops(6), alike: vec![0, 1, 2, 3, 4, 5] })
    }

    fn same_cuts(one: &Cuts, other: &Cuts) {
        let (one, other) = (one.slabs(SLAB_MM), other.slabs(SLAB_MM));
        assert_eq!(one.len(), other.len());
        for (one, other) in one.iter().zip(&other).map(|(one, other)| (one.total(), other.total())) {
            near!(one.area_mm2, other.area_mm2, max_relative = 1e-4);
            near!(one.centroid.y, other.centroid.y, max_relative = 1e-4);
            near!(one.ixx_mm4, other.ixx_mm4, max_relative = 1e-3);
        }
    }

    #[test]
    fn a_stack_laid_without_its_repeats_comes_to_what_the_whole_part_comes_to() {
        let (whole, laid, repeats) = brick_with_repeats();
        let (whole, stack) =
            (measured(&whole, &setup()), measure_stack(laid.as_bytes(), &setup(), &repeats, ALL).unwrap());
        near!(stack.volume_mm3, whole.totals.volume_mm3, max_relative = 1e-4);
        near!(stack.mass_g.unwrap(), whole.totals.mass_g.unwrap(), max_relative = 1e-4);
        near!(stack.cost.unwrap(), whole.totals.cost.unwrap(), max_relative = 1e-4);
        near!(stack.time_s, whole.totals.time.moving_s(), max_relative = 1e-3);
        assert_eq!(stack.measures.layers.len(), 10);
        for (one, other) in stack.measures.layers.iter().zip(&whole.layers) {
            assert_eq!((one.index, one.walls_median), (other.index, other.walls_median));
            near!(one.z_mm, other.z_mm, epsilon = 1e-9);
            near!(one.volume_mm3, other.volume_mm3, max_relative = 1e-4);
            near!(one.bond_area_mm2.unwrap_or(-1.0), other.bond_area_mm2.unwrap_or(-1.0), max_relative = 1e-3);
        }
        let (one, other) = (&stack.measures.part, &whole.part);
        near!(one.core_density.unwrap(), other.core_density.unwrap(), max_relative = 1e-3);
        assert_eq!(one.bbox_mm.unwrap()[0], other.bbox_mm.unwrap()[0]);
        (0..3).for_each(|axis| near!(one.bbox_mm.unwrap()[1][axis], other.bbox_mm.unwrap()[1][axis], epsilon = 1e-6));
        stack.measures.cuts.iter().zip(&whole.cuts).for_each(|(one, other)| same_cuts(one, other));
    }

    #[test]
    fn probes_find_in_a_stack_laid_without_its_repeats_what_they_find_in_the_whole_part() {
        let (whole, laid, repeats) = brick_with_repeats();
        let shape = PatchShape::Box { x_mm: 6.0, y_mm: 4.0 };
        let side = SideWindow { face: Face::Left, along_mm: [52.0, 57.0], z_mm: [0.5, 1.6] };
        let probes = [Probe::Plan(Patch { shape, centre: Point::new(60.0, 56.0) }), Probe::Side(side)];
        let stack = measure_stack(laid.as_bytes(), &setup(), &repeats, ALL).unwrap();
        let mut in_stack = stack.probed(&repeats, &probes).into_iter();
        let mut in_whole = measure_probes(whole.as_bytes(), &setup(), &probes).unwrap().into_iter();
        let (Some(Probed::Plan(one)), Some(Probed::Plan(other))) = (in_stack.next(), in_whole.next()) else { panic!() };
        assert_eq!((one.len(), other.len()), (10, 10));
        for (one, other) in one.iter().zip(&other) {
            assert_eq!(one.index, other.index);
            near!(one.z_mm, other.z_mm, epsilon = 1e-9);
            near!(one.covered, other.covered, max_relative = 1e-3);
            near!(one.bond_mm2[0], other.bond_mm2[0], max_relative = 1e-3);
        }
        let (Some(Probed::Side(one)), Some(Probed::Side(other))) = (in_stack.next(), in_whole.next()) else { panic!() };
        assert!(one.slabs(SLAB_MM)[4].total().area_mm2 > 0.0);
        same_cuts(&one, &other);
    }

    #[test]
    fn what_nobody_looks_at_is_not_measured() {
        let (_, laid, repeats) = brick_with_repeats();
        let looks = Looks { places: false, cuts: [false, true] };
        let stack = measure_stack(laid.as_bytes(), &setup(), &repeats, looks).unwrap();
        let [along_x, along_y] = &stack.measures.cuts;
        assert!(along_x.slabs(SLAB_MM).is_empty() && !along_y.slabs(SLAB_MM).is_empty());
        let patch = Patch { shape: PatchShape::Disc { diameter_mm: 5.0 }, centre: Point::new(60.0, 56.0) };
        assert!(
            matches!(&stack.probed(&repeats, &[Probe::Plan(patch)])[..], [Probed::Plan(found)] if found.is_empty())
        );
    }

    #[test]
    fn without_a_card_the_mass_and_without_a_price_the_cost_of_a_stack_is_not_known() {
        let (_, laid, repeats) = brick_with_repeats();
        let with = |change: fn(&mut Setup)| {
            let mut setup = setup();
            change(&mut setup);
            let stack = measure_stack(laid.as_bytes(), &setup, &repeats, ALL).unwrap();
            (stack.mass_g.is_some(), stack.cost.is_some())
        };
        assert_eq!(with(|setup| setup.material.as_mut().unwrap().price_per_kg = None), (true, false));
        assert_eq!(with(|setup| setup.material = None), (false, false));
    }
}
