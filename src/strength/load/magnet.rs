//! The pull of a magnet on steel.

use super::{Acts, JobLoad, LoadError, force, n4, positive, positive_spread};
use crate::profile::Spread;
use std::f64::consts::{FRAC_PI_4, PI};

/// Magnetic constant, T m / A.
const MU0: f64 = 4e-7 * PI;

/// Pull of a field over an area, N: F = B² A / (2 μ0) (Cardarelli, Materials Handbook, 2nd ed., Springer 2008, p. 493,
/// read second-hand).
#[must_use]
pub fn pull_n(field_t: f64, area_mm2: f64) -> f64 {
    field_t.powi(2) * area_mm2 * 1e-6 / (2.0 * MU0)
}

/// A disc magnet whose field is to be reckoned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DiscMagnet {
    /// Diameter, mm.
    pub diameter_mm: f64,
    /// Height, mm.
    pub height_mm: f64,
    /// Remanence, T.
    pub remanence_t: Spread,
    /// Plastic or air between it and the steel, mm.
    pub gap_mm: f64,
}

/// Steps of the sum over rings and angles; 80 changes the fourth digit.
const STEPS: u32 = 80;

/// Mean over a disc of the field of an equal, evenly charged disc at `distance` radii, as a share of its field at
/// touch (1 there, 0 far away): the mean solid angle over 2 π, summed by rings.
fn share_at(distance: f64) -> f64 {
    // At touch the solid angle is 2 π everywhere; the sum below cannot resolve that.
    if distance <= 0.0 {
        return 1.0;
    }
    let n = f64::from(STEPS);
    let middle = |i: u32| (f64::from(i) + 0.5) / n;
    let mut sum = 0.0;
    for i in 0..STEPS {
        let here = middle(i);
        for j in 0..STEPS {
            let there = middle(j);
            for k in 0..STEPS {
                let apart = here * here + there * there - 2.0 * here * there * (PI * middle(k)).cos();
                sum += here * there * distance / (apart + distance * distance).powf(1.5);
            }
        }
    }
    (sum * 2.0 / (n * n * n)).min(1.0)
}

impl DiscMagnet {
    /// Mean field in the face of thick steel, T, for one remanence.
    ///
    /// The steel mirrors the magnet, so its two end faces, seen from the steel, add: B = Br (s(g) - s(g + h)), s the
    /// share that `share_at` gives (charge model of a magnet and its image, from memory). It cannot pass Br.
    #[must_use]
    pub fn field_t(&self, remanence_t: f64) -> f64 {
        let radius = self.diameter_mm / 2.0;
        remanence_t * (share_at(self.gap_mm / radius) - share_at((self.gap_mm + self.height_mm) / radius))
    }
}

/// What is known of the magnet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MagnetField {
    /// The field in the gap, T, over an area, mm².
    Field {
        /// Field, T.
        field_t: Spread,
        /// Area, mm².
        area_mm2: f64,
    },
    /// A disc on thick, flat, bare steel.
    Disc(DiscMagnet),
}

impl MagnetField {
    /// The pull, at most.
    ///
    /// # Errors
    /// Where a number is not positive.
    pub fn load(&self) -> Result<JobLoad, LoadError> {
        let (field, area, how) = match self {
            Self::Field { field_t, area_mm2 } => (positive_spread(*field_t, "the field")?, *area_mm2, String::new()),
            Self::Disc(disc) => disc_field(disc)?,
        };
        positive(area, "the area")?;
        let force_n =
            Spread { low: pull_n(field.low, area), likely: pull_n(field.likely, area), high: pull_n(field.high, area) };
        let formula = format!(
            "{how}F = B² A / (2 μ0) = ({} T)² × {} mm² / (2 × 4 π 10⁻⁷ T m/A) = {}",
            n4(field.likely),
            n4(area),
            force(force_n.likely)
        );
        let beside = vec![format!(
            "holds against sliding with about 0.2 of it: {} (trade practice)",
            force(0.2 * force_n.likely)
        )];
        let minds = vec![
            "this is the most it can pull: paint, a gap, rust, thin sheet or a hot bed take much of it".to_owned(),
            "strong magnets pinch, jump to steel, spoil pacemakers and cards".to_owned(),
        ];
        let source = "F = B² A / (2 μ0): Cardarelli, Materials Handbook, 2nd ed., Springer 2008, p. 493 (read second-hand); field of a disc: \
                      charges and their image in steel (from memory)";
        Ok(JobLoad { kind: "magnet", force_n, formula, source: source.to_owned(), beside, minds, acts: Acts::PullOut })
    }
}

fn disc_field(disc: &DiscMagnet) -> Result<(Spread, f64, String), LoadError> {
    let d = positive(disc.diameter_mm, "the diameter")?;
    let h = positive(disc.height_mm, "the height")?;
    let remanence = positive_spread(disc.remanence_t, "the remanence")?;
    if !(disc.gap_mm >= 0.0 && disc.gap_mm.is_finite()) {
        return Err(LoadError::NotPositive { what: "the gap", value: disc.gap_mm });
    }
    let share = disc.field_t(1.0);
    let how = format!(
        "B = Br (s(g) - s(g + h)) = {} T × {} = {} T for a disc {} × {} mm at a gap of {} mm; ",
        n4(remanence.likely),
        n4(share),
        n4(remanence.likely * share),
        n4(d),
        n4(h),
        n4(disc.gap_mm)
    );
    Ok((remanence.scaled(share), FRAC_PI_4 * d * d, how))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    #[test]
    fn published_pulls() {
        // Trade page: 1 T over 1 mm² is 0.398 N; 10 mm disc: 0.5 T 7.81 N, 1.0 T 31.25 N.
        assert_relative_eq!(pull_n(1.0, 1.0), 0.398, max_relative = 1e-3);
        assert_relative_eq!(pull_n(0.5, FRAC_PI_4 * 100.0), 7.81, max_relative = 1e-3);
        assert_relative_eq!(pull_n(1.0, FRAC_PI_4 * 100.0), 31.25, max_relative = 1e-3);
    }

    #[test]
    fn a_disc_against_catalogue_and_finite_elements() {
        // Finite-element vendor's validation page: N35 disc 2 in x 0.65 in on thick steel: 510 N catalogue, 542 N computed,
        // so a mean field of 0.795 to 0.820 T. N35: 1.17 to 1.21 T.
        let remanence_t = Spread { low: 1.17, likely: 1.19, high: 1.21 };
        let disc = DiscMagnet { diameter_mm: 50.8, height_mm: 16.51, remanence_t, gap_mm: 0.0 };
        let load = MagnetField::Disc(disc).load().unwrap();
        assert_relative_eq!(load.force_n.likely, 510.0, max_relative = 0.10);
        assert_relative_eq!(disc.field_t(1.19), 0.8075, max_relative = 0.06);
        assert!(disc.field_t(1.26) < 1.26, "more field than the remanence is wrong");
    }

    #[test]
    fn the_share_of_a_disc_is_right_at_both_ends() {
        assert_eq!(share_at(0.0), 1.0);
        // Far away a disc is a point: its field is A / (2 π z²) of that at touch, 1 / (2 · 20²).
        assert_relative_eq!(share_at(20.0), 1.0 / 800.0, max_relative = 5e-3);
        assert!(share_at(0.1) > share_at(0.2) && share_at(0.2) > share_at(0.4));
        assert_abs_diff_eq!(share_at(0.1), 0.7846, epsilon = 2e-3);
    }

    #[test]
    fn a_gap_takes_pull() {
        let at = |gap_mm| {
            let disc = DiscMagnet { diameter_mm: 10.0, height_mm: 3.0, remanence_t: Spread::exactly(1.2), gap_mm };
            MagnetField::Disc(disc).load().unwrap().force_n.likely
        };
        assert!(at(0.0) > 1.3 * at(0.4) && at(0.4) > 1.3 * at(0.8));
        let disc = DiscMagnet { diameter_mm: 10.0, height_mm: 3.0, remanence_t: Spread::exactly(1.2), gap_mm: -0.1 };
        assert!(MagnetField::Disc(disc).load().is_err());
        assert!(MagnetField::Field { field_t: Spread::exactly(0.5), area_mm2: 0.0 }.load().is_err());
    }
}
