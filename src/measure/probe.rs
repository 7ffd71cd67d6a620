//! A second reading of a file, for the places that loads act on.
//!
//! Where a patch lies follows from the part's own box, which is only known when the file has been measured once;
//! keeping every layer's plan instead would hold the whole part in memory.

use super::alike::{Alike, WorkedBatch};
use super::collect::{Below, begins_on_the_bed, raised};
use super::pipeline::read_side_by_side;
use super::setup::{MeasureError, Setup};
use super::worked::Worked;
use crate::deposit::Layer;
use crate::geom::Point;
use crate::profile::Face;
use crate::profile::Role;
use crate::shape::{Axis, Cuts, Footprint, Patch, PatchLayer, PatchProbe};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What to look at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Probe {
    /// A patch seen from above, followed through all layers.
    Plan(Patch),
    /// A window in a side of the part: only beads within it are cut.
    Side(SideWindow),
}

/// A window in a side of the part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideWindow {
    /// Which side; top and bottom have no side window.
    pub face: Face,
    /// Least and greatest place along the side (y for left and right, x for front and back), mm.
    pub along_mm: [f64; 2],
    /// Least and greatest height, mm.
    pub z_mm: [f64; 2],
}

/// What was found.
#[derive(Debug, Clone)]
pub enum Probed {
    /// Under a patch, in print order.
    Plan(Vec<PatchLayer>),
    /// Behind a window: cuts along the axis the side looks along.
    Side(Box<Cuts>),
}

/// Reads a file again and follows the probes through it.
///
/// # Errors
/// As for measuring it.
pub fn measure_probes(bytes: &[u8], setup: &Setup, probes: &[Probe]) -> Result<Vec<Probed>, MeasureError> {
    let walk = || Walk { alike: Alike::default(), followed: Followed::new(probes), below: None };
    let (_, walk) = read_side_by_side(bytes, setup, &mut |_| {}, &walk, Walk::take)?;
    Ok(walk.followed.finish())
}

/// Probes on their way through the layers of a file.
struct Walk {
    alike: Alike,
    followed: Followed,
    below: Option<Below>,
}

impl Walk {
    /// Takes the next layers in print order.
    fn take(&mut self, layers: Vec<Layer>) {
        let WorkedBatch { layers, numbers, worked } = self.alike.work_out(layers);
        for ((layer, number), worked) in layers.iter().zip(numbers).zip(&worked) {
            let Some(worked) = worked else { continue };
            let below = self.below.as_ref().filter(|below| !begins_on_the_bed(layer, below.z_mm));
            let (under, which) = (below.map(|b| &*b.footprint), below.map(|b| (number, b.number)));
            self.followed.layer(Visited { layer, worked, under, raised_mm: &[0.0], which });
            self.below = Some(Below { z_mm: layer.z_mm, footprint: Arc::clone(&worked.footprint), number });
        }
    }
}

/// Probes on their way through the layers of a part.
pub(super) struct Followed(Vec<Gathered>);

/// One layer on that way.
#[derive(Clone, Copy)]
pub(super) struct Visited<'a> {
    pub layer: &'a Layer,
    pub worked: &'a Worked,
    /// Plan of the layer it rests on; none on the bed.
    pub under: Option<&'a Footprint>,
    /// How far above where it is laid it stands in the part, mm, each time that it does.
    pub raised_mm: &'a [f64],
    /// The first layers that are bead for bead like this and the one below, where that is known.
    pub which: Option<(usize, usize)>,
}

impl Followed {
    pub fn new(probes: &[Probe]) -> Self {
        Self(probes.iter().map(Gathered::new).collect())
    }

    /// Takes the next layer in print order.
    pub fn layer(&mut self, visited: Visited<'_>) {
        let Visited { layer, worked, raised_mm, .. } = visited;
        for probe in &mut self.0 {
            match probe {
                Gathered::Plan(plan) => plan.layer(visited),
                Gathered::Side(window, cuts) => {
                    raised_mm.iter().for_each(|&mm| window.push(&raised(layer, mm), &worked.shape.roles, cuts));
                }
            }
        }
    }

    pub fn finish(self) -> Vec<Probed> {
        self.0.into_iter().map(Gathered::finish).collect()
    }
}

enum Gathered {
    Plan(Box<Plan>),
    Side(SideWindow, Box<Cuts>),
}

/// A patch and what was found under it.
struct Plan {
    probe: PatchProbe,
    found: Vec<PatchLayer>,
    /// Where in `found` layers like these two lie on each other.
    known: BTreeMap<(usize, usize), usize>,
}

impl Plan {
    fn layer(&mut self, visited: Visited<'_>) {
        let Visited { worked, under, which, .. } = visited;
        let which = which.filter(|_| under.is_some());
        let before = which.and_then(|which| self.known.get(&which)).and_then(|&at| self.found.get(at));
        let shape = &worked.shape;
        let layer = match before {
            Some(before) => PatchLayer { index: shape.index, z_mm: shape.z_mm, ..before.clone() },
            None => self.probe.layer(shape, &worked.footprint, under),
        };
        if let Some(which) = which {
            self.known.entry(which).or_insert(self.found.len());
        }
        self.found.push(layer);
    }
}

impl Gathered {
    fn new(probe: &Probe) -> Self {
        match probe {
            Probe::Plan(patch) => {
                let probe = PatchProbe::new(patch);
                Self::Plan(Box::new(Plan { probe, found: Vec::new(), known: BTreeMap::new() }))
            }
            Probe::Side(window) => Self::Side(*window, Box::new(Cuts::new(window.cut_axis()))),
        }
    }

    fn finish(self) -> Probed {
        match self {
            Self::Plan(plan) => Probed::Plan(plan.found),
            Self::Side(_, cuts) => Probed::Side(cuts),
        }
    }
}

impl SideWindow {
    fn cut_axis(&self) -> Axis {
        match self.face {
            Face::Front | Face::Back => Axis::Y,
            _ => Axis::X,
        }
    }

    /// Adds what of a layer's beads lies within the window.
    fn push(&self, layer: &Layer, roles: &[Role], cuts: &mut Cuts) {
        let middle_z = layer.z_mm - 0.5 * layer.height_mm;
        if !(self.z_mm[0]..=self.z_mm[1]).contains(&middle_z) {
            return;
        }
        let mut within = layer.clone();
        for bead in &mut within.beads {
            let side = |p: Point| if self.cut_axis() == Axis::X { p.y } else { p.x };
            let (a, b) = (side(bead.from), side(bead.to));
            let (from, to) = share_within(a, b, self.along_mm);
            let (start, end) = (bead.from, bead.to);
            (bead.from, bead.to) = (start.lerp(end, from), start.lerp(end, to));
            bead.length_mm *= to - from;
        }
        cuts.push(&within, roles);
    }
}

/// Shares of the way from `a` to `b` between which it lies within a range; equal where none does.
fn share_within(a: f64, b: f64, range: [f64; 2]) -> (f64, f64) {
    if (b - a).abs() < 1e-9 {
        return if (range[0]..=range[1]).contains(&a) { (0.0, 1.0) } else { (0.0, 0.0) };
    }
    let (enter, leave) = ((range[0] - a) / (b - a), (range[1] - a) / (b - a));
    let (from, to) = (enter.min(leave).max(0.0), enter.max(leave).min(1.0));
    if from < to { (from, to) } else { (0.0, 0.0) }
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{after, brick, draw, moved, stack};
    use super::*;
    use crate::geom::Moments;
    use crate::shape::fixture::{plate, ring};
    use crate::shape::{PatchShape, SLAB_MM};
    use approx::assert_relative_eq as near;

    #[test]
    fn a_bead_is_cut_at_the_window() {
        assert_eq!(share_within(0.0, 10.0, [2.0, 7.0]), (0.2, 0.7));
        assert_eq!(share_within(10.0, 0.0, [2.0, 7.0]), (0.3, 0.8));
        assert_eq!(share_within(3.0, 3.0, [2.0, 7.0]), (0.0, 1.0));
        assert_eq!(share_within(8.0, 9.0, [2.0, 7.0]), (0.0, 0.0));
        assert_eq!(share_within(1.0, 1.0, [2.0, 7.0]), (0.0, 0.0));
    }

    #[test]
    fn a_bead_is_cut_where_it_passes_from_one_side_of_nothing_to_the_other() {
        assert_eq!(share_within(-5.0, 5.0, [-1.0, 2.0]), (0.4, 0.7));
    }

    /// What probes find in these layers.
    fn found(layers: Vec<Layer>, probe: Probe) -> Probed {
        let mut walk = Walk { alike: Alike::default(), followed: Followed::new(&[probe]), below: None };
        walk.take(layers);
        walk.followed.finish().remove(0)
    }

    fn under_patch(layers: Vec<Layer>) -> Vec<PatchLayer> {
        let shape = PatchShape::Box { x_mm: 6.0, y_mm: 4.0 };
        match found(layers, Probe::Plan(Patch { shape, centre: Point::new(60.0, 56.0) })) {
            Probed::Plan(layers) => layers,
            Probed::Side(_) => panic!("a patch is seen from above"),
        }
    }

    fn behind(layers: Vec<Layer>, window: SideWindow) -> Moments {
        match found(layers, Probe::Side(window)) {
            Probed::Side(cuts) => {
                let slabs = cuts.slabs(SLAB_MM);
                slabs[slabs.len() / 2].total()
            }
            Probed::Plan(_) => panic!("a window is in a side"),
        }
    }

    /// A brick of 20 x 12 mm whose middle is left open in some layers.
    fn bricks(count: usize, open: &[usize]) -> Vec<Layer> {
        let hole = ring(&[(54.0, 53.0), (66.0, 53.0), (66.0, 59.0), (54.0, 59.0)]);
        let (whole, holed) = (brick(), plate(brick().outer, &[hole]));
        stack(count, |index, laid| {
            draw(laid, if open.contains(&index) { &holed } else { &whole }, 1.0);
        })
    }

    #[test]
    fn a_patch_rests_on_what_lies_under_it_in_the_layer_below() {
        let layers = under_patch(bricks(5, &[2]));
        let found: Vec<(usize, bool, bool)> =
            layers.iter().map(|l| (l.index, l.covered > 0.98, l.bond_mm2[0] > 0.98 * 24.0)).collect();
        assert_eq!(found, [(0, true, true), (1, true, true), (2, false, false), (3, true, false), (4, true, true)]);
        assert!(layers[2].covered < 1e-6 && layers[3].bond_mm2[0] < 1e-6);
        layers.iter().zip(1_u32..).for_each(|(l, top)| near!(l.z_mm, 0.2 * f64::from(top), epsilon = 1e-9));
    }

    #[test]
    fn a_part_begun_beside_another_that_is_done_rests_on_the_bed() {
        // The first stands where there is no patch, the second under it.
        let first = bricks(2, &[]).into_iter().map(|layer| moved(layer, -40.0));
        let layers = under_patch(first.chain(after(2, bricks(2, &[]))).collect());
        let bonds: Vec<bool> = layers.iter().map(|layer| layer.bond_mm2[0] > 0.98 * 24.0).collect();
        assert_eq!(bonds, [false, false, true, true]);
    }

    #[test]
    fn layers_that_are_alike_are_told_each_at_its_height() {
        let numbered = bricks(5, &[]).into_iter().map(|layer| Layer { number: Some(3), ..layer });
        for (layer, index) in under_patch(numbered.collect()).iter().zip(0_u32..) {
            assert_eq!(layer.index, index as usize);
            near!(layer.z_mm, 0.2 * f64::from(index + 1), epsilon = 1e-9);
            near!(layer.bond_mm2[0], 24.0, max_relative = 0.02);
        }
    }

    // A full bar: width times height, first principles.
    #[test]
    fn a_window_shows_what_lies_behind_it() {
        // The second and the third layer, whose middles are at 0.3 and 0.5 mm.
        let window = |face, along_mm| SideWindow { face, along_mm, z_mm: [0.21, 0.59] };
        for (face, along_mm) in [(Face::Left, [53.0, 58.0]), (Face::Right, [53.0, 58.0])] {
            let cut = behind(bricks(5, &[]), window(face, along_mm));
            // The window's edge may pass a line of fill on either side: 0.41 of 5 mm.
            near!(cut.area_mm2, 5.0 * 0.4, max_relative = 0.1);
            near!(cut.centroid.y, 0.4, epsilon = 1e-9);
            near!(cut.centroid.x, 55.5, epsilon = 0.25);
        }
        for (face, along_mm) in [(Face::Front, [55.0, 60.0]), (Face::Back, [55.0, 60.0])] {
            let cut = behind(bricks(5, &[]), window(face, along_mm));
            near!(cut.area_mm2, 5.0 * 0.4, max_relative = 0.1);
            near!(cut.centroid.y, 0.4, epsilon = 1e-9);
            near!(cut.centroid.x, 57.5, epsilon = 1e-3);
        }
    }
}
