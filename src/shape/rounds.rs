//! Rounds and outside dimensions: bores, pins and rounded edges with their diameters, checked before printing.
//!
//! The arcs of each layer's outline are joined to rounds through the layers: same kind, same centre,
//! same diameter. The circle passes through the outline's corners, which is how round things are
//! drawn with chords; a cone changes from layer to layer and is no round.

use super::LayerShape;
use crate::geom::{Arc, Point, Polygon, box_of, find_arcs};

/// Arcs that span less are rounded corners, degrees. A fillet between square faces has 90.
const LEAST_SPAN_DEG: f64 = 100.0;

/// How far centre and diameter may wander from layer to layer, mm.
const SAME_MM: f64 = 0.1;

/// A round counts when it keeps its diameter over this height, mm, and more than one layer.
const LEAST_HEIGHT_MM: f64 = 0.5;

/// Whether a round surrounds the material or the material surrounds it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RoundKind {
    /// A bore: material outside.
    Hole,
    /// A pin, a disc: material inside.
    Boss,
}

impl RoundKind {
    /// The word used in JSON and reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Hole => "hole",
            Self::Boss => "boss",
        }
    }
}

/// A circle that goes up through layers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Round {
    /// Hole or boss.
    pub kind: RoundKind,
    /// Its axis, mm.
    pub centre: Point,
    /// Median diameter of its layers, mm.
    pub diameter_mm: f64,
    /// Bottom of its first layer, mm.
    pub z0_mm: f64,
    /// Top of its last layer, mm.
    pub z1_mm: f64,
    /// How much of the circle is there, degrees; 360 for all of it.
    pub span_deg: f64,
}

/// Outside dimensions: least and largest x, y and z, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extent {
    /// Least x, y, z.
    pub low_mm: [f64; 3],
    /// Largest x, y, z.
    pub high_mm: [f64; 3],
}

/// Arcs of an outline that may belong to rounds.
pub(super) fn arcs_of(outline: &[Polygon]) -> Vec<Arc> {
    outline.iter().flat_map(Polygon::rings).flat_map(|ring| find_arcs(ring, LEAST_SPAN_DEG)).collect()
}

/// A round while it grows.
#[derive(Debug, Clone)]
struct Growing {
    kind: RoundKind,
    /// Sum of the diameters of its layers, mm.
    diameters_mm: f64,
    /// Centre, diameter and span of each layer.
    layers: Vec<(Point, f64, f64)>,
    z0_mm: f64,
    z1_mm: f64,
    continued: bool,
}

impl Growing {
    fn fits(&self, kind: RoundKind, arc: &Arc) -> bool {
        let Some(&(centre, ..)) = self.layers.last() else { return false };
        let mean = self.diameters_mm / self.layers.len() as f64;
        !self.continued
            && kind == self.kind
            && centre.distance(arc.circle.centre) <= SAME_MM
            && (mean - 2.0 * arc.circle.radius_mm).abs() <= SAME_MM
    }

    fn round(&self) -> Option<Round> {
        let tall = self.layers.len() > 1 && self.z1_mm - self.z0_mm >= LEAST_HEIGHT_MM;
        tall.then(|| Round {
            kind: self.kind,
            centre: Point::new(
                median(self.layers.iter().map(|l| l.0.x).collect()),
                median(self.layers.iter().map(|l| l.0.y).collect()),
            ),
            diameter_mm: median(self.layers.iter().map(|l| l.1).collect()),
            z0_mm: self.z0_mm,
            z1_mm: self.z1_mm,
            span_deg: median(self.layers.iter().map(|l| l.2).collect()),
        })
    }
}

/// The middle one of some numbers; 0 for none.
pub(super) fn median(mut of: Vec<f64>) -> f64 {
    of.sort_unstable_by(f64::total_cmp);
    match of.len() {
        0 => 0.0,
        n if n % 2 == 1 => of[n / 2],
        n => 0.5 * (of[n / 2 - 1] + of[n / 2]),
    }
}

/// Gathers rounds and outside dimensions, fed layer by layer in print order.
#[derive(Debug, Clone, Default)]
pub struct Rounds {
    growing: Vec<Growing>,
    found: Vec<Round>,
    extent: Option<Extent>,
}

impl Rounds {
    /// Takes what was found in one layer of the part.
    pub fn push(&mut self, shape: &LayerShape) {
        shape.outline.iter().for_each(|polygon| self.widen(&polygon.outer, shape));
        shape.arcs.iter().for_each(|arc| self.grow(arc, shape));
        let (going, ended): (Vec<_>, Vec<_>) = self.growing.drain(..).partition(|g| g.continued);
        self.growing = going.into_iter().map(|g| Growing { continued: false, ..g }).collect();
        self.found.extend(ended.iter().filter_map(Growing::round));
    }

    fn grow(&mut self, arc: &Arc, shape: &LayerShape) {
        let kind = if arc.convex { RoundKind::Boss } else { RoundKind::Hole };
        let layer = (arc.circle.centre, 2.0 * arc.circle.radius_mm, arc.span_deg);
        match self.growing.iter_mut().find(|g| g.fits(kind, arc)) {
            Some(same) => {
                same.layers.push(layer);
                same.diameters_mm += layer.1;
                same.z1_mm = shape.z_mm;
                same.continued = true;
            }
            None => self.growing.push(Growing {
                kind,
                diameters_mm: layer.1,
                layers: vec![layer],
                z0_mm: shape.z_mm - shape.height_mm,
                z1_mm: shape.z_mm,
                continued: true,
            }),
        }
    }

    fn widen(&mut self, outer: &[Point], shape: &LayerShape) {
        let Some((low, high)) = box_of(outer) else { return };
        let new =
            Extent { low_mm: [low.x, low.y, shape.z_mm - shape.height_mm], high_mm: [high.x, high.y, shape.z_mm] };
        let old = self.extent.unwrap_or(new);
        self.extent = Some(Extent {
            low_mm: std::array::from_fn(|i| old.low_mm[i].min(new.low_mm[i])),
            high_mm: std::array::from_fn(|i| old.high_mm[i].max(new.high_mm[i])),
        });
    }

    /// Rounds from the bottom up, and the outside dimensions if there was any outline.
    #[must_use]
    pub fn finish(mut self) -> (Vec<Round>, Option<Extent>) {
        self.found.extend(self.growing.iter().filter_map(Growing::round));
        self.found.sort_by(|a, b| {
            let key = |r: &Round| [r.z0_mm, r.centre.x, r.centre.y, r.diameter_mm];
            key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal)
        });
        (self.found, self.extent)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn circle(centre: Point, diameter: f64, chords: usize) -> Vec<Point> {
        (0..chords)
            .map(|i| {
                let angle = std::f64::consts::TAU * i as f64 / chords as f64;
                centre + Point::new(angle.cos(), angle.sin()) * (0.5 * diameter)
            })
            .collect()
    }

    fn reversed(mut ring: Vec<Point>) -> Vec<Point> {
        ring.reverse();
        ring
    }

    fn shape(index: usize, outline: Vec<Polygon>) -> LayerShape {
        let arcs = arcs_of(&outline);
        LayerShape { index, z_mm: 0.25 * (index + 1) as f64, height_mm: 0.25, outline, arcs, ..LayerShape::default() }
    }

    // A stepped disc with an off-centre bore that ends on a blind floor, and a conical foot.
    #[test]
    fn bores_and_bosses_are_joined_through_the_layers() {
        let (axis, bore) = (Point::new(50.0, -20.0), Point::new(53.0, -21.0));
        let mut rounds = Rounds::default();
        for index in 0..16 {
            let outer = match index {
                0..4 => 30.0 - 0.4 * index as f64,
                4..10 => 24.0,
                _ => 18.0,
            };
            let holes = if index >= 6 { vec![reversed(circle(bore, 6.2, 40))] } else { Vec::new() };
            rounds.push(&shape(index, vec![Polygon { outer: circle(axis, outer, 64), holes }]));
        }
        let (found, extent) = rounds.finish();
        let got: Vec<_> = found.iter().map(|r| (r.kind, r.z0_mm, r.z1_mm)).collect();
        assert_eq!(got, [(RoundKind::Boss, 1.0, 2.5), (RoundKind::Hole, 1.5, 4.0), (RoundKind::Boss, 2.5, 4.0)]);
        assert!((found[0].diameter_mm - 24.0).abs() < 1e-6 && (found[1].diameter_mm - 6.2).abs() < 1e-6);
        assert!(found[1].centre.distance(bore) < 1e-6 && (found[1].span_deg - 360.0).abs() < 1e-6);
        let extent = extent.unwrap();
        assert!((extent.high_mm[0] - 65.0).abs() < 1e-9 && (extent.high_mm[2] - 4.0).abs() < 1e-9);
        assert!((extent.low_mm[1] + 35.0).abs() < 1e-9 && extent.low_mm[2].abs() < 1e-9);
    }

    /// What is found where each layer, 0.2 mm high and the first from `z_mm` up, is a plate with the given rings.
    fn found(z_mm: f64, layers: &[Vec<Polygon>]) -> Vec<Round> {
        let mut rounds = Rounds::default();
        for (index, outline) in layers.iter().enumerate() {
            let top_mm = z_mm + 0.2 * (index + 1) as f64;
            rounds.push(&LayerShape { z_mm: top_mm, height_mm: 0.2, ..shape(index, outline.clone()) });
        }
        rounds.finish().0
    }

    #[test]
    fn another_kind_or_another_axis_is_another_round() {
        let axis = Point::new(50.0, -20.0);
        let square = [(30.0, -40.0), (70.0, -40.0), (70.0, 0.0), (30.0, 0.0)].map(|(x, y)| Point::new(x, y)).to_vec();
        let plate = |at| vec![Polygon { outer: square.clone(), holes: vec![reversed(circle(at, 10.0, 48))] }];
        let pin = vec![Polygon { outer: circle(axis, 10.0, 48), holes: vec![] }];
        let kinds = |rounds: Vec<Round>| rounds.into_iter().map(|r| (r.kind, r.centre.x.round())).collect::<Vec<_>>();
        // A pin of 10 mm upon a bore of 10 mm, and a bore that goes on 3 mm aside.
        let upon = [vec![plate(axis); 4], vec![pin; 4]].concat();
        assert_eq!(kinds(found(0.0, &upon)), [(RoundKind::Hole, 50.0), (RoundKind::Boss, 50.0)]);
        let aside = [vec![plate(axis); 4], vec![plate(axis + Point::new(3.0, 0.0)); 4]].concat();
        assert_eq!(kinds(found(0.0, &aside)), [(RoundKind::Hole, 50.0), (RoundKind::Hole, 53.0)]);
    }

    #[test]
    fn a_round_is_tall_and_has_more_than_one_layer() {
        let pin = |diameter| vec![Polygon { outer: circle(Point::new(5.0, 5.0), diameter, 48), holes: vec![] }];
        // 0.4 mm is too little, however high up; 0.6 mm will do.
        assert_eq!(found(8.0, &[pin(6.0), pin(6.0)]), []);
        assert_eq!(found(8.0, &[pin(6.0), pin(6.0), pin(6.0)]).len(), 1);
        // One thick layer says nothing of how it goes on.
        let mut thick = Rounds::default();
        thick.push(&LayerShape { z_mm: 0.8, height_mm: 0.8, ..shape(0, pin(6.0)) });
        assert_eq!(thick.finish().0, []);
        // Of an even number of layers the middle two decide: 6.01, 6.02, 6.04 and 6.05 mm.
        let round = found(0.0, &[pin(6.02), pin(6.05), pin(6.01), pin(6.04)])[0];
        assert!((round.diameter_mm - 6.03).abs() < 1e-6, "{round:?}");
        let round = found(0.0, &[pin(6.02), pin(6.05), pin(6.01)])[0];
        assert!((round.diameter_mm - 6.02).abs() < 1e-6, "{round:?}");
        let round = found(0.0, &[pin(6.02), pin(6.05), pin(6.01), pin(6.04), pin(6.06)])[0];
        assert!((round.diameter_mm - 6.04).abs() < 1e-6, "{round:?}");
    }

    #[test]
    fn no_outline_has_no_extent() {
        assert_eq!(Rounds::default().finish(), (Vec::new(), None));
    }

    /// Layers of 0.2 mm with a pin each: how far its axis lies aside, and its diameter.
    fn pins(layers: &[(f64, f64)]) -> Vec<Round> {
        let pin = |&(aside, diameter): &(f64, f64)| {
            vec![Polygon { outer: circle(Point::new(5.0 + aside, 5.0), diameter, 48), holes: vec![] }]
        };
        found(0.0, &layers.iter().map(pin).collect::<Vec<_>>())
    }

    /// A tenth of a millimetre is what round things may wander.
    #[test]
    fn a_round_may_lean_and_a_cone_is_none() {
        let moved = |by: f64| pins(&[(0.0, 6.0), (0.0, 6.0), (0.0, 6.0), (by, 6.0), (by, 6.0), (by, 6.0)]).len();
        assert_eq!((moved(0.09), moved(0.11)), (1, 2));
        let wider = |by: f64| pins(&[6.0, 6.0, 6.0, 6.0 + by, 6.0 + by, 6.0 + by].map(|d| (0.0, d))).len();
        assert_eq!((wider(0.09), wider(0.11), wider(-0.09), wider(-0.11)), (1, 2, 1, 2));
        // A little further aside with every layer it is one all the way; a little wider with every layer it is none, since
        // what it measures further up is not what it measured below.
        let steps: Vec<f64> = (0..8).map(|i| 0.08 * f64::from(i)).collect();
        assert_eq!(pins(&steps.iter().map(|&by| (by, 6.0)).collect::<Vec<_>>()).len(), 1);
        assert_eq!(pins(&steps.iter().map(|&by| (0.0, 6.0 + by)).collect::<Vec<_>>()), []);
    }

    /// The middle of its layers says where it stands.
    #[test]
    fn a_round_stands_where_most_of_its_layers_do() {
        let [round] = pins(&[(0.0, 6.0), (0.0, 6.0), (0.0, 6.0), (0.06, 6.0), (0.06, 6.0)])[..] else {
            panic!("one pin")
        };
        assert!(round.centre.distance(Point::new(5.0, 5.0)) < 1e-6, "{round:?}");
    }

    /// A disc of 20 mm of which a straight cut leaves so many degrees of its edge.
    fn cut_disc(degrees: f64) -> Polygon {
        let at = |i: i32| f64::to_radians(degrees * (f64::from(i) / 40.0 - 0.5)).sin_cos();
        let edge = (0..=40).map(at).map(|(s, c)| Point::new(10.0 * c, 10.0 * s));
        Polygon { outer: edge.chain([Point::new(-20.0, 9.0), Point::new(-20.0, -9.0)]).collect(), holes: vec![] }
    }

    #[test]
    fn a_rounded_corner_is_no_round_and_more_than_a_quarter_of_a_circle_is() {
        assert_eq!(found(0.0, &[vec![cut_disc(92.0)], vec![cut_disc(92.0)], vec![cut_disc(92.0)]]), []);
        let [round] = found(0.0, &vec![vec![cut_disc(110.0)]; 3])[..] else { panic!("one round") };
        assert_eq!(round.kind, RoundKind::Boss);
        assert!((round.diameter_mm - 20.0).abs() < 1e-6 && (round.span_deg - 110.0).abs() < 1.0, "{round:?}");
    }

    #[test]
    fn rounds_are_told_from_the_bottom_up_and_then_by_their_place() {
        // What ends last is told in its place.
        let pin =
            |x: f64, y: f64, diameter: f64| Polygon { outer: circle(Point::new(x, y), diameter, 48), holes: vec![] };
        let low = vec![pin(50.0, 0.0, 6.0), pin(20.0, 30.0, 5.0), pin(20.0, 0.0, 4.0)];
        let layers = [vec![low.clone(); 3], vec![vec![low[0].clone(), pin(0.0, 0.0, 3.0)]; 3]].concat();
        let sizes: Vec<f64> = found(0.0, &layers).iter().map(|r| r.diameter_mm.round()).collect();
        assert_eq!(sizes, [4.0, 5.0, 6.0, 3.0]);
    }
}
