//! Materials, machines, strength profiles, load cases, inserts and annotation words, from TOML.
//!
//! ```
//! use beadwise::profile::{Insert, Machine, Material};
//!
//! let (machine, material) = (Machine::load("enclosed-mid")?, Material::load("PETG-CF")?);
//! assert!(material.needs.hardened_nozzle && machine.nozzle_hardened);
//! assert_eq!(Insert::load("m5-nut")?.across_flats_mm, Some(8.0));
//! # Ok::<(), beadwise::profile::ProfileError>(())
//! ```
//!
//! Comes in: a built-in name or a path. Goes out: validated structs. Unknown keys, impossible values and bad
//! units are errors that point at the line and suggest the key that was meant. Every number has a source.

pub mod annotation;
mod check;
mod error;
mod insert;
mod library;
mod load_case;
pub mod machine;
mod material;
mod read;
mod role;
mod sheet;
mod shop;
mod stop_rules;
mod strength_profile;

pub use annotation::{AnnotationError, Annotations, Remark};
pub use check::check_profile;
pub use error::{ProfileError, WrongProfile};
pub use insert::{Insert, InsertShape, MagnetGrade, MagnetGrades, Remanence};
pub use library::{Found, Kind, find_profile, plain_name, profile_title};
pub use load_case::{Axis, CaseKind, Face, Held, LoadCase, LoadCases};
pub use machine::{Corner, DwellUnit, Limits, Machine, Waits};
pub use material::{Lowering, Material, Needs, Pair, Stiffness, Strengths, Temperatures};
pub use read::{Checked, Impossible, ensure, read_profile};
pub use role::Role;
pub use sheet::{GaugeError, GaugeTable, Metal, Spread, WireRule, gauge_table};
pub use shop::{SHOP_FILE, Shop, ShopMaterial};
pub use stop_rules::StopRules;
pub use strength_profile::StrengthProfile;
