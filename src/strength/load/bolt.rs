//! A bolt pulled up by a torque, and what its head does to plastic.

use super::{Acts, JobLoad, LoadError, force, n4, positive};
use crate::profile::{Insert, Spread};
use crate::units::read_number;
use std::f64::consts::{FRAC_PI_4, PI};

/// A bolt's size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltSize {
    /// Nominal diameter, mm.
    pub diameter_mm: f64,
    /// Pitch, mm.
    pub pitch_mm: f64,
}

/// Coarse pitch of an M thread, mm (ISO 261, by the built-in nuts).
pub(super) fn coarse_pitch_mm(diameter_mm: f64) -> Option<f64> {
    let size = crate::units::significant(diameter_mm, 3);
    Insert::load(&format!("m{size}-nut")).ok()?.pitch_mm
}

impl BoltSize {
    /// Reads `M10` (coarse) or `M10x1.25`.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let (diameter_mm, rest) = read_number(name.trim().strip_prefix(['M', 'm'])?)?;
        let pitch_mm = match rest.trim_start_matches(['x', 'X', '×', ' ']) {
            "" => coarse_pitch_mm(diameter_mm)?,
            pitch => read_number(pitch).filter(|(_, rest)| rest.is_empty())?.0,
        };
        (diameter_mm > 0.0 && pitch_mm > 0.0 && pitch_mm < diameter_mm / 2.0).then_some(Self { diameter_mm, pitch_mm })
    }

    /// Tensile stress area, mm²: π / 4 (d - 0.9382 P)² (ISO 898-1, read second-hand).
    #[must_use]
    pub fn stress_area_mm2(self) -> f64 {
        FRAC_PI_4 * (self.diameter_mm - 0.9382 * self.pitch_mm).powi(2)
    }

    /// The nut of this size, for its width and clearance hole.
    fn nut(self) -> Option<Insert> {
        Insert::load(&format!("m{}-nut", crate::units::significant(self.diameter_mm, 3))).ok()
    }
}

/// A bolt pulled up by a torque.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bolt {
    /// Its size.
    pub size: BoltSize,
    /// Torque on it, N mm.
    pub torque_n_mm: f64,
    /// Torque factor K; about 0.20 for plain steel.
    pub factor: f64,
    /// Proof strength, MPa, if it is to be held against it.
    pub proof_mpa: Option<f64>,
    /// Outer diameter of the head or washer that bears on the part, mm; `None` for a bare hexagon.
    pub washer_mm: Option<f64>,
}

impl Bolt {
    /// Torque factor of plain steel (Shigley; calculators).
    pub const PLAIN_STEEL: f64 = 0.20;
    /// Torque control scatters by at least a quarter (a calculator page's band).
    const SCATTER: f64 = 0.25;

    /// The pull F = T / (K d), 25 % either way.
    ///
    /// # Errors
    /// Where a number is not positive.
    pub fn load(&self) -> Result<JobLoad, LoadError> {
        let torque = positive(self.torque_n_mm, "the torque")?;
        let factor = positive(self.factor, "the torque factor")?;
        let d = positive(self.size.diameter_mm, "the diameter")?;
        let pull = torque / (factor * d);
        let force_n = Spread { low: pull * (1.0 - Self::SCATTER), likely: pull, high: pull * (1.0 + Self::SCATTER) };
        let formula =
            format!("F = T / (K d) = {} N m / ({} × {} mm) = {}", n4(torque / 1000.0), n4(factor), n4(d), force(pull));
        let area = self.size.stress_area_mm2();
        let mut beside =
            vec![format!("stress in the bolt: F / A = {} / {} mm² = {} MPa", force(pull), n4(area), n4(pull / area))];
        if let Some(proof) = self.proof_mpa {
            let share = pull / area / positive(proof, "the proof strength")?;
            beside.push(format!("{} % of its proof load {}", n4(100.0 * share), force(proof * area)));
        }
        let (hole, outer) = self.bears_on();
        let bearing = PI / 4.0 * (outer.powi(2) - hole.powi(2));
        positive(bearing, "the area under the head (outer diameter less hole)")?;
        beside.push(format!(
            "on the plastic under the head: {} over a ring {} to {} mm = {} MPa",
            force(force_n.high),
            n4(hole),
            n4(outer),
            n4(force_n.high / bearing)
        ));
        let minds = vec![
            "torque control scatters by at least 25 % either way".to_owned(),
            "never pull a bolt in plastic to the steel's torque: the plastic under the head decides, and it creeps"
                .to_owned(),
        ];
        let source = "T = K F d with K about 0.20 for plain steel: Shigley, calculator pages (read second-hand); stress area: ISO 898-1";
        let acts = Acts::Bearing { hole_mm: hole, outer_mm: outer };
        Ok(JobLoad { kind: "bolt", force_n, formula, source: source.to_owned(), beside, minds, acts })
    }

    /// Hole and outer diameter of what bears on the part, mm: the washer, or the circle within a hexagon's flats.
    fn bears_on(&self) -> (f64, f64) {
        let d = self.size.diameter_mm;
        let nut = self.size.nut();
        let hole = nut.as_ref().and_then(|n| n.clearance_hole_mm).unwrap_or(1.1 * d);
        let flats = nut.and_then(|n| n.across_flats_mm).unwrap_or(1.5 * d);
        (hole, self.washer_mm.unwrap_or(flats))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    fn bolt(name: &str, torque_n_mm: f64, proof: f64) -> Bolt {
        Bolt {
            size: BoltSize::named(name).unwrap(),
            torque_n_mm,
            factor: Bolt::PLAIN_STEEL,
            proof_mpa: Some(proof),
            washer_mm: None,
        }
    }

    #[test]
    fn stress_areas_are_as_published() {
        // ISO 898-1 formula on a calculator page, mm².
        for (name, area) in
            [("M3", 5.03), ("M4", 8.78), ("M5", 14.2), ("M6", 20.1), ("M8", 36.6), ("M10", 58.0), ("M12", 84.3)]
        {
            let size = BoltSize::named(name).unwrap();
            assert_abs_diff_eq!(size.stress_area_mm2(), area, epsilon = 0.05);
        }
    }

    #[test]
    fn published_examples() {
        // Calculator page: M10 8.8, K 0.2, 50 N m: 25.0 kN, 431 MPa, 72 % of 34.8 kN (proof 600 MPa).
        let m10 = bolt("M10", 50_000.0, 600.0);
        let pull = m10.load().unwrap().force_n;
        assert_relative_eq!(pull.likely, 25_000.0);
        let area = m10.size.stress_area_mm2();
        assert_relative_eq!(pull.likely / area, 431.0, max_relative = 1e-3);
        assert_relative_eq!(600.0 * area, 34_800.0, max_relative = 1e-3);
        // 75 % of proof asks 52.2 N m.
        assert_relative_eq!(0.75 * 600.0 * area * 0.2 * 10.0, 52_200.0, max_relative = 1e-3);
        // M12 8.8, proof 580 MPa, 70 %, K 0.2: 34.2 kN, 82 N m (34 226 N and 82.14 N m computed).
        let m12 = bolt("M12", 82_142.0, 580.0);
        assert_relative_eq!(m12.load().unwrap().force_n.likely, 34_226.0, max_relative = 1e-4);
        assert_relative_eq!(0.7 * 580.0 * m12.size.stress_area_mm2(), 34_226.0, max_relative = 5e-4);
    }

    #[test]
    fn scatter_is_shown_and_the_plastic_is_named() {
        let load = bolt("M5", 2000.0, 580.0).load().unwrap();
        assert_relative_eq!(load.force_n.low / load.force_n.likely, 0.75);
        assert_relative_eq!(load.force_n.high / load.force_n.likely, 1.25);
        assert_eq!(load.acts, Acts::Bearing { hole_mm: 5.5, outer_mm: 8.0 });
        assert!(load.minds.iter().any(|m| m.contains("plastic")));
    }

    #[test]
    fn sizes_by_name() {
        assert_relative_eq!(BoltSize::named("m10x1.25").unwrap().pitch_mm, 1.25);
        assert_relative_eq!(BoltSize::named("M2.5").unwrap().pitch_mm, 0.45);
        for wrong in ["10", "M", "M7", "M10x0", "M10x9", "M10 fine"] {
            assert!(BoltSize::named(wrong).is_none(), "{wrong}");
        }
    }
}
