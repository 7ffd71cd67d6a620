//! Moves to layers of beads with width, height and role.
//!
//! ```text
//!   ___________________
//!  (                   )  h      area = (w - h) h + pi h²/4
//!   ‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾           w = area / h + h (1 - pi/4)
//!  |<------- w ------->|
//! ```
//!
//! Layers come from runs of depositing moves at one z, in print order, not from comments. A *strand* is a run
//! of beads laid without stopping the flow; where one strand holds several laps it is cut, so that a closed
//! strand is one loop.

mod layer;

pub use layer::{Bead, Layer, LayerKind, Strand};
