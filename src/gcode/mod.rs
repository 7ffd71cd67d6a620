//! Bytes to lines and words, and back again byte for byte.
//!
//! ```text
//! N12 G1 X10.5 Y-3 E.8 ; outer wall *71
//! ^^^ ^^^^^^^^^^^^^^^^ ^^^^^^^^^^^^ ^^^
//! number  words        comment      checksum       every part keeps its byte span
//! ```
//!
//! Comes in: any bytes at all. Goes out: [`Line`]s that, joined, are those bytes again, and on demand the
//! [`Block`] of words a line holds. Nothing here fails: what cannot be read is a diagnostic in the block.
//!
//! The grammar is that of NISTIR 6556 (Kramer, Proctor, Messina: The NIST RS274NGC Interpreter, Version 3,
//! 2000) as printing machines speak it: with an `E` axis, `;` comments, checksums and text-carrying codes.

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

mod block;
mod checksum;
mod command;
mod comment;
mod edit;
mod ending;
mod fault;
mod line;
mod number;
mod numbering;
pub mod strict;
mod text;
mod tidy;
mod word;

pub use block::{Block, BlockKind};
pub use checksum::checksum_of;
pub use command::{Command, integer};
pub use edit::Edits;
pub use ending::Ending;
pub use line::{Line, Lines, lines};
pub use numbering::Numbering;
pub use tidy::tidy;
pub use word::Word;
