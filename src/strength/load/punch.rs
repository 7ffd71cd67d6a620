//! Punching and blanking: a punch shears a slug out of the sheet.

use super::{Acts, JobLoad, LoadError, force, n4, positive, positive_spread};
use crate::profile::Spread;
use std::f64::consts::PI;

/// A cut through sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Punch {
    /// Sheet thickness t, mm.
    pub thickness_mm: f64,
    /// Shear strength of the sheet, MPa.
    pub shear_mpa: Spread,
    /// Length of the cut L, mm.
    pub cut_mm: f64,
    /// Diameter, where the cut is round, mm.
    pub diameter_mm: Option<f64>,
    /// Clearance on each side as a share of the thickness (0.045 soft aluminium, 0.060 soft steel, 0.075 half-hard).
    pub clearance_share: Option<f64>,
}

impl Punch {
    /// A round hole or blank.
    #[must_use]
    pub fn round(thickness_mm: f64, shear_mpa: Spread, diameter_mm: f64) -> Self {
        let cut_mm = PI * diameter_mm;
        Self { thickness_mm, shear_mpa, cut_mm, diameter_mm: Some(diameter_mm), clearance_share: None }
    }

    /// The cutting force F = L t τ; stripping 10 to 20 % of it; clearance c = a t.
    ///
    /// Sources: any press-tool text; stripping: two press-tool lectures; clearance: Groover's table.
    ///
    /// # Errors
    /// Where a size is not positive.
    pub fn load(&self) -> Result<JobLoad, LoadError> {
        let t = positive(self.thickness_mm, "the thickness")?;
        let cut = positive(self.cut_mm, "the length of the cut")?;
        let shear = positive_spread(self.shear_mpa, "the shear strength")?;
        let force_n = shear.scaled(cut * t);
        let length = match self.diameter_mm {
            Some(d) => format!("π × {} mm", n4(d)),
            None => format!("{} mm", n4(cut)),
        };
        let result = force(force_n.likely);
        let formula = format!("F = L t τ = {length} × {} mm × {} MPa = {result}", n4(t), n4(shear.likely));
        let mut beside = vec![format!(
            "to strip the sheet off the punch: {} to {}",
            force(0.1 * force_n.likely),
            force(0.2 * force_n.likely)
        )];
        if let Some(share) = self.clearance_share {
            let clearance = positive(share, "the clearance share")? * t;
            beside.push(format!("clearance on each side: c = {} × {} mm = {} mm", n4(share), n4(t), n4(clearance)));
        }
        let source = "F = L t τ: any press-tool text; stripping 10 % and 20 %: two press-tool lectures (read second-hand); clearance: \
                      Groover, Fundamentals of Modern Manufacturing, table of allowances (read second-hand)";
        let minds = vec![
            "a printed punch does not cut steel: this is the force that its holder, stripper or die bed meets"
                .to_owned(),
        ];
        let acts = match self.diameter_mm {
            Some(diameter_mm) => Acts::Disc { diameter_mm },
            None => Acts::Unsaid,
        };
        Ok(JobLoad { kind: "punch", force_n, formula, source: source.to_owned(), beside, minds, acts })
    }

    /// Clearance on each side, mm, where its share is known.
    #[must_use]
    pub fn clearance_mm(&self) -> Option<f64> {
        self.clearance_share.map(|share| share * self.thickness_mm)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    fn force_of(d: f64, t: f64, shear: f64) -> f64 {
        Punch::round(t, Spread::exactly(shear), d).load().unwrap().force_n.likely
    }

    #[test]
    fn published_examples() {
        // Exam question bank: d 20, t 1.5, 300 MPa: 28.3 kN (28.274 computed).
        assert_relative_eq!(force_of(20.0, 1.5, 300.0), 28_274.0, max_relative = 1e-3);
        // Worked problem: d 10, t 5, 276 MPa: 43 354 N.
        assert_relative_eq!(force_of(10.0, 5.0, 276.0), 43_354.0, max_relative = 1e-4);
        // Groover-type problem: d 200, t 3.0, 300 MPa, a 0.075: c 0.225 mm, F 565.5 kN.
        let blank = Punch { clearance_share: Some(0.075), ..Punch::round(3.0, Spread::exactly(300.0), 200.0) };
        assert_relative_eq!(blank.load().unwrap().force_n.likely, 565_500.0, max_relative = 1e-4);
        assert_relative_eq!(blank.clearance_mm().unwrap(), 0.225);
        // Groover, example 20.1 (from memory): d 150, t 3.2, 310 MPa: c 0.24 mm, 467 469 N.
        let blank = Punch { clearance_share: Some(0.075), ..Punch::round(3.2, Spread::exactly(310.0), 150.0) };
        assert_relative_eq!(blank.load().unwrap().force_n.likely, 467_469.0, max_relative = 1e-5);
        assert_relative_eq!(blank.clearance_mm().unwrap(), 0.24);
    }

    #[test]
    fn stripping_is_a_range() {
        // Two lectures: L 126, t 2, 400 MPa: 100.80 kN, and 120.96 kN with 20 % stripping; the other says 10 %.
        let cut = Punch { cut_mm: 126.0, diameter_mm: None, ..Punch::round(2.0, Spread::exactly(400.0), 1.0) };
        let load = cut.load().unwrap();
        assert_relative_eq!(load.force_n.likely, 100_800.0);
        assert_relative_eq!(1.2 * load.force_n.likely, 120_960.0);
        assert!(load.beside[0].ends_with("10.08 kN to 20.16 kN"), "{:?}", load.beside);
    }

    #[test]
    fn mild_steel_by_the_machinists_chart() {
        // Chart, US tons for an inch of cut: it back-solves to 50 to 58 ksi, so 50 ksi lies within -15 and +2 %.
        for (inches, tons) in [(0.0359, 1.01), (0.0478, 1.25), (0.0598, 1.75), (0.25, 6.25), (0.375, 9.5), (0.5, 12.5)]
        {
            let cut =
                Punch { cut_mm: 25.4, diameter_mm: None, ..Punch::round(inches * 25.4, Spread::exactly(344.738), 1.0) };
            let ratio = cut.load().unwrap().force_n.likely / 8896.443 / tons;
            assert!((0.85..=1.02).contains(&ratio), "{inches} in: {ratio}");
        }
    }

    #[test]
    fn what_cannot_be_is_refused() {
        assert!(Punch::round(0.0, Spread::exactly(300.0), 20.0).load().is_err());
        assert!(Punch::round(1.0, Spread::exactly(f64::NAN), 20.0).load().is_err());
        assert!(
            Punch { clearance_share: Some(-0.1), ..Punch::round(1.0, Spread::exactly(300.0), 20.0) }.load().is_err()
        );
    }
}
