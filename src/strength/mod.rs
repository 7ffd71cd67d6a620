//! Loads from the job, capacities from the beads, weakest places and reserves.
//!
//! Comes in: what a mechanic knows of the job ([`load`]); the measures of a part, a material and a load case.
//! Goes out: forces with their working; capacities by every mode, the governing one with its place, and reserves on
//! low and typical values.

pub mod load;
