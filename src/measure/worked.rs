//! What is worked out for each layer apart from all others.

use crate::deposit::{Layer, LayerKind};
use crate::geom::{Moments, weighted_median};
use crate::profile::Role;
use crate::shape::{
    Axis, Cuts, Footprint, LayerShape, Tube, Usual, layer_section, measure_layer_again, measure_layer_among, tube,
};
use std::borrow::Cow;
use std::sync::Arc;

/// Fill this full has its beads fused side by side; below, they lie apart though there is no room between them.
const FUSED_DENSITY: f64 = 0.88;

/// Shape, section, footprint and cuts of one layer; cloning shares them.
#[derive(Debug, Clone)]
pub(super) struct Worked {
    pub shape: Arc<LayerShape>,
    pub section: Option<Moments>,
    pub footprint: Arc<Footprint>,
    /// Its outer walls as a closed tube.
    pub tube: Option<Tube>,
    /// Length-weighted median width of its wall beads, mm.
    pub bead_width_mm: Option<f64>,
    cuts: Arc<Vec<LayerCuts>>,
}

/// Cuts across one layer.
#[derive(Debug)]
struct LayerCuts {
    axis: Axis,
    cuts: Cuts,
    /// Top of the layer they were made of, mm.
    z_mm: f64,
}

impl Worked {
    /// Works a layer out; `None` when it is no layer of the part.
    pub fn out(layer: &Layer, usual: Usual) -> Option<Self> {
        if layer.kind != LayerKind::Part {
            return None;
        }
        Some(Self::with_shape(layer, measure_layer_among(layer, usual)))
    }

    /// Works a layer of the part out once more, now that the usual number of walls is known; `None` where that number
    /// changes nothing.
    pub fn again(layer: &Layer, usual: Usual) -> Option<Self> {
        measure_layer_again(layer, usual).map(|shape| Self::with_shape(layer, shape))
    }

    fn with_shape(layer: &Layer, shape: LayerShape) -> Self {
        let section = layer_section(layer, &shape.roles);
        let footprint = Arc::new(Footprint::of_layer(layer, &shape.roles));
        let (tube, bead_width_mm) = (tube(&shape), wall_bead_width_mm(layer, &shape.roles));
        Self { shape: Arc::new(shape), section, footprint, tube, bead_width_mm, cuts: Arc::default() }
    }

    /// With cuts across these axes.
    pub fn with_cuts(self, layer: &Layer, axes: &[Axis]) -> Self {
        let roles = self.carrying_roles();
        let across = |&axis: &Axis| {
            let mut cuts = Cuts::new(axis);
            cuts.push(layer, &roles);
            LayerCuts { axis, cuts, z_mm: layer.z_mm }
        };
        let cuts = Arc::new(axes.iter().map(across).collect());
        Self { cuts, ..self }
    }

    /// Adds its cuts to those of the part, where the layer has its top at `z_mm`.
    pub fn add_cuts(&self, to: &mut Cuts, z_mm: f64) {
        let axis = to.axis();
        for own in self.cuts.iter().filter(|own| own.axis == axis) {
            to.add(&own.cuts, z_mm - own.z_mm);
        }
    }

    /// The same for a layer that is bead for bead alike.
    pub fn of(&self, layer: &Layer) -> Self {
        let index = layer.index.unwrap_or(self.shape.index);
        if (index, layer.z_mm) == (self.shape.index, self.shape.z_mm) {
            return self.clone();
        }
        let shape = LayerShape { index, z_mm: layer.z_mm, ..LayerShape::clone(&self.shape) };
        Self { shape: Arc::new(shape), ..self.clone() }
    }

    /// Roles as they carry load: close fill that is not fused lends no more than a core.
    fn carrying_roles(&self) -> Cow<'_, [Role]> {
        let apart = self.shape.core.as_ref().is_some_and(|c| c.solid && c.density.is_some_and(|d| d < FUSED_DENSITY));
        if !apart {
            return Cow::Borrowed(&self.shape.roles);
        }
        let lends = |role: &Role| match role {
            Role::SolidInfill | Role::Bridge => Role::SparseInfill,
            other => *other,
        };
        Cow::Owned(self.shape.roles.iter().map(lends).collect())
    }
}

/// Width that half the length of the wall beads stays under, mm.
fn wall_bead_width_mm(layer: &Layer, roles: &[Role]) -> Option<f64> {
    let walls = layer
        .strands
        .iter()
        .zip(roles)
        .filter(|(strand, role)| !strand.ghost && matches!(role, Role::OuterWall | Role::InnerWall));
    let beads = walls.flat_map(|(strand, _)| layer.strand_beads(strand));
    let mut widths: Vec<(f64, f64)> = beads.map(|bead| (bead.width_mm, bead.length_mm)).collect();
    weighted_median(&mut widths)
}
