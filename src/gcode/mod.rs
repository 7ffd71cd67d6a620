//! Bytes to lines and words, and back again byte for byte.
//!
//! ```text
//! N12 G1 X10.5 Y-3 E.8 ; outer wall *71
//! ^^^ ^^^^^^^^^^^^^^^^ ^^^^^^^^^^^^^^^^
//! number  words         comment           every part keeps its byte span
//! ```
//!
//! Comes in: any bytes at all. Goes out: [`Line`]s that, joined, are those bytes again, and on demand the
//! [`Block`] of words a line holds. Nothing here fails: what cannot be read is a diagnostic in the block.

mod block;
mod line;

pub use block::{Block, BlockKind, Word};
pub use line::{Line, Lines, lines};
