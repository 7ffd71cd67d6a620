//! Loads from the job, capacities from the beads, weakest places and reserves.
//!
//! ```text
//! job ──load──> force      measures, patch, material, case ──check──> every mode: capacity, place, working
//!                                                                     the weakest governs; reserve = capacity / load
//! ```
//!
//! Comes in: what a mechanic knows of the job ([`load`]); the measures of a part, a material and a load case.
//! Goes out: forces with their working; capacities by every mode, the governing one with its place, and reserves on
//! low and typical values. What cannot be said is undetermined, with the reason; it never passes.
//!
//! How far to trust it: absolute strength not better than 30 % without coupons of one's own; the order of slices and the
//! weakest place much better. The half-way law of sparse cores was calibrated on two published tables (see the tests);
//! the low law, which verdicts use, was not, but the density from which fill counts as solid, 88 %, was chosen after
//! the first of them was seen (`measure::collect`).

pub mod across;
mod allow;
pub mod along;
mod askew;
mod capacity;
mod check;
pub mod law;
pub mod load;
mod pressed;
mod pull_out;
pub mod twist;

pub use allow::Allowable;
pub use capacity::{Capacity, CaseResult, Holds, Mode, Place};
pub use check::{check_cases, judge_cases, looks_of};
pub use pressed::{Pressed, pressed, pressed_side};
