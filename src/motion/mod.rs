//! The machine's state: commands to moves with path, feed, flow, tool and temperature, and the time of each.
//!
//! ```text
//! block ──> interpreter ──> moves (no time yet) ──> look-ahead planner ──> steps in order, each with its seconds
//! ```
//!
//! Moves are streamed, never stored: the planner holds back only what it cannot time yet. Arcs are cut
//! into chords here, so every [`Move`] is straight; its `length_mm` is the length along the true path.
//! What the machine does without moving (dwell, heating, tool change, stops) is an [`Event`].

mod step;

pub use step::{Event, EventKind, Move, MoveKind, Step};
