//! One layer's beads and its neighbours to outlines, walls, core, skins, bond area, sections, rounds and pockets.
//!
//! Everything is measured from motion; comments are never needed. Layers are independent of each other
//! except where a measure needs the layer below (bond area, skins) or follows a hole upwards (pockets).

mod bare;
mod bit_growth;
mod bit_plan;
mod bit_runs;
mod body;
mod bond;
mod bridge;
mod broken;
mod concentric;
mod core_room;
mod crossed;
mod cuts;
mod edge_track;
mod fill;
mod flow;
mod flow_places;
mod held;
mod joined_beads;
mod layer;
mod layer_shape;
mod line_lists;
mod loop_edges;
mod loops;
mod nest;
mod open_walls;
mod openings;
mod outline;
mod part_beads;
mod patch;
mod pile;
mod plan_grid;
mod pocket_ends;
mod pocket_shape;
mod pockets;
mod rounds;
mod rows;
mod section;
mod skins;
mod strip;
mod thin_places;
mod tube;
mod turns;
mod usual;
mod walls;
mod zigzag;

pub use bond::{Bond, Footprint};
pub use bridge::bridges;
pub use cuts::{Axis, BeadGroup, BeadKind, Cut, Cuts, SLAB_MM, SLICE_MM};
pub use joined_beads::joined_beads;
pub use layer::{measure_layer, measure_layer_again, measure_layer_among};
pub use layer_shape::{Core, FlowPlace, LayerShape, Rib, RoleFlow, ThinPlace, WallGap, WallSample, Walls};
pub use openings::Openings;
pub use patch::{GROWTHS_MM, Patch, PatchLayer, PatchProbe, PatchShape};
pub use pocket_shape::PocketShape;
pub use pockets::{Access, Pocket, PocketLayer, Pockets, pocket_id};
pub use rounds::{Extent, Round, RoundKind, Rounds};
pub use section::layer_section;
pub use skins::{SkinMap, SkinPatch, SkinSide, Skins};
pub use tube::{Tube, tube};
pub use usual::{Usual, UsualPitch, UsualWalls};

#[cfg(test)]
pub(crate) mod fixture;
#[cfg(test)]
mod layer_tests;
