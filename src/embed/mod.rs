//! Stops for built-in hardware, planned, written and proven.
//!
//! ```text
//! file ──> layers and their last lines ──> what the machine knows there ──> lines of a stop ──> new file
//!   └──────────────────────────────── proof: same bytes without the stops, same steps, same beads ──┘
//! ```
//!
//! A stop stands right after the last bead of its layer, before whatever follows, so that what the machine knows
//! there is exactly what it must know again. It is framed by two comment lines of our own, by which it is found
//! and taken out. Nothing leaves this room unproven.

#![cfg_attr(
    not(test),
    deny(
        clippy::unwrap_used,
        clippy::expect_used,
        clippy::panic,
        clippy::indexing_slicing,
        clippy::arithmetic_side_effects
    )
)]

mod care;
mod decimal;
mod error;
mod fit;
mod frame;
mod hardware;
mod heat;
mod layers;
mod plan;
mod preview;
mod proof;
mod room;
mod same;
mod scene;
mod stop;
mod undo;
mod workpiece;

pub use error::EmbedError;
pub use fit::{Asked, Fit, Misfit, fit};
pub use frame::{CommentStyle, Frame, Origin, frames};
pub use hardware::{Seat, Seating, Wish, needs_stop, seat, suited};
pub use heat::Heat;
pub use layers::{Extent, LayerPlace, LayerPlaces};
pub use plan::{Place, PlannedStop, StopRequest, Stopped, put_stops};
pub use preview::preview;
pub use proof::{Proof, Refusal, prove};
pub use same::Difference;
pub use undo::{Undone, undo};
pub use workpiece::{Look, Workpiece};
