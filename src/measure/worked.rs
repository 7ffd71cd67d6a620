//! What is worked out for each layer apart from all others.

use crate::deposit::{Layer, LayerKind};
use crate::geom::Moments;
use crate::profile::Role;
use crate::shape::{Footprint, LayerShape, Usual, layer_section, measure_layer_again, measure_layer_among};
use std::borrow::Cow;
use std::sync::Arc;

/// Fill this full has its beads fused side by side; below, they lie apart though there is no room between them.
const FUSED_DENSITY: f64 = 0.88;

/// Shape, section and footprint of one layer.
#[derive(Debug, Clone)]
pub(super) struct Worked {
    pub shape: LayerShape,
    pub section: Option<Moments>,
    /// Shared with the layers that are bead for bead alike.
    pub footprint: Arc<Footprint>,
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
        Self { shape, section, footprint }
    }

    /// The same for a layer that is bead for bead alike.
    pub fn of(&self, layer: &Layer) -> Self {
        let mut again = self.clone();
        again.shape.index = layer.index.unwrap_or(again.shape.index);
        again.shape.z_mm = layer.z_mm;
        again
    }

    /// Roles as they carry load: close fill that is not fused lends no more than a core.
    pub fn carrying_roles(&self) -> Cow<'_, [Role]> {
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
