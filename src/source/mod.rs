//! A path or a stream to bytes, and a safe way to write a new file.
//!
//! ```text
//! path, or `-` as a reader ──> Source (bytes, mapped or owned, and a name for messages)
//! a zip package ──> one G-code member of it; new bytes are put back among the others
//! bytes ──> a file beside the target, written, flushed, synced ──> renamed over the target
//! ```
//!
//! Killed at any instant, the user has the whole old file or the whole new one. This room knows nothing of
//! G-code.

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

mod crc;
mod error;
mod mapped;
mod package;
mod read;
mod write;

pub use crc::crc32;
pub use error::{ReadError, WriteError};
pub use read::{Source, read_member, read_path, read_stream};
pub use write::{Kept, Target, write_file};
