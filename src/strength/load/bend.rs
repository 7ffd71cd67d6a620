//! Bending sheet in a V die.
//!
//! ```text
//!        \ punch /
//!   ______\  |  /______    t: thickness, w: length of the bend
//!   |      \ | /      |    W: opening of the die
//!   |<----- \ / ----->|
//! ```

use super::{Acts, JobLoad, LoadError, force, n4, positive, positive_spread};
use crate::profile::Spread;

/// A bend in a V die.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bend {
    /// Sheet thickness t, mm.
    pub thickness_mm: f64,
    /// Tensile strength of the sheet, MPa.
    pub tensile_mpa: Spread,
    /// Length of the bend w, mm.
    pub length_mm: f64,
    /// Opening of the die W, mm.
    pub opening_mm: f64,
    /// Stroke of the punch, mm, for the work.
    pub stroke_mm: Option<f64>,
}

/// V die, F = K R w t² / W with K = 1.33 (Groover ch. 20; Kalpakjian; read second-hand), N.
#[must_use]
pub fn v_die_n(tensile_mpa: f64, length_mm: f64, thickness_mm: f64, opening_mm: f64) -> f64 {
    1.33 * tensile_mpa * length_mm * thickness_mm.powi(2) / opening_mm
}

/// Oehler's rule, F = (1 + 4 t / W) R w t² / W (Lange, Umformtechnik Blechbearbeitung, 2nd ed., Springer 1990, read
/// second-hand), N; holds for t 0.5 to 10 mm and W / t from 5 to 20.
#[must_use]
pub fn oehler_n(tensile_mpa: f64, length_mm: f64, thickness_mm: f64, opening_mm: f64) -> f64 {
    (1.0 + 4.0 * thickness_mm / opening_mm) * tensile_mpa * length_mm * thickness_mm.powi(2) / opening_mm
}

impl Bend {
    /// The bending force by both published rules; likely is their mean.
    ///
    /// # Errors
    /// Where a size is not positive.
    pub fn load(&self) -> Result<JobLoad, LoadError> {
        let t = positive(self.thickness_mm, "the thickness")?;
        let w = positive(self.length_mm, "the length of the bend")?;
        let opening = positive(self.opening_mm, "the die's opening")?;
        let tensile = positive_spread(self.tensile_mpa, "the tensile strength")?;
        let both = |r: f64| (v_die_n(r, w, t, opening), oehler_n(r, w, t, opening));
        let (low, likely, high) = (both(tensile.low), both(tensile.likely), both(tensile.high));
        let force_n = Spread { low: low.0.min(low.1), likely: (likely.0 + likely.1) / 2.0, high: high.0.max(high.1) };
        let (r, t4, w4, o4) = (n4(tensile.likely), n4(t), n4(w), n4(opening));
        let formula = format!(
            "F = 1.33 R w t² / W = 1.33 × {r} MPa × {w4} mm × ({t4} mm)² / {o4} mm = {}; by Oehler F = (1 + 4 t / W) R w t² / W = \
             (1 + 4 × {t4} / {o4}) × {r} MPa × {w4} mm × ({t4} mm)² / {o4} mm = {}",
            force(likely.0),
            force(likely.1)
        );
        let source = "K = 1.33: Groover, ch. 20, Kalpakjian (read second-hand); Oehler: online sheet-forming handbook after Lange, \
                      Umformtechnik Blechbearbeitung, 2nd ed., Springer 1990 (read second-hand)";
        let acts = Acts::Strip { length_mm: w, width_mm: 2.0 * t };
        let (beside, minds) = (self.beside(), self.minds(opening / t));
        Ok(JobLoad { kind: "bend", force_n, formula, source: source.to_owned(), beside, minds, acts })
    }

    /// Work of the bend by Oehler's force, F h m with m = 0.75 (same handbook), J.
    #[must_use]
    pub fn work_j(&self) -> Option<f64> {
        let force = oehler_n(self.tensile_mpa.likely, self.length_mm, self.thickness_mm, self.opening_mm);
        self.stroke_mm.map(|stroke| force * stroke / 1000.0 * 0.75)
    }

    fn beside(&self) -> Vec<String> {
        let mut beside = vec![format!(
            "a die for this sheet opens about 8 t = {} mm (6 to 12 t); inside radius about W / 6 = {} mm; shortest leg about 0.7 W = {} mm \
             (press-brake practice, from memory)",
            n4(8.0 * self.thickness_mm),
            n4(self.opening_mm / 6.0),
            n4(0.7 * self.opening_mm)
        )];
        if let Some(work) = self.work_j() {
            beside.push(format!("work of the bend: F h × 0.75 = {} J", n4(work)));
        }
        beside
    }

    fn minds(&self, ratio: f64) -> Vec<String> {
        let mut minds = vec!["springback cannot be reckoned reliably: over-bend and try".to_owned()];
        if !(5.0..=20.0).contains(&ratio) || !(0.5..=10.0).contains(&self.thickness_mm) {
            minds.push(format!("W / t is {}: Oehler's rule holds for 5 to 20 and sheet of 0.5 to 10 mm", n4(ratio)));
        }
        minds
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn published_examples() {
        // Calculator page: K 1.33, L 3 in, 50 tons/in², t 1.5 in, d 12 in: 37.40625 in its own units.
        assert_relative_eq!(v_die_n(50.0, 3.0, 1.5, 12.0), 37.406_25, max_relative = 1e-12);
        // Groover, example 20.2 (from memory): 450 MPa, w 44.5, t 3.2, D 25 mm: 10 909 N (2452 lbf).
        assert_relative_eq!(v_die_n(450.0, 44.5, 3.2, 25.0), 10_908.98, max_relative = 1e-6);
        assert_relative_eq!(v_die_n(450.0, 44.5, 3.2, 25.0) / 4.448_221_6, 2452.0, max_relative = 1e-3);
        // Handbook after Lange: Rm 310, t 1, W 10, w 100: 4.34 kN; stroke 15 mm: 48.8 J.
        assert_relative_eq!(oehler_n(310.0, 100.0, 1.0, 10.0), 4340.0, max_relative = 1e-12);
        let bend = Bend {
            thickness_mm: 1.0,
            tensile_mpa: Spread::exactly(310.0),
            length_mm: 100.0,
            opening_mm: 10.0,
            stroke_mm: Some(15.0),
        };
        assert_relative_eq!(bend.work_j().unwrap(), 48.8, max_relative = 1e-3);
        let load = bend.load().unwrap();
        assert_relative_eq!(load.force_n.high, 4340.0, max_relative = 1e-12);
        assert_relative_eq!(load.force_n.low, 4123.0, max_relative = 1e-12);
    }

    #[test]
    fn the_two_rules_meet_and_part() {
        // From the two formulas: equal at W = 12.12 t; at W = 8 t Oehler is 13 % higher.
        let ratio = |w: f64| oehler_n(300.0, 50.0, 2.0, 2.0 * w) / v_die_n(300.0, 50.0, 2.0, 2.0 * w);
        assert_relative_eq!(ratio(4.0 / 0.33), 1.0, max_relative = 1e-12);
        assert_relative_eq!(ratio(8.0), 1.128, max_relative = 1e-3);
    }

    #[test]
    fn out_of_range_is_said() {
        let bend = Bend {
            thickness_mm: 1.0,
            tensile_mpa: Spread::exactly(310.0),
            length_mm: 100.0,
            opening_mm: 30.0,
            stroke_mm: None,
        };
        assert!(bend.load().unwrap().minds.iter().any(|m| m.contains("W / t is 30")));
        assert!(Bend { opening_mm: 0.0, ..bend }.load().is_err());
    }
}
