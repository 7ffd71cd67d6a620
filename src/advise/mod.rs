//! The cheapest settings that hold.
//!
//! ```text
//! file ──survey──> outlines, settings as measured ──lay again──> beads ──measure──> how far off? (own error)
//!                            │
//!                            └── other settings ──lay──> beads ──measure──> time, mass, reserve ──> the edge
//! ```

mod advice;
mod bench;
mod beyond;
mod choice;
mod core_look;
mod effects;
mod faults;
mod fullness;
mod habits;
mod line_look;
mod own_error;
mod relaid;
mod search;
mod seen;
mod space;
mod stack;
mod survey;

pub use advice::{Advice, AsMeasured, Request, Standing, advise};
pub use bench::{Asked, Offer};
pub use beyond::Beyond;
pub use choice::{Choice, CoreKind};
pub use effects::{Change, CoreAgainstWalls, Turn};
pub use own_error::OwnError;
pub use relaid::{Relaid, lay_again};
pub use search::{Goal, Tries};
pub use survey::{Carried, Survey, survey};
