//! A pin or bearing pressed into a printed bore.

use super::{Acts, JobLoad, LoadError, force, n4, positive, positive_spread};
use crate::profile::Spread;
use std::f64::consts::PI;

/// A solid steel piece pressed into a plastic hub.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressFit {
    /// Diameter of the joint d, mm.
    pub diameter_mm: f64,
    /// Interference δ on the diameter, mm.
    pub interference_mm: f64,
    /// Outer diameter of the hub D, mm.
    pub hub_mm: f64,
    /// Length of the joint L, mm.
    pub length_mm: f64,
    /// Stiffness of the hub, MPa.
    pub stiffness_mpa: Spread,
    /// Poisson's ratio of the hub.
    pub poisson: f64,
    /// Stiffness of the piece, MPa, and its Poisson's ratio.
    pub piece: (f64, f64),
    /// Friction of the joint.
    pub friction: Spread,
}

impl PressFit {
    /// Steel: 210 GPa, 0.30 (EN 10025 values on an open material card, read second-hand).
    pub const STEEL: (f64, f64) = (210_000.0, 0.30);
    /// Steel on plastic, from smooth to rough (from memory).
    pub const USUAL_FRICTION: Spread = Spread { low: 0.10, likely: 0.20, high: 0.30 };

    /// Pressure in the joint, MPa, for one stiffness of the hub.
    ///
    /// p = δ / {d [((D² + d²) / (D² - d²) + ν) / E + (1 - νi) / Ei]}: thick cylinders after Lamé, solid inner piece
    /// (Shigley's Mechanical Engineering Design, eq. 3-56, from memory).
    #[must_use]
    pub fn pressure_mpa(&self, stiffness_mpa: f64) -> f64 {
        let (outer, d) = (self.hub_mm.powi(2), self.diameter_mm.powi(2));
        let hub = ((outer + d) / (outer - d) + self.poisson) / stiffness_mpa;
        let piece = (1.0 - self.piece.1) / self.piece.0;
        self.interference_mm / (self.diameter_mm * (hub + piece))
    }

    /// Hoop stress at the bore, MPa, for a pressure: p (D² + d²) / (D² - d²).
    #[must_use]
    pub fn hoop_mpa(&self, pressure_mpa: f64) -> f64 {
        let (outer, d) = (self.hub_mm.powi(2), self.diameter_mm.powi(2));
        pressure_mpa * (outer + d) / (outer - d)
    }

    /// The force to press it in (and out): F = f p π d L.
    ///
    /// # Errors
    /// Where a number is not positive, or the hub is not larger than the joint.
    pub fn load(&self) -> Result<JobLoad, LoadError> {
        let d = positive(self.diameter_mm, "the diameter")?;
        let length = positive(self.length_mm, "the length")?;
        positive(self.interference_mm, "the interference")?;
        let stiffness = positive_spread(self.stiffness_mpa, "the stiffness")?;
        let friction = positive_spread(self.friction, "the friction")?;
        if !(self.hub_mm > d && self.hub_mm.is_finite()) {
            let message = format!("the hub ({} mm) must be larger than the joint ({} mm)", n4(self.hub_mm), n4(d));
            return Err(LoadError::Contradiction(message));
        }
        let pressure = Spread {
            low: self.pressure_mpa(stiffness.low),
            likely: self.pressure_mpa(stiffness.likely),
            high: self.pressure_mpa(stiffness.high),
        };
        let force_n = pressure.times(friction).scaled(PI * d * length);
        let formula = format!(
            "p = δ / {{d [((D² + d²) / (D² - d²) + ν) / E + (1 - νi) / Ei]}} = {} MPa with δ = {} mm, d = {} mm, D = {} mm, E = {} MPa; \
             F = f p π d L = {} × {} MPa × π × {} mm × {} mm = {}",
            n4(pressure.likely),
            n4(self.interference_mm),
            n4(d),
            n4(self.hub_mm),
            n4(stiffness.likely),
            n4(friction.likely),
            n4(pressure.likely),
            n4(d),
            n4(length),
            force(force_n.likely)
        );
        let beside = vec![format!("hoop stress at the bore: {} MPa", n4(self.hoop_mpa(pressure.likely)))];
        let minds = vec![
            "plastic relaxes: after some days the joint holds a fraction of this".to_owned(),
            "the hoop stress runs along the beads of round walls; a hub with few walls splits".to_owned(),
        ];
        let source = "thick cylinders after Lamé: Shigley's Mechanical Engineering Design, eq. 3-56 (from memory); friction from memory";
        let acts = Acts::Ring { inner_mm: d, outer_mm: self.hub_mm };
        Ok(JobLoad { kind: "press-fit", force_n, formula, source: source.to_owned(), beside, minds, acts })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    fn bearing() -> PressFit {
        PressFit {
            diameter_mm: 22.0,
            interference_mm: 0.1,
            hub_mm: 34.0,
            length_mm: 7.0,
            stiffness_mpa: Spread::exactly(1900.0),
            poisson: 0.38,
            piece: PressFit::STEEL,
            friction: Spread::exactly(0.2),
        }
    }

    #[test]
    fn one_material_has_a_closed_form() {
        // Shigley, eq. 3-57 (from memory): both of one material, p = E δ (D² - d²) / (2 d D²) for a solid piece.
        let fit = PressFit { piece: (1900.0, 0.38), ..bearing() };
        let closed = 1900.0 * 0.1 * (34f64.powi(2) - 22f64.powi(2)) / (2.0 * 22.0 * 34f64.powi(2));
        assert_relative_eq!(fit.pressure_mpa(1900.0), closed, max_relative = 1e-12);
    }

    #[test]
    fn a_thin_ring_is_a_thin_ring() {
        // Thin ring on a rigid pin (statics): strain δ / d, so p = 2 t E δ / d² within the ring's thickness ratio.
        let fit = PressFit { hub_mm: 22.0 + 0.02, piece: (1e15, 0.0), ..bearing() };
        assert_relative_eq!(fit.pressure_mpa(1900.0), 2.0 * 0.01 * 1900.0 * 0.1 / 22f64.powi(2), max_relative = 2e-3);
    }

    #[test]
    fn force_and_hoop_by_hand() {
        // By hand: (34² + 22²) / (34² - 22²) = 2.44048; p = 0.1 / (22 (2.82048 / 1900 + 0.7 / 210000)) = 3.0552 MPa.
        let fit = bearing();
        assert_relative_eq!(fit.pressure_mpa(1900.0), 3.0552, max_relative = 1e-4);
        assert_relative_eq!(fit.hoop_mpa(3.0552), 7.4561, max_relative = 1e-4);
        assert_relative_eq!(fit.load().unwrap().force_n.likely, 0.2 * 3.0552 * PI * 22.0 * 7.0, max_relative = 1e-4);
        assert!(PressFit { hub_mm: 22.0, ..fit }.load().is_err());
    }
}
