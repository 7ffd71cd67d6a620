//! The part as a whole.

use super::LayerMeasure;
use crate::shape::{Round, SkinMap};

/// Least, 5th percentile and median of something counted or measured along edges.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Least over a stretch.
    pub min: f64,
    /// 5th percentile.
    pub p05: f64,
    /// Median.
    pub median: f64,
}

/// Facts of the part as a whole.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PartMeasures {
    /// Corners of the box around its outlines, mm: least and greatest x, y, z.
    pub bbox_mm: Option<[[f64; 3]; 2]>,
    /// Wall counts over layers that are not skin; the median over those with a core between their walls, if there are any.
    pub walls: Option<Spread>,
    /// Wall thickness over the same layers, mm.
    pub wall_thickness_mm: Option<Spread>,
    /// Typical share of the core that is filled, over layers that are not skin.
    pub core_density: Option<f64>,
    /// Solid layers that close the core under roofs and above floors.
    pub skins: SkinMap,
    /// Circles of its edges: holes and bosses.
    pub rounds: Vec<Round>,
    /// Typical layer thickness, mm.
    pub layer_height_mm: Option<f64>,
    /// Length-weighted median width of wall beads above the first layer, mm.
    pub bead_width_mm: Option<f64>,
}

/// The middle value, or `None` of nothing. Values that are not numbers are left out.
pub(super) fn median(values: impl IntoIterator<Item = f64>) -> Option<f64> {
    quantile(values, 0.5)
}

/// The value a share `q` of the way up the sorted values (nearest rank), or `None` of nothing.
pub(super) fn quantile(values: impl IntoIterator<Item = f64>, q: f64) -> Option<f64> {
    let mut sorted: Vec<f64> = values.into_iter().filter(|v| v.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let last = sorted.len().checked_sub(1)?;
    sorted.get((q * last as f64).round() as usize).copied()
}

/// Those of the layers that tell something about the part, or all where none does. The first never does: its beads are
/// squeezed.
fn telling_layers(layers: &[LayerMeasure], tells: impl Fn(&LayerMeasure) -> bool) -> Vec<&LayerMeasure> {
    let telling: Vec<_> = layers.iter().skip(1).filter(|l| tells(l)).collect();
    if telling.is_empty() { layers.iter().collect() } else { telling }
}

/// Layers by what they tell about walls. Skins tell nothing: their lines may run along the walls.
struct Walled<'a> {
    /// With a core between their walls: as many walls as the slicing was asked for.
    usual: Vec<&'a LayerMeasure>,
    /// Those, and layers of walls alone, as ribs and rims have them: as few walls as there are anywhere.
    all: Vec<&'a LayerMeasure>,
}

impl<'a> Walled<'a> {
    fn of(layers: &'a [LayerMeasure]) -> Self {
        let all = telling_layers(layers, |l| !l.solid || l.is_all_walls());
        let cored: Vec<_> = all.iter().copied().filter(|l| !l.solid).collect();
        Self { usual: if cored.is_empty() { all.clone() } else { cored }, all }
    }

    fn spread(
        &self,
        least: impl Fn(&LayerMeasure) -> Option<f64>,
        p05: impl Fn(&LayerMeasure) -> Option<f64>,
        middle: impl Fn(&LayerMeasure) -> Option<f64>,
    ) -> Option<Spread> {
        let median = median(self.usual.iter().filter_map(|l| middle(l)))?;
        Some(Spread {
            min: self.all.iter().filter_map(|l| least(l)).min_by(f64::total_cmp)?,
            p05: quantile(self.all.iter().filter_map(|l| p05(l)), 0.05)?.min(median),
            median,
        })
    }
}

impl PartMeasures {
    /// Gathers what can be read off the layers alone; the box and skins are added by the pipeline.
    #[must_use]
    pub(super) fn from_layers(layers: &[LayerMeasure]) -> Self {
        let walled = Walled::of(layers);
        let cored = telling_layers(layers, |l| !l.solid);
        Self {
            walls: walled.spread(
                |l| l.walls_min.map(|(count, _)| f64::from(count)),
                |l| l.walls_p05.map(f64::from),
                |l| l.walls_median.map(f64::from),
            ),
            wall_thickness_mm: walled.spread(
                |l| l.wall_thickness_min.map(|(mm, _)| mm),
                |l| l.wall_thickness_p05_mm,
                |l| l.wall_thickness_median_mm,
            ),
            core_density: typical_density(&cored),
            layer_height_mm: median(layers.iter().skip(1).map(|l| l.height_mm))
                .or_else(|| layers.first().map(|l| l.height_mm)),
            bead_width_mm: median(cored.iter().filter_map(|l| l.bead_width_mm)),
            ..Self::default()
        }
    }
}

/// Skins are fuller than this.
const NEARLY_FULL: f64 = 0.96;

/// A core that is open in this share of its volume is open; the rest of it is skin.
const MOSTLY: f64 = 0.3;

/// Core density of the part: cores are weighted by volume, so that a layer with a sliver of core does not
/// speak as loud as one that is nearly all core.
fn typical_density(layers: &[&LayerMeasure]) -> Option<f64> {
    let is_open = |layer: &LayerMeasure| layer.core_density.is_some_and(|density| density < NEARLY_FULL);
    let cores = |open: bool| -> f64 {
        let counted = layers.iter().filter(|l| l.core_density.is_some() && (!open || is_open(l)));
        counted.map(|l| l.core_area_mm2 * l.height_mm).sum()
    };
    // A core so full that every layer counts as solid still differs from the skins round it.
    let mostly_open = cores(true) > MOSTLY * cores(false);
    let mut filled = 0.0;
    let mut whole = 0.0;
    for layer in layers.iter().filter(|l| !mostly_open || is_open(l)) {
        if let Some(density) = layer.core_density {
            let volume = layer.core_area_mm2 * layer.height_mm;
            filled += density * volume;
            whole += volume;
        }
    }
    (whole > 0.0).then(|| filled / whole)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Point;

    fn layer(solid: bool, walls: u32, density: Option<f64>, area: f64) -> LayerMeasure {
        LayerMeasure {
            solid,
            height_mm: 0.2,
            walls_min: Some((walls, Point::default())),
            walls_p05: Some(walls),
            walls_median: Some(walls),
            core_density: density,
            core_area_mm2: area,
            ..LayerMeasure::default()
        }
    }

    #[test]
    fn skins_do_not_speak_for_the_part() {
        let layers =
            [layer(true, 9, Some(1.0), 50.0), layer(false, 3, Some(0.2), 30.0), layer(false, 2, Some(0.4), 10.0)];
        let part = PartMeasures::from_layers(&layers);
        let walls = part.walls.expect("walls were counted");
        assert_eq!((walls.min, walls.median), (2.0, 3.0));
        assert!((part.core_density.expect("there is a core") - 0.25).abs() < 1e-12);
    }

    #[test]
    fn layers_of_walls_alone_say_how_few_walls_there_are_and_not_how_many_as_a_rule() {
        let of = |solid, walls, core_mm2| LayerMeasure {
            outline_area_mm2: Some(100.0),
            ..layer(solid, walls, (core_mm2 > 0.0).then_some(0.3), core_mm2)
        };
        // The first is squeezed; then a skin, two layers round a core, and ribs with a speck of core in one of them.
        let layers = [of(true, 1, 0.0), of(true, 2, 50.0), of(false, 4, 50.0), of(false, 4, 50.0), of(true, 3, 0.9)];
        let walls = PartMeasures::from_layers(&layers).walls.expect("walls were counted");
        assert_eq!((walls.min, walls.p05, walls.median), (3.0, 3.0, 4.0));
        let rim = [&layers[..], &[of(true, 9, 0.0), of(true, 9, 0.0), of(true, 9, 0.0)]].concat();
        let walls = PartMeasures::from_layers(&rim).walls.expect("walls were counted");
        assert_eq!((walls.min, walls.median), (3.0, 4.0));
        // With no core anywhere they are all there is.
        let walls = PartMeasures::from_layers(&[&layers[..2], &rim[4..]].concat()).walls.expect("walls were counted");
        assert_eq!((walls.min, walls.median), (3.0, 9.0));
        // Where most layers are all walls and have many, the few are those of the layers with a core.
        let many = [&layers[..4], &vec![of(true, 9, 0.0); 40]].concat();
        let walls = PartMeasures::from_layers(&many).walls.expect("walls were counted");
        assert_eq!((walls.min, walls.p05, walls.median), (4.0, 4.0, 4.0));
    }

    #[test]
    fn a_core_is_as_dense_as_its_open_layers_where_they_are_over_three_tenths_of_it() {
        let density = |cores: &[LayerMeasure]| {
            let first = layer(false, 2, Some(0.5), 1000.0);
            PartMeasures::from_layers(&[&[first], cores].concat()).core_density.expect("there is a core")
        };
        let (open, full) = (|area| layer(false, 2, Some(0.2), area), layer(false, 2, Some(0.97), 60.0));
        // 31 of 91 mm² of core are open, then 25 of 85: below three tenths all of it speaks.
        assert!((density(&[open(31.0), full.clone()]) - 0.2).abs() < 1e-12);
        assert!((density(&[open(25.0), full.clone()]) - (0.2 * 25.0 + 0.97 * 60.0) / 85.0).abs() < 1e-12);
        // A layer twice as high has twice as much core.
        let high = LayerMeasure { height_mm: 0.4, ..open(15.0) };
        assert!((density(&[high.clone(), full]) - 0.2).abs() < 1e-12);
        let dense = layer(false, 2, Some(0.5), 30.0);
        assert!((density(&[high, dense]) - 0.35).abs() < 1e-12);
        // What has no core says nothing of it.
        let none = layer(false, 2, None, 500.0);
        assert!((density(&[none, open(5.0)]) - 0.2).abs() < 1e-12);
    }

    #[test]
    fn the_usual_bead_is_that_of_layers_that_are_neither_skin_nor_squeezed_on_the_bed() {
        let of = |solid, height_mm, width_mm| LayerMeasure {
            height_mm,
            bead_width_mm: Some(width_mm),
            ..layer(solid, 2, Some(if solid { 1.0 } else { 0.5 }), 10.0)
        };
        let layers = [of(false, 0.3, 0.6), of(true, 0.2, 0.5), of(true, 0.2, 0.5), of(false, 0.2, 0.4)];
        let part = PartMeasures::from_layers(&layers);
        assert_eq!((part.bead_width_mm, part.layer_height_mm), (Some(0.4), Some(0.2)));
        assert_eq!(part.core_density, Some(0.5));
        // With no core above the first layer all of them speak; a single layer speaks for itself.
        assert_eq!(PartMeasures::from_layers(&layers[..3]).bead_width_mm, Some(0.5));
        let one = PartMeasures::from_layers(&layers[..1]);
        assert_eq!((one.bead_width_mm, one.layer_height_mm), (Some(0.6), Some(0.3)));
    }

    #[test]
    fn one_layer_in_twenty_may_have_fewer_walls_than_the_fifth_percentile_says() {
        let p05 = |thin: usize| {
            let few = vec![layer(false, 1, Some(0.2), 10.0); thin];
            // The first is left out; forty others.
            let many = vec![layer(false, 3, Some(0.2), 10.0); 41 - thin];
            let walls = PartMeasures::from_layers(&[many, few].concat()).walls.expect("walls were counted");
            assert_eq!((walls.min, walls.median), (1.0, 3.0));
            walls.p05
        };
        assert_eq!((p05(1), p05(2), p05(3)), (3.0, 3.0, 1.0));
    }

    #[test]
    fn nothing_gives_nothing() {
        let part = PartMeasures::from_layers(&[]);
        assert_eq!(part, PartMeasures::default());
        assert_eq!(median([f64::NAN]), None);
    }
}
