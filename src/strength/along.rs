//! Pulling and bending along x or y: sums over slabs.
//!
//! ```text
//!   held |=====================| F      each slab: beads by kind and angle, weighted by what they lend
//!        |   |slab|            v
//! ```

use super::allow::Allowable;
use super::capacity::{Capacity, Mode, Place};
use super::law::{Law, stiffness_weight, strength_weight};
use crate::geom::{Moments, Point};
use crate::profile::{Axis, Held, Pair, Spread};
use crate::shape::{BeadKind, Cut};
use crate::units::significant;

/// Walls or solid fill must make up this share of a slab to keep its core from racking.
const HOLDS_SHARE: f64 = 0.02;

/// Factor of a web's shear stress over its mean (rectangle, beam theory): τ = 1.5 V / A.
const SHEAR_PEAK: f64 = 1.5;

/// Shear correction of a rectangle (Timoshenko): 5/6.
const SHEAR_CORRECTION: f64 = 5.0 / 6.0;

/// A slab's section as it carries.
#[derive(Debug, Clone, Copy)]
pub struct Carries<'a> {
    cut: &'a Cut,
    held: bool,
}

impl<'a> Carries<'a> {
    /// Looks at a slab.
    #[must_use]
    pub fn new(cut: &'a Cut) -> Self {
        let firm: f64 = cut.groups.iter().filter(|g| g.kind != BeadKind::Sparse).map(|g| g.moments.area_mm2).sum();
        Self { cut, held: firm > HOLDS_SHARE * cut.total().area_mm2 }
    }

    /// Area and moments, each bead counted with the strength it lends.
    #[must_use]
    pub fn strong(&self, side_share: Pair, law: Law) -> Moments {
        let side = match law {
            Law::Low => side_share.low,
            _ => side_share.typical,
        };
        self.cut.weighted(|kind, angle| strength_weight(kind, angle, side, law, self.held))
    }

    /// Area and moments, each bead counted with its stiffness.
    #[must_use]
    pub fn stiff(&self) -> Moments {
        self.cut.weighted(|kind, angle| stiffness_weight(kind, angle, self.held))
    }

    /// Area of the webs: walls; all of it where the section is solid.
    #[must_use]
    pub fn webs_mm2(&self) -> f64 {
        let hollow = self.cut.groups.iter().any(|g| g.kind == BeadKind::Sparse);
        self.cut.weighted(|kind, _| if kind == BeadKind::Wall || !hollow { 1.0 } else { 0.0 }).area_mm2
    }
}

/// Tension along the axis of the cuts: the weakest slab.
#[must_use]
pub fn pull(cuts: &[Cut], axis: Axis, allow: &Allowable) -> Option<Capacity> {
    let low = |cut: &Cut| Carries::new(cut).strong(allow.side_share, Law::Low).area_mm2;
    let weakest = cuts.iter().min_by(|a, b| low(a).total_cmp(&low(b)))?;
    let carries = Carries::new(weakest);
    let area = |law| carries.strong(allow.side_share, law).area_mm2;
    let times = Spread { low: area(Law::Low), likely: area(Law::Likely), high: area(Law::High) };
    let working = format!(
        "F = σ A at {} = {} mm: {} MPa × {} mm² (low; core by cos³), {} MPa × {} mm² (likely), {} mm² (high; core by volume) of {} mm² laid",
        axis.word(),
        significant(weakest.at_mm, 4),
        significant(allow.along.low, 3),
        significant(times.low, 4),
        significant(allow.along.typical, 3),
        significant(times.likely, 4),
        significant(times.high, 4),
        significant(weakest.total().area_mm2, 4)
    );
    Some(Capacity::new(Mode::AlongLayers, slab_place(weakest, axis), allow.along, times, working))
}

fn slab_place(cut: &Cut, axis: Axis) -> Place {
    let aside = 0.5 * (cut.side_mm[0] + cut.side_mm[1]);
    let at = if axis == Axis::X { Point::new(cut.at_mm, aside) } else { Point::new(aside, cut.at_mm) };
    let words = format!("section at {} = {} mm", axis.word(), significant(cut.at_mm, 4));
    Place { words, at: Some(at), ..Place::default() }
}

/// A beam along x or y.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beam {
    /// Its length's axis.
    pub axis: Axis,
    /// Direction of the force.
    pub direction: Axis,
    /// How it is held.
    pub held: Held,
    /// Where it is held and ends, mm.
    pub span_mm: [f64; 2],
    /// Where the force acts, mm.
    pub load_at_mm: f64,
}

impl Beam {
    /// Bending moment and shear at a place, for a force of 1: mm and 1 (beam theory).
    #[must_use]
    pub fn moment_and_shear(&self, at_mm: f64) -> (f64, f64) {
        let [low, high] = self.span_mm;
        let load = self.load_at_mm;
        match self.held {
            Held::LowEnd if (low..=load).contains(&at_mm) => (load - at_mm, 1.0),
            Held::HighEnd if (load..=high).contains(&at_mm) => (at_mm - load, 1.0),
            Held::BothEnds if (low..=high).contains(&at_mm) => {
                let span = high - low;
                let (left, right) = ((high - load) / span, (load - low) / span);
                if at_mm <= load { (left * (at_mm - low), left) } else { (right * (high - at_mm), right) }
            }
            _ => (0.0, 0.0),
        }
    }

    /// Second moment about the axis the beam bends about, and the greatest distance of plastic from the middle.
    fn bends(&self, section: &Moments, cut: &Cut) -> (f64, f64) {
        let (moment, middle, reach) = match self.direction {
            Axis::Z => (section.ixx_mm4, section.centroid.y, cut.z_mm),
            _ => (section.iyy_mm4, section.centroid.x, cut.side_mm),
        };
        (moment, (reach[1] - middle).max(middle - reach[0]))
    }

    /// Bending and web shear: for each the weakest slab.
    #[must_use]
    pub fn capacities(&self, cuts: &[Cut], allow: &Allowable) -> Vec<Capacity> {
        [self.bending(cuts, allow), self.web_shear(cuts, allow)].into_iter().flatten().collect()
    }

    /// N for each MPa at the outermost plastic of a slab.
    fn modulus(&self, cut: &Cut, allow: &Allowable, law: Law) -> Option<f64> {
        let (arm, _) = self.moment_and_shear(cut.at_mm);
        let section = Carries::new(cut).strong(allow.side_share, law);
        let (moment, reach) = self.bends(&section, cut);
        (arm > 0.0 && reach > 0.0).then(|| moment / reach / arm)
    }

    fn bending(&self, cuts: &[Cut], allow: &Allowable) -> Option<Capacity> {
        let low = |cut: &&Cut| self.modulus(cut, allow, Law::Low).unwrap_or(f64::INFINITY);
        let weakest = cuts.iter().min_by(|a, b| low(a).total_cmp(&low(b)))?;
        let of = |law| self.modulus(weakest, allow, law);
        let times = Spread { low: of(Law::Low)?, likely: of(Law::Likely)?, high: of(Law::High)? };
        let (arm, _) = self.moment_and_shear(weakest.at_mm);
        let section = Carries::new(weakest).strong(allow.side_share, Law::Low);
        let (moment, reach) = self.bends(&section, weakest);
        let working = format!(
            "F = σ I / (c m) with σ = {} MPa, I = {} mm⁴ (core by cos³), c = {} mm, m = {} mm for each newton",
            significant(allow.along.low, 3),
            significant(moment, 4),
            significant(reach, 4),
            significant(arm, 4)
        );
        Some(Capacity::new(Mode::Bending, slab_place(weakest, self.axis), allow.along, times, working))
    }

    fn web_shear(&self, cuts: &[Cut], allow: &Allowable) -> Option<Capacity> {
        let of = |cut: &Cut| {
            let (_, shear) = self.moment_and_shear(cut.at_mm);
            let webs = Carries::new(cut).webs_mm2();
            (shear > 0.0).then(|| webs / SHEAR_PEAK / shear)
        };
        let (weakest, times) =
            cuts.iter().filter_map(|cut| of(cut).map(|times| (cut, times))).min_by(|a, b| a.1.total_cmp(&b.1))?;
        let working = format!(
            "F = τ A / 1.5 with τ = {} MPa and webs of {} mm² (beam theory, rectangle)",
            significant(allow.shear.low, 3),
            significant(Carries::new(weakest).webs_mm2(), 4)
        );
        let times = Spread::exactly(times);
        Some(Capacity::new(Mode::WebShear, slab_place(weakest, self.axis), allow.shear, times, working))
    }

    /// How far the loaded point goes for a force, mm: ∫ m² F / (E I) + ∫ v² F / (κ G A) over the slabs (virtual work),
    /// with G = E / (2 (1 + ν)) and the webs' area.
    #[must_use]
    pub fn deflection_mm(&self, cuts: &[Cut], force_n: f64, stiff_mpa: f64, poisson: f64) -> Option<f64> {
        let step = cuts.windows(2).map(|pair| pair[1].at_mm - pair[0].at_mm).next()?;
        let shear_mpa = stiff_mpa / (2.0 * (1.0 + poisson));
        let [low, high] = [cuts.first()?.at_mm, cuts.last()?.at_mm];
        let nearest = |at: f64| cuts.get((((at.clamp(low, high) - low) / step).round() as usize).min(cuts.len() - 1));
        let steps = ((self.span_mm[1] - self.span_mm[0]) / step).ceil().clamp(1.0, 1e5);
        let length = (self.span_mm[1] - self.span_mm[0]) / steps;
        let mut sum = 0.0;
        for i in 0..steps as u32 {
            let at = self.span_mm[0] + length * (f64::from(i) + 0.5);
            let (moment, shear) = self.moment_and_shear(at);
            let carries = Carries::new(nearest(at)?);
            let stiffness = stiff_mpa * self.bends(&carries.stiff(), carries.cut).0;
            let webs = SHEAR_CORRECTION * shear_mpa * carries.webs_mm2();
            if moment > 0.0 || shear > 0.0 {
                sum += length * (moment * moment / stiffness + shear * shear / webs);
            }
        }
        Some(sum * force_n).filter(|d| d.is_finite())
    }
}
