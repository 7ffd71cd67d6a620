//! Materials, machines, strength profiles, load cases, inserts and annotation words, from TOML.
//!
//! Comes in: a built-in name or a path. Goes out: validated structs. Unknown keys, impossible values and bad
//! units are errors that point at the line and suggest the key that was meant. Every number has a source.

pub mod annotation;
pub mod machine;
mod role;

pub use annotation::{AnnotationError, Annotations, Remark};
pub use machine::{Corner, DwellUnit, Limits, Machine, StopRules, Waits};
pub use role::Role;
