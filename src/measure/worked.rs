//! What is worked out for each layer apart from all others.

use crate::deposit::{Layer, LayerKind};
use crate::geom::{Moments, weighted_median};
use crate::profile::Role;
use crate::shape::{
    Axis, Cuts, Footprint, LayerShape, Openings, Tube, Usual, joined_beads, layer_section, measure_layer_again,
    measure_layer_among, tube,
};
use rayon::prelude::*;
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
    pub openings: Arc<Openings>,
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
    /// Works a layer out with cuts across these axes; `None` when it is no layer of the part.
    pub fn out(layer: &Layer, usual: Usual, axes: &[Axis]) -> Option<Self> {
        if layer.kind != LayerKind::Part {
            return None;
        }
        let layer = &*joined_beads(layer);
        Some(Self::with_shape(layer, measure_layer_among(layer, usual), axes))
    }

    /// Works a layer of the part out once more, now that the usual number of walls is known; `None` where that number
    /// changes nothing.
    pub fn again(layer: &Layer, usual: Usual, axes: &[Axis]) -> Option<Self> {
        let layer = &*joined_beads(layer);
        measure_layer_again(layer, usual).map(|shape| Self::with_shape(layer, shape, axes))
    }

    fn with_shape(layer: &Layer, shape: LayerShape, axes: &[Axis]) -> Self {
        let across = |&axis: &Axis| {
            let mut cuts = Cuts::new(axis);
            cuts.push(layer, &carrying_roles(&shape));
            LayerCuts { axis, cuts, z_mm: layer.z_mm }
        };
        // Where one large layer is left, no core has to wait for another.
        let ((footprint, cuts), (section, tube, openings)) = rayon::join(
            || {
                rayon::join(
                    || Footprint::of_layer(layer, &shape.roles),
                    || axes.par_iter().map(across).collect::<Vec<LayerCuts>>(),
                )
            },
            || (layer_section(layer, &shape.roles), tube(&shape), Openings::of(&shape)),
        );
        Self {
            section,
            footprint: Arc::new(footprint),
            openings: Arc::new(openings),
            tube,
            bead_width_mm: wall_bead_width_mm(layer, &shape.roles),
            cuts: Arc::new(cuts),
            shape: Arc::new(shape),
        }
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
        match self.shape.standing_at(layer) {
            Cow::Borrowed(_) => self.clone(),
            Cow::Owned(shape) => Self { shape: Arc::new(shape), ..self.clone() },
        }
    }
}

/// Roles as they carry load: close fill that is not fused lends no more than a core.
fn carrying_roles(shape: &LayerShape) -> Cow<'_, [Role]> {
    let apart = shape.core.as_ref().is_some_and(|c| c.solid && c.density.is_some_and(|d| d < FUSED_DENSITY));
    if !apart {
        return Cow::Borrowed(&shape.roles);
    }
    let lends = |role: &Role| match role {
        Role::SolidInfill | Role::Bridge => Role::SparseInfill,
        other => *other,
    };
    Cow::Owned(shape.roles.iter().map(lends).collect())
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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::fixture::{brick, draw, stack};
    use super::*;
    use crate::shape::Core;
    use crate::shape::fixture::{Laid, ring};

    #[test]
    fn only_layers_of_the_part_are_worked_out() {
        let layer = stack(1, |_, laid| draw(laid, &brick(), 0.2)).remove(0);
        let worked = |kind| Worked::out(&Layer { kind, ..layer.clone() }, Usual::default(), &[]).is_some();
        assert_eq!([LayerKind::Part, LayerKind::Raft, LayerKind::Purge].map(worked), [true, false, false]);
    }

    #[test]
    fn close_fill_carries_as_fill_only_where_it_is_fused() {
        let roles = vec![Role::OuterWall, Role::SolidInfill, Role::Bridge, Role::GapFill];
        let carrying = |core: Option<Core>| {
            let shape = LayerShape { roles: roles.clone(), core, ..LayerShape::default() };
            carrying_roles(&shape).into_owned()
        };
        let core = |solid, density| Some(Core { solid, density, ..Core::default() });
        let loose = vec![Role::OuterWall, Role::SparseInfill, Role::SparseInfill, Role::GapFill];
        assert_eq!(carrying(core(true, Some(0.87))), loose);
        assert_eq!(carrying(core(true, Some(0.89))), roles);
        // Gaps that are meant, a core too small to say, and no core.
        assert_eq!(carrying(core(false, Some(0.5))), roles);
        assert_eq!(carrying(core(true, None)), roles);
        assert_eq!(carrying(None), roles);
    }

    #[test]
    fn the_width_of_walls_is_that_of_half_their_length_and_fill_and_laps_do_not_count() {
        let mut laid = Laid::new(0.45, 0.2);
        let mut roles = Vec::new();
        for (role, length_mm, width_mm, ghost) in [
            (Role::OuterWall, 10.0, 0.42, false),
            (Role::InnerWall, 8.0, 0.5, false),
            (Role::InnerWall, 1.0, 0.3, false),
            (Role::SolidInfill, 100.0, 0.6, false),
            (Role::OuterWall, 100.0, 0.8, true),
        ] {
            laid.strand(&ring(&[(0.0, 0.0), (length_mm, 0.0)]), false);
            laid.layer.beads.last_mut().unwrap().width_mm = width_mm;
            laid.layer.strands.last_mut().unwrap().ghost = ghost;
            roles.push(role);
        }
        assert_eq!(wall_bead_width_mm(&laid.layer, &roles), Some(0.42));
        assert_eq!(wall_bead_width_mm(&laid.layer, &[Role::Support; 5]), None);
    }
}
