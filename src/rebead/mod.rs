//! Lays outlines as beads again with other settings: for advice, for samples, and for tests with a known truth.
//!
//! ```text
//! bodies (stacks of prisms) ──slice──> outlines ──lay──> strands of beads ──> layers for the other rooms
//!                     outlines measured in a file ──┘                    └──> G-code text in any dialect
//! ```
//!
//! A bead's section is a rectangle with half-round ends; neighbours stand at the pitch s = section / height
//! that fills the layer completely; wall k has its centreline at w/2 + k s inside the outline; the lines of a
//! sparse core of density d stand at s/d (a grid: two families at 2 s/d).

mod alike;
mod arcs;
mod core;
mod dialect;
pub mod drawing;
mod laid;
mod lay;
mod lines;
mod part;
mod pen;
mod rib;
mod ring;
mod settings;
mod skins;
pub mod specimens;
mod surround;
mod truth;
mod walls;
mod write;

pub use dialect::{Dialect, Words};
pub use laid::{Laid, LaidLayer, LaidStrand};
pub use lay::{lay, middle};
pub use part::{Body, Prism, Slice, slice, slice_at};
pub use settings::{CoreFill, FillOrder, Flaw, Lie, Pattern, Retraction, Seam, Settings, Speeds, Turn, WallOrder};
pub use truth::{Pocket, TrueFlaw, TrueLayer, TruePocket, Truth};
pub use write::write;
