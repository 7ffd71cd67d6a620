//! Vices and screw clamps: from a torque or a hand on a handle to the clamping force.

use super::{Acts, JobLoad, LoadError, force, n4, positive, positive_spread};
use crate::profile::Spread;
use crate::units::read_number;
use std::f64::consts::PI;

/// Shape of a thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ThreadForm {
    /// Flanks square to the axis.
    Square,
    /// 29 degrees between flanks (ASME B1.5).
    Acme,
    /// 30 degrees between flanks (DIN 103, ISO 2901).
    Trapezoidal,
    /// 60 degrees between flanks: bolts and studs.
    Vee,
}

impl ThreadForm {
    /// Angle of a flank from square, degrees.
    #[must_use]
    pub const fn flank_deg(self) -> f64 {
        match self {
            Self::Square => 0.0,
            Self::Acme => 14.5,
            Self::Trapezoidal => 15.0,
            Self::Vee => 30.0,
        }
    }
}

/// A power screw's thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// Mean diameter, mm.
    pub mean_mm: f64,
    /// Advance in one turn, mm: pitch times starts.
    pub lead_mm: f64,
    /// Shape.
    pub form: ThreadForm,
}

/// Usual trapezoidal threads and their pitch, mm (ISO 2904, from a tribology page, read second-hand).
const TRAPEZOIDAL: &[(f64, f64)] =
    &[(8.0, 1.5), (10.0, 2.0), (12.0, 3.0), (16.0, 4.0), (20.0, 4.0), (24.0, 5.0), (28.0, 5.0), (32.0, 6.0)];

impl Thread {
    /// From outer diameter, pitch and starts; the mean diameter is d - P / 2 (ISO 2904).
    #[must_use]
    pub fn new(outer_mm: f64, pitch_mm: f64, starts: u32, form: ThreadForm) -> Self {
        Self { mean_mm: outer_mm - pitch_mm / 2.0, lead_mm: pitch_mm * f64::from(starts), form }
    }

    /// Reads `Tr20x4` (or `Tr20` for the usual pitch) and `M10x1.5`, single start.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let name = name.trim().to_lowercase();
        let (rest, form) = match (name.strip_prefix("tr"), name.strip_prefix('m')) {
            (Some(rest), _) => (rest, ThreadForm::Trapezoidal),
            (None, Some(rest)) => (rest, ThreadForm::Vee),
            (None, None) => return None,
        };
        let (outer, rest) = read_number(rest)?;
        let pitch = match rest.trim_start_matches(['x', '×', ' ']) {
            "" if form == ThreadForm::Trapezoidal => TRAPEZOIDAL.iter().find(|(d, _)| (d - outer).abs() < 1e-9)?.1,
            "" => super::bolt::coarse_pitch_mm(outer)?,
            pitch => read_number(pitch).filter(|(_, rest)| rest.is_empty())?.0,
        };
        (outer > 0.0 && pitch > 0.0 && pitch < outer).then(|| Self::new(outer, pitch, 1, form))
    }

    /// Friction as an angled flank feels it: f / cos α.
    fn friction(self, friction: f64) -> f64 {
        friction / self.form.flank_deg().to_radians().cos()
    }

    /// Torque for each newton raised, mm: (dm / 2) (l + π f dm) / (π dm - f l); `None` where the thread locks up.
    ///
    /// Source: Shigley's Mechanical Engineering Design, ch. 8, eq. 8-1, angled thread by f / cos α (read second-hand).
    #[must_use]
    pub fn raise_mm(self, friction: f64) -> Option<f64> {
        let (f, dm, l) = (self.friction(friction), self.mean_mm, self.lead_mm);
        let below = PI * dm - f * l;
        (below > 0.0).then(|| dm / 2.0 * (l + PI * f * dm) / below)
    }

    /// Torque for each newton lowered, mm: (dm / 2) (π f dm - l) / (π dm + f l); negative where it runs down alone.
    #[must_use]
    pub fn lower_mm(self, friction: f64) -> f64 {
        let (f, dm, l) = (self.friction(friction), self.mean_mm, self.lead_mm);
        dm / 2.0 * (PI * f * dm - l) / (PI * dm + f * l)
    }
}

/// Torque from an efficiency, N mm: T = F l / (2 π η) (an engineering exam page, read second-hand).
#[must_use]
pub fn torque_from_efficiency(force_n: f64, lead_mm: f64, efficiency: f64) -> f64 {
    force_n * lead_mm / (2.0 * PI * efficiency)
}

/// Force from an efficiency, N: F = 2 π η T / l.
#[must_use]
pub fn force_from_efficiency(torque_n_mm: f64, lead_mm: f64, efficiency: f64) -> f64 {
    torque_n_mm * 2.0 * PI * efficiency / lead_mm
}

/// What turns the screw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ScrewDrive {
    /// A torque, N mm.
    Torque(f64),
    /// A hand on a handle: force, N, and length from the axis, mm.
    Hand {
        /// Force of the hand, N.
        force_n: f64,
        /// Length of the handle from the axis, mm.
        handle_mm: f64,
    },
}

/// A screw that clamps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screw {
    /// Its thread.
    pub thread: Thread,
    /// Friction in the thread, and under the collar.
    pub friction: Spread,
    /// Mean diameter of the collar or ball that the screw turns on, mm; 0 for none.
    pub collar_mm: f64,
    /// What turns it.
    pub drive: ScrewDrive,
}

impl Screw {
    /// Friction of steel on steel or bronze from greasy to dry (from memory).
    pub const USUAL_FRICTION: Spread = Spread { low: 0.10, likely: 0.15, high: 0.20 };

    /// Torque for each newton of clamping force, mm, at one friction.
    ///
    /// T / F = (dm / 2) (l + π f dm) / (π dm - f l) + f dc / 2 (Shigley, eqs. 8-1 and 8-6).
    #[must_use]
    pub fn torque_per_newton_mm(&self, friction: f64) -> Option<f64> {
        Some(self.thread.raise_mm(friction)? + friction * self.collar_mm / 2.0)
    }

    /// The clamping force.
    ///
    /// # Errors
    /// Where a size is not positive, or the thread cannot turn at that friction.
    pub fn load(&self) -> Result<JobLoad, LoadError> {
        positive(self.thread.mean_mm, "the mean diameter of the thread")?;
        positive(self.thread.lead_mm, "the lead of the thread")?;
        positive_spread(self.friction, "the friction")?;
        if !(self.collar_mm >= 0.0 && self.collar_mm.is_finite()) {
            return Err(LoadError::NotPositive { what: "the collar's diameter", value: self.collar_mm });
        }
        let (torque, hand) = match self.drive {
            ScrewDrive::Torque(torque) => (positive(torque, "the torque")?, String::new()),
            ScrewDrive::Hand { force_n, handle_mm } => {
                let torque = positive(force_n, "the hand's force")? * positive(handle_mm, "the handle's length")?;
                (torque, format!("T = {} N × {} mm = {} N m; ", n4(force_n), n4(handle_mm), n4(torque / 1000.0)))
            }
        };
        let locked = || LoadError::Contradiction("the thread cannot be turned with that much friction".to_owned());
        let at = |friction: f64| Some(torque / self.torque_per_newton_mm(friction)?);
        let read = |friction: f64| at(friction).ok_or_else(locked);
        let f = self.friction;
        let force_n = Spread { low: read(f.high)?, likely: read(f.likely)?, high: read(f.low)? };
        let formula = self.formula(torque, force_n.likely, &hand);
        let source = "Shigley's Mechanical Engineering Design, ch. 8, eqs. 8-1 and 8-6, angled thread by f / cos α (read second-hand)";
        Ok(JobLoad {
            kind: "screw",
            force_n,
            formula,
            source: source.to_owned(),
            beside: self.beside(),
            minds: vec![
                "the range is the friction's: a greased screw clamps harder than a dry one at the same pull".to_owned(),
            ],
            acts: Acts::Unsaid,
        })
    }

    fn formula(&self, torque: f64, newtons: f64, hand: &str) -> String {
        let (f, dm, l) = (self.friction.likely, self.thread.mean_mm, self.thread.lead_mm);
        let flank = self.thread.form.flank_deg();
        let bent = if flank > 0.0 { format!(" (f = {} / cos {}°)", n4(f), n4(flank)) } else { String::new() };
        let ft = n4(self.thread.friction(f));
        format!(
            "{hand}F = T / [(dm / 2) (l + π f dm) / (π dm - f l) + f dc / 2] = {} N m / [({} mm / 2) ({} + π × {ft} × {}) / (π × {} - {ft} × \
             {}) + {} × {} mm / 2] = {}{bent}",
            n4(torque / 1000.0),
            n4(dm),
            n4(l),
            n4(dm),
            n4(dm),
            n4(l),
            n4(f),
            n4(self.collar_mm),
            force(newtons)
        )
    }

    fn beside(&self) -> Vec<String> {
        let f = self.friction.likely;
        let holds = self.thread.lower_mm(f) > 0.0;
        let efficiency = self.torque_per_newton_mm(f).map(|t| self.thread.lead_mm / (2.0 * PI * t));
        let mut beside = Vec::new();
        if let Some(efficiency) = efficiency {
            beside.push(format!("efficiency l / (2 π T / F) = {}", n4(efficiency)));
        }
        beside.push(
            if holds { "the thread holds by itself" } else { "the thread runs back by itself: it needs a brake" }
                .to_owned(),
        );
        beside
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    fn square(mean_mm: f64, lead_mm: f64) -> Thread {
        Thread { mean_mm, lead_mm, form: ThreadForm::Square }
    }

    #[test]
    fn shigley_example_8_1() {
        // d 32, p 4, double start, dm 30, f = fc 0.08, dc 40, F 6.4 kN: 26.18 and 9.77 N m, efficiency 0.311.
        let thread = Thread::new(32.0, 4.0, 2, ThreadForm::Square);
        assert_relative_eq!(thread.mean_mm, 30.0);
        let collar = 0.08 * 40.0 / 2.0;
        let raise = 6400.0 * (thread.raise_mm(0.08).unwrap() + collar);
        assert_relative_eq!(raise, 26_177.0, max_relative = 1e-4);
        assert_relative_eq!(6400.0 * (thread.lower_mm(0.08) + collar), 9774.0, max_relative = 1e-4);
        assert_relative_eq!(6400.0 * 8.0 / (2.0 * PI * raise), 0.3113, max_relative = 1e-3);
    }

    #[test]
    fn vice_and_arbor_press_examples() {
        // Calculator page: dm 10, l 2.5, friction 0.25, dc 18, F 900 N: 3.538 N m (1.513 thread + 2.025 collar).
        let vice = square(10.0, 2.5);
        assert_relative_eq!(900.0 * vice.raise_mm(0.25).unwrap(), 1513.0, max_relative = 5e-4);
        assert_relative_eq!(900.0 * (vice.raise_mm(0.25).unwrap() + 0.25 * 9.0), 3538.0, max_relative = 5e-4);
        // Textbook problem: d 20, p 4, F 5 kN, f = fc 0.09, dc 30: 14.03 N m (7.28 + 6.75), 7.61 N m down, 0.227.
        let press = Thread::new(20.0, 4.0, 1, ThreadForm::Square);
        assert_relative_eq!(5000.0 * press.raise_mm(0.09).unwrap(), 7280.0, max_relative = 1e-3);
        assert_relative_eq!(5000.0 * (press.raise_mm(0.09).unwrap() + 0.09 * 15.0), 14_030.0, max_relative = 1e-3);
        assert_relative_eq!(5000.0 * (press.lower_mm(0.09) + 0.09 * 15.0), 7610.0, max_relative = 1e-3);
    }

    #[test]
    fn a_hand_on_a_bench_vice() {
        // Tr20x4, f 0.15, collar 0.15 on 25 mm: T/F 3.932 mm; 200 N on 200 mm gives 10.2 kN (1.14 US ton).
        let screw = Screw {
            thread: Thread::named("Tr20x4").unwrap(),
            friction: Spread::exactly(0.15),
            collar_mm: 25.0,
            drive: ScrewDrive::Hand { force_n: 200.0, handle_mm: 200.0 },
        };
        assert_relative_eq!(screw.torque_per_newton_mm(0.15).unwrap(), 3.932, max_relative = 2e-4);
        let load = screw.load().unwrap();
        assert_relative_eq!(load.force_n.likely, 10_170.0, max_relative = 1e-3);
        assert_relative_eq!(load.force_n.likely / 8896.443, 1.14, max_relative = 5e-3);
        assert!(load.beside.iter().any(|b| b == "the thread holds by itself"));
    }

    #[test]
    fn efficiency_both_ways() {
        // Exam page: F 20 kN, lead 10 mm, efficiency 0.70: 45.473 N m.
        assert_relative_eq!(torque_from_efficiency(20_000.0, 10.0, 0.7), 45_473.0, max_relative = 1e-4);
        assert_relative_eq!(force_from_efficiency(45_473.0, 10.0, 0.7), 20_000.0, max_relative = 1e-4);
    }

    #[test]
    fn threads_by_name() {
        for (name, mean, lead) in [("Tr8", 7.25, 1.5), ("tr 16x4", 14.0, 4.0), ("Tr32", 29.0, 6.0), ("M10", 9.25, 1.5)]
        {
            let thread = Thread::named(name).unwrap();
            assert_relative_eq!(thread.mean_mm, mean);
            assert_relative_eq!(thread.lead_mm, lead);
        }
        for wrong in ["Tr", "Tr21", "20x4", "Tr20x-4", "Tr4x20", "M11", "Tr20x4mm"] {
            assert!(Thread::named(wrong).is_none(), "{wrong}");
        }
    }

    proptest::proptest! {
        /// Self-locking exactly where f / cos α > l / (π dm) (Shigley, from memory).
        #[test]
        fn self_locking_by_the_lead_angle(mean in 5.0f64..50.0, lead in 0.5f64..30.0, friction in 0.02f64..0.4) {
            let thread = Thread { mean_mm: mean, lead_mm: lead, form: ThreadForm::Trapezoidal };
            let locks = friction / 15f64.to_radians().cos() > lead / (PI * mean);
            proptest::prop_assert_eq!(thread.lower_mm(friction) > 0.0, locks);
        }
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let good = Screw {
            thread: square(18.0, 4.0),
            friction: Screw::USUAL_FRICTION,
            collar_mm: 25.0,
            drive: ScrewDrive::Torque(40_000.0),
        };
        let range = good.load().unwrap().force_n;
        assert!(range.low < range.likely && range.likely < range.high);
        assert!(Screw { collar_mm: -1.0, ..good }.load().is_err());
        assert!(Screw { drive: ScrewDrive::Torque(0.0), ..good }.load().is_err());
        assert!(Screw { thread: square(1.0, 40.0), ..good }.load().is_err(), "locks up");
    }
}
