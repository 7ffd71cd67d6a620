//! Levers and torques: plain statics.

use super::{Acts, JobLoad, LoadError, force, n4, positive, positive_spread};
use crate::profile::Spread;

/// A force on one arm of a lever, and what the other arm does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lever {
    /// Force on the long arm, N.
    pub force_n: Spread,
    /// Its distance from the pivot, mm.
    pub arm_mm: f64,
    /// Distance from the pivot to where the lever acts, mm.
    pub acts_at_mm: f64,
}

impl Lever {
    /// F = P a / b about the pivot (statics).
    ///
    /// # Errors
    /// Where a number is not positive.
    pub fn load(&self) -> Result<JobLoad, LoadError> {
        let push = positive_spread(self.force_n, "the force on the lever")?;
        let (a, b) = (positive(self.arm_mm, "the arm")?, positive(self.acts_at_mm, "the distance where it acts")?);
        let force_n = push.scaled(a / b);
        let formula =
            format!("F = P a / b = {} × {} mm / {} mm = {}", force(push.likely), n4(a), n4(b), force(force_n.likely));
        let pivot = push.scaled(a / b + 1.0);
        let beside = vec![format!("on the pivot between them: P + F = {}", force(pivot.likely))];
        let minds = vec!["a jerk or a dropped weight asks at least twice this".to_owned()];
        let source = "moments about the pivot (statics)".to_owned();
        Ok(JobLoad { kind: "lever", force_n, formula, source, beside, minds, acts: Acts::Unsaid })
    }
}

/// A torque that acts at a diameter: a bore, a hexagon, a spline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoreTorque {
    /// Torque, N mm.
    pub torque_n_mm: Spread,
    /// Diameter at which it is passed on, mm.
    pub diameter_mm: f64,
}

impl BoreTorque {
    /// F = 2 T / d along the rim (statics).
    ///
    /// # Errors
    /// Where a number is not positive.
    pub fn load(&self) -> Result<JobLoad, LoadError> {
        let torque = positive_spread(self.torque_n_mm, "the torque")?;
        let d = positive(self.diameter_mm, "the diameter")?;
        let force_n = torque.scaled(2.0 / d);
        let formula =
            format!("F = 2 T / d = 2 × {} N m / {} mm = {}", n4(torque.likely / 1000.0), n4(d), force(force_n.likely));
        let minds = vec!["the force is shared by the flats or keys that truly touch: often two of six".to_owned()];
        let source = "moment about the axis (statics)".to_owned();
        let acts = Acts::Twist { torque_n_mm: torque };
        Ok(JobLoad { kind: "torque", force_n, formula, source, beside: Vec::new(), minds, acts })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_lever_multiplies() {
        // Statics by hand: 150 N at 300 mm, acting at 60 mm: 750 N, and 900 N on the pivot.
        let lever = Lever { force_n: Spread::exactly(150.0), arm_mm: 300.0, acts_at_mm: 60.0 };
        let load = lever.load().unwrap();
        assert_relative_eq!(load.force_n.likely, 750.0);
        assert!(load.beside[0].ends_with("900 N"));
        assert!(Lever { acts_at_mm: 0.0, ..lever }.load().is_err());
    }

    #[test]
    fn a_torque_at_a_rim() {
        // Statics by hand: 40 N m at 16 mm: 5 kN along the rim.
        let torque = BoreTorque { torque_n_mm: Spread::exactly(40_000.0), diameter_mm: 16.0 };
        assert_relative_eq!(torque.load().unwrap().force_n.likely, 5000.0);
        assert!(BoreTorque { torque_n_mm: Spread::exactly(-1.0), ..torque }.load().is_err());
    }
}
