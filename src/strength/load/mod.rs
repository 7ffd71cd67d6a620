//! From the job to a force, by handbook formulas, each with its source.
//!
//! ```
//! use beadwise::profile::Spread;
//! use beadwise::strength::load::{Flange, FlangePunch};
//!
//! let flange = Flange {
//!     thickness_mm: 1.0,
//!     yield_mpa: Spread::exactly(200.0),
//!     diameter_mm: 20.0,
//!     hole_mm: 12.0,
//!     pierced: true,
//!     punch: FlangePunch::Flat,
//! };
//! assert!((flange.load()?.force_n.likely - 5529.2).abs() < 0.1);
//! # Ok::<(), beadwise::strength::load::LoadError>(())
//! ```
//!
//! Comes in: what a mechanic knows of the job. Goes out: a [`JobLoad`]: the force as low, likely and high, the
//! formula with the numbers put in, its source, what else to mind, and how the force acts on a printed tool.
//! `low` is the least the job may ask, `high` the most; where sources give one number, all three are the same.

mod bend;
mod bolt;
mod flange;
mod magnet;
mod press_fit;
mod punch;
mod screw;
mod simple;

pub use bend::{Bend, oehler_n, v_die_n};
pub use bolt::{Bolt, BoltSize};
pub use flange::{Flange, FlangePunch};
pub use magnet::{DiscMagnet, MagnetField, pull_n};
pub use press_fit::PressFit;
pub use punch::Punch;
pub use screw::{Screw, ScrewDrive, Thread, ThreadForm, force_from_efficiency, torque_from_efficiency};
pub use simple::{BoreTorque, Lever};

use crate::profile::Spread;
use crate::units::{Force, System, significant};

/// How a force acts on the printed tool, as far as the job tells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Acts {
    /// Presses on a ring: inner and outer diameter, mm.
    Ring {
        /// Inner diameter, mm.
        inner_mm: f64,
        /// Outer diameter, mm.
        outer_mm: f64,
    },
    /// Presses on a round patch: diameter, mm.
    Disc {
        /// Diameter, mm.
        diameter_mm: f64,
    },
    /// Bears on a ring under a bolt's head or washer: hole and outer diameter, mm.
    Bearing {
        /// Hole, mm.
        hole_mm: f64,
        /// Outer diameter, mm.
        outer_mm: f64,
    },
    /// Presses on a strip: length and width, mm.
    Strip {
        /// Length, mm.
        length_mm: f64,
        /// Width, mm.
        width_mm: f64,
    },
    /// Pulls a built-in insert out of its pocket.
    PullOut,
    /// Turns the part: a torque, N mm.
    Twist {
        /// Torque, N mm.
        torque_n_mm: Spread,
    },
    /// The job does not say.
    Unsaid,
}

/// A force that a job asks, with its working.
#[derive(Debug, Clone, PartialEq)]
pub struct JobLoad {
    /// Which job, such as `flange`.
    pub kind: &'static str,
    /// The force, N.
    pub force_n: Spread,
    /// The formula with the numbers put in.
    pub formula: String,
    /// Where the formula and its constants come from.
    pub source: String,
    /// Other numbers of the job: what goes with the force.
    pub beside: Vec<String>,
    /// What to mind about this job.
    pub minds: Vec<String>,
    /// How it acts on the printed tool.
    pub acts: Acts,
}

impl JobLoad {
    /// The force as text: one number, or a range with what is likely.
    #[must_use]
    pub fn force_text(&self, system: System) -> String {
        spread_text(self.force_n, system)
    }

    /// A load case to paste into a profile, or to pipe into a check.
    ///
    /// The high value is what a tool must bear, so that is what the case asks.
    #[must_use]
    pub fn case_toml(&self) -> String {
        let force = significant(self.force_n.high, 5);
        let mut text = format!("[[case]]\nname = \"{}\"\n", self.kind);
        let mut add = |line: &str| {
            text.push_str(line);
            text.push('\n');
        };
        match self.acts {
            Acts::Ring { inner_mm, outer_mm } => {
                add("kind = \"press\"");
                add(&format!("force_n = {force}"));
                add("face = \"top\"");
                add(&format!("ring_mm = [{}, {}]", significant(inner_mm, 5), significant(outer_mm, 5)));
            }
            Acts::Disc { diameter_mm } => {
                add("kind = \"press\"");
                add(&format!("force_n = {force}"));
                add("face = \"top\"");
                add(&format!("disc_mm = {}", significant(diameter_mm, 5)));
            }
            Acts::Bearing { hole_mm, outer_mm } => {
                add("kind = \"bearing\"");
                add(&format!("force_n = {force}"));
                add("face = \"top\"");
                add(&format!("ring_mm = [{}, {}]", significant(hole_mm, 5), significant(outer_mm, 5)));
            }
            Acts::Strip { length_mm, width_mm } => {
                add("kind = \"press\"");
                add(&format!("force_n = {force}"));
                add("face = \"top\"");
                add(&format!("box_mm = [{}, {}]", significant(length_mm, 5), significant(width_mm, 5)));
            }
            Acts::PullOut => {
                add("kind = \"pull-out\"");
                add(&format!("force_n = {force}"));
            }
            Acts::Twist { torque_n_mm } => {
                add("kind = \"twist\"");
                add(&format!("torque_n_mm = {}", significant(torque_n_mm.high, 5)));
                add("axis = \"z\"");
            }
            Acts::Unsaid => {
                add("kind = \"press\"");
                add(&format!("force_n = {force}"));
                add("face = \"top\"");
            }
        }
        text
    }
}

/// Cautions that stand wherever a load is shown.
pub const CAUTIONS: &[&str] = &[
    "printed tooling breaks without warning and throws pieces: wear eye protection and stand clear of the line of force",
    "guard the press; bring the load up slowly, first with nobody near",
    "retire a tool that shows whitening, cracks or set",
    "never for lifting, for supporting people, for pressure vessels or gas fittings under pressure, or where a failure could hurt someone",
    "these are estimates from typical data, not a certification; local codes and a licensed engineer's judgement come first",
];

/// Why a job gives no force.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LoadError {
    /// A number that must be greater than 0.
    #[error("{what} must be greater than 0, not {value}")]
    NotPositive {
        /// Which.
        what: &'static str,
        /// What it is.
        value: f64,
    },
    /// Two numbers that cannot stand together.
    #[error("{0}")]
    Contradiction(String),
    /// Something the formula needs.
    #[error("{what} is missing; {how}")]
    Missing {
        /// What.
        what: &'static str,
        /// How to give it.
        how: &'static str,
    },
    /// A job that is refused.
    #[error("refused: {0}")]
    Refused(String),
}

/// Fails unless `value` is a finite number above 0.
fn positive(value: f64, what: &'static str) -> Result<f64, LoadError> {
    if value > 0.0 && value.is_finite() { Ok(value) } else { Err(LoadError::NotPositive { what, value }) }
}

fn positive_spread(value: Spread, what: &'static str) -> Result<Spread, LoadError> {
    for part in [value.low, value.likely, value.high] {
        positive(part, what)?;
    }
    Ok(value)
}

/// A range in the shop's units, or one number where it is none.
#[must_use]
pub fn spread_text(force: Spread, system: System) -> String {
    let show = |n: f64| Force::from_newtons(n).show(system);
    if force.low == force.high {
        return show(force.likely);
    }
    format!("{} (from {} to {})", show(force.likely), show(force.low), show(force.high))
}

/// Four digits, for formulas.
fn n4(value: f64) -> String {
    significant(value, 4)
}

/// Force in a formula's result.
fn force(newtons: f64) -> String {
    Force::from_newtons(newtons).show(System::Metric)
}
