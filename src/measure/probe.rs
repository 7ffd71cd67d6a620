//! A second reading of a file, for the places that loads act on.
//!
//! Where a patch lies follows from the part's own box, which is only known when the file has been measured once;
//! keeping every layer's plan instead would hold the whole part in memory.

use super::collect::raised;
use super::pipeline::{MeasureError, Setup, for_each_layer};
use crate::deposit::{Layer, LayerKind};
use crate::geom::Point;
use crate::profile::Face;
use crate::profile::Role;
use crate::shape::{Axis, Cuts, Footprint, Patch, PatchLayer, PatchProbe, UsualPitch, measure_layer};

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
    probe_layers(probes, None, |each| for_each_layer(bytes, setup, each))
}

/// What gives layers one after another to whoever wants them.
type EachLayer<'a> = &'a mut dyn FnMut(Layer);

/// Follows probes through layers; where `raises` are given, a side window sees each layer as often as it stands in
/// the part, at these distances above where it is laid, mm.
pub(super) fn probe_layers(
    probes: &[Probe],
    raises: Option<&[Vec<f64>]>,
    for_each: impl FnOnce(EachLayer<'_>) -> Result<(), MeasureError>,
) -> Result<Vec<Probed>, MeasureError> {
    let mut gathered: Vec<Gathered> = probes.iter().map(Gathered::new).collect();
    let mut below: Option<(f64, Footprint)> = None;
    let mut usual = UsualPitch::default();
    let mut count = 0;
    for_each(&mut |layer| {
        if layer.kind != LayerKind::Part {
            return;
        }
        usual.push(&layer);
        let shape = measure_layer(&layer, usual.pitch_mm());
        let plan = Footprint::of_layer(&layer, &shape.roles);
        let rests_on_bed = layer.z_mm - layer.height_mm < 0.5 * layer.height_mm;
        let under = below.as_ref().filter(|b| !(rests_on_bed && b.0 > layer.z_mm - 1e-6)).map(|b| &b.1);
        let raised_mm = raises.and_then(|all| all.get(count)).map_or(&[0.0][..], Vec::as_slice);
        for probe in &mut gathered {
            match probe {
                Gathered::Plan(probe, found) => found.push(probe.layer(&shape, &plan, under)),
                Gathered::Side(window, cuts) => {
                    raised_mm.iter().for_each(|&mm| window.push(&raised(&layer, mm), &shape.roles, cuts));
                }
            }
        }
        below = Some((layer.z_mm, plan));
        count += 1;
    })?;
    Ok(gathered.into_iter().map(Gathered::finish).collect())
}

enum Gathered {
    Plan(Box<PatchProbe>, Vec<PatchLayer>),
    Side(SideWindow, Box<Cuts>),
}

impl Gathered {
    fn new(probe: &Probe) -> Self {
        match probe {
            Probe::Plan(patch) => Self::Plan(Box::new(PatchProbe::new(patch)), Vec::new()),
            Probe::Side(window) => Self::Side(*window, Box::new(Cuts::new(window.cut_axis()))),
        }
    }

    fn finish(self) -> Probed {
        match self {
            Self::Plan(_, layers) => Probed::Plan(layers),
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
    use super::*;

    #[test]
    fn a_bead_is_cut_at_the_window() {
        assert_eq!(share_within(0.0, 10.0, [2.0, 7.0]), (0.2, 0.7));
        assert_eq!(share_within(10.0, 0.0, [2.0, 7.0]), (0.3, 0.8));
        assert_eq!(share_within(3.0, 3.0, [2.0, 7.0]), (0.0, 1.0));
        assert_eq!(share_within(8.0, 9.0, [2.0, 7.0]), (0.0, 0.0));
        assert_eq!(share_within(1.0, 1.0, [2.0, 7.0]), (0.0, 0.0));
    }
}
