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
//!
//! Comes in: [`Step`](crate::motion::Step)s, one by one, into a [`Depositor`]. Goes out: [`Layer`]s as soon as
//! they are certain, and at the end the [`Totals`] of everything that is no layer. A bounded number of runs is
//! held back, no more.

mod adhesion;
#[cfg(test)]
pub(crate) mod by_hand;
mod depositor;
mod finish;
mod flow;
mod grid;
mod height;
mod kinds;
pub mod laps;
mod layer;
mod likely;
mod nest;
#[cfg(test)]
mod pen;
mod recall;
mod repeat;
mod retrace;
mod roles;
mod run;
mod strand;
#[cfg(test)]
mod tests;
mod totals;
mod tower;

pub use depositor::{Depositor, layers};
pub use finish::loop_width_mm;
pub use flow::{WIDEST_BEAD_MM, section_mm2, width_mm};
pub use grid::BeadGrid;
pub use layer::{Bead, Layer, LayerKind, Strand};
pub use nest::{Loop, Nest};
pub use roles::loops;
pub use totals::{SeenStop, ToolTotals, Totals};
pub use tower::Tower;
