//! Capacities against theory, against published print tests, and against what shops see.

mod cases;
mod cells;
mod die;
mod published;
mod specimen;
mod theory;
