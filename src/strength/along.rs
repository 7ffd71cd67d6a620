//! Pulling and bending along x or y: sums over slabs.
//!
//! ```text
//!   held |=====================| F      each slab: beads by kind and angle, weighted by what they lend
//!        |   |slab|            v
//! ```

use super::allow::Allowable;
use super::askew::Bent;
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

/// Where a slab lies.
pub(super) fn slab_place(cut: &Cut, axis: Axis) -> Place {
    let aside = cut.middle_side_mm();
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

    /// How a slab bends, with the moments of what carries in it; `None` for one without width.
    fn bent(&self, section: &Moments, cut: &Cut) -> Option<Bent> {
        let towards = if self.direction == Axis::Z { Point::new(0.0, 1.0) } else { Point::new(1.0, 0.0) };
        Bent::new(section, cut.reach.as_ref()?, towards)
    }

    /// Bending and web shear: for each the weakest slab.
    #[must_use]
    pub fn capacities(&self, cuts: &[Cut], allow: &Allowable) -> Vec<Capacity> {
        [self.bending(cuts, allow), self.web_shear(cuts, allow)].into_iter().flatten().collect()
    }

    /// N for each MPa at the outermost plastic of a slab.
    fn modulus(&self, cut: &Cut, allow: &Allowable, law: Law) -> Option<f64> {
        let (arm, _) = self.moment_and_shear(cut.at_mm);
        let bent = self.bent(&Carries::new(cut).strong(allow.side_share, law), cut)?;
        (arm > 0.0).then(|| bent.modulus_mm3() / arm)
    }

    fn bending(&self, cuts: &[Cut], allow: &Allowable) -> Option<Capacity> {
        let low = |cut: &&Cut| self.modulus(cut, allow, Law::Low).unwrap_or(f64::INFINITY);
        let weakest = cuts.iter().min_by(|a, b| low(a).total_cmp(&low(b)))?;
        let of = |law| self.modulus(weakest, allow, law);
        let times = Spread { low: of(Law::Low)?, likely: of(Law::Likely)?, high: of(Law::High)? };
        let (arm, _) = self.moment_and_shear(weakest.at_mm);
        let bent = self.bent(&Carries::new(weakest).strong(allow.side_share, Law::Low), weakest)?;
        let working = format!(
            "F = σ I / (c m) with σ = {} MPa, I = {} mm⁴ (core by cos³), c = {} mm, m = {} mm for each newton{}",
            significant(allow.along.low, 3),
            significant(bent.second_mm4, 4),
            significant(bent.outermost_mm, 4),
            significant(arm, 4),
            bent.note()
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
            let stiffness = stiff_mpa * self.bent(&carries.stiff(), carries.cut).map_or(0.0, |bent| bent.second_mm4);
            let webs = SHEAR_CORRECTION * shear_mpa * carries.webs_mm2();
            if moment > 0.0 || shear > 0.0 {
                sum += length * (moment * moment / stiffness + shear * shear / webs);
            }
        }
        Some(sum * force_n).filter(|d| d.is_finite())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::allow::tests::round_numbers;
    use super::*;
    use crate::geom::Reach;
    use crate::shape::BeadGroup;
    use approx::assert_relative_eq;

    /// A slab 20 mm wide and 10 mm high whose groups have this kind, angle and area, all spread over it evenly.
    fn slab(at_mm: f64, groups: &[(BeadKind, f64, f64)]) -> Cut {
        let whole = Moments {
            area_mm2: 200.0,
            centroid: Point::new(10.0, 5.0),
            ixx_mm4: 20.0 * 1000.0 / 12.0,
            iyy_mm4: 10.0 * 8000.0 / 12.0,
            ixy_mm4: 0.0,
        };
        let group = |&(kind, angle_deg, area): &(BeadKind, f64, f64)| BeadGroup {
            kind,
            angle_deg,
            moments: whole.scaled(area / 200.0),
        };
        Cut {
            at_mm,
            thickness_mm: 2.0,
            groups: groups.iter().map(group).collect(),
            reach: Reach::of(&[Point::default(), Point::new(20.0, 10.0)], 0.0),
        }
    }

    fn solid(at_mm: f64) -> Cut {
        slab(at_mm, &[(Solid, 0.0, 200.0)])
    }

    use BeadKind::{Solid, Sparse, Wall};

    #[test]
    fn a_core_at_45_degrees_counts_where_something_holds_it() {
        let areas = |cut: &Cut| {
            let carries = Carries::new(cut);
            [Law::Low, Law::Likely, Law::High].map(|law| carries.strong(Pair { low: 0.6, typical: 0.8 }, law).area_mm2)
        };
        // cos⁴ 45° = 1/4 on the low side, half-way to 1 as likely, all as high; walls of 3 % hold it, of 1 % do not.
        let held = slab(0.0, &[(Wall, 0.0, 3.0), (Sparse, 45.0, 97.0)]);
        for (got, want) in areas(&held).iter().zip([3.0 + 24.25, 3.0 + 60.625, 100.0]) {
            assert_relative_eq!(*got, want, max_relative = 1e-12);
        }
        assert_relative_eq!(Carries::new(&held).stiff().area_mm2, 27.25, max_relative = 1e-12);
        let loose = slab(0.0, &[(Wall, 0.0, 1.0), (Sparse, 45.0, 99.0)]);
        for got in areas(&loose) {
            assert_relative_eq!(got, 1.0, max_relative = 1e-12);
        }
        assert_relative_eq!(Carries::new(&loose).stiff().area_mm2, 1.0, max_relative = 1e-12);
        // Lines along the pull need nothing to hold them.
        let straight = slab(0.0, &[(Sparse, 0.0, 50.0)]);
        assert_relative_eq!(Carries::new(&straight).stiff().area_mm2, 50.0, max_relative = 1e-12);
        // Solid fill square to the pull has its side strength, low or typical.
        let aside = slab(0.0, &[(Solid, 90.0, 100.0)]);
        assert_relative_eq!(areas(&aside)[0], 60.0, max_relative = 1e-12);
        assert_relative_eq!(areas(&aside)[1], 80.0, max_relative = 1e-12);
        // Webs are the walls; without a core all of it.
        assert_relative_eq!(Carries::new(&held).webs_mm2(), 3.0);
        assert_relative_eq!(Carries::new(&slab(0.0, &[(Wall, 0.0, 60.0), (Solid, 0.0, 50.0)])).webs_mm2(), 110.0);
    }

    #[test]
    fn the_weakest_slab_is_pulled_apart() {
        let with_core = slab(7.5, &[(Wall, 0.0, 50.0), (Sparse, 45.0, 100.0)]);
        let cuts = [solid(2.5), with_core, solid(12.5)];
        let found = pull(&cuts, Axis::X, &round_numbers()).unwrap();
        // 30 MPa × (50 + 25) mm²; 45 MPa × (50 + 62.5) and × 150 mm².
        assert_relative_eq!(found.bears.low, 2250.0, max_relative = 1e-12);
        assert_relative_eq!(found.bears.likely, 5062.5, max_relative = 1e-12);
        assert_relative_eq!(found.bears.high, 6750.0, max_relative = 1e-12);
        assert_eq!(found.place.at, Some(Point::new(7.5, 10.0)));
        assert_eq!(pull(&cuts, Axis::Y, &round_numbers()).unwrap().place.at, Some(Point::new(10.0, 7.5)));
        assert!(
            found.working.contains("30 MPa × 75 mm²") && found.working.contains("of 150 mm² laid"),
            "{}",
            found.working
        );
        assert_eq!(pull(&[], Axis::X, &round_numbers()), None);
    }

    fn beam(held: Held, load_at_mm: f64) -> Beam {
        Beam { axis: Axis::X, direction: Axis::Z, held, span_mm: [10.0, 70.0], load_at_mm }
    }

    #[test]
    fn moments_and_shears_by_statics() {
        let near = |beam: Beam, at: f64, moment: f64, shear: f64| {
            let got = beam.moment_and_shear(at);
            assert_relative_eq!(got.0, moment, epsilon = 1e-12);
            assert_relative_eq!(got.1, shear, epsilon = 1e-12);
        };
        let low = beam(Held::LowEnd, 60.0);
        near(low, 10.0, 50.0, 1.0);
        near(low, 55.0, 5.0, 1.0);
        near(low, 65.0, 0.0, 0.0);
        near(low, 5.0, 0.0, 0.0);
        let high = beam(Held::HighEnd, 20.0);
        near(high, 70.0, 50.0, 1.0);
        near(high, 15.0, 0.0, 0.0);
        near(high, 75.0, 0.0, 0.0);
        // On two ends 60 mm apart, a third of the way: 2/3 and 1/3 rest on them; 2/3 × 20 = 1/3 × 40 under the load.
        let both = beam(Held::BothEnds, 30.0);
        near(both, 20.0, 20.0 / 3.0, 2.0 / 3.0);
        near(both, 30.0, 40.0 / 3.0, 2.0 / 3.0);
        near(both, 50.0, 20.0 / 3.0, 1.0 / 3.0);
        near(both, 71.0, 0.0, 0.0);
    }

    fn cuts() -> Vec<Cut> {
        (0..=120).map(|i| solid(10.0 + 0.5 * f64::from(i))).collect()
    }

    #[test]
    fn a_cantilever_by_beam_theory() {
        let allow = round_numbers();
        let found = beam(Held::LowEnd, 70.0).capacities(&cuts(), &allow);
        // b h² / 6 = 20 × 100 / 6 mm³ over 60 mm; web shear 200 mm² / 1.5.
        assert_eq!(found.iter().map(|c| c.mode).collect::<Vec<_>>(), [Mode::Bending, Mode::WebShear]);
        assert_relative_eq!(found[0].bears.low, 30.0 * 2000.0 / 6.0 / 60.0, max_relative = 1e-12);
        assert_relative_eq!(found[0].bears.likely, 45.0 * 2000.0 / 6.0 / 60.0, max_relative = 1e-12);
        assert_eq!(found[0].place.at, Some(Point::new(10.0, 10.0)));
        assert_relative_eq!(found[1].bears.low, 15.0 * 200.0 / 1.5, max_relative = 1e-12);
        // Pushed aside: h b² / 6 = 10 × 400 / 6 mm³.
        let aside = Beam { direction: Axis::Y, ..beam(Held::LowEnd, 70.0) }.capacities(&cuts(), &allow);
        assert_relative_eq!(aside[0].bears.low, 30.0 * 4000.0 / 6.0 / 60.0, max_relative = 1e-12);
        // In the middle of two ends: F L / 4, and half of the force on each web.
        let both = beam(Held::BothEnds, 40.0).capacities(&cuts(), &allow);
        assert_relative_eq!(both[0].bears.low, 30.0 * 2000.0 / 6.0 / 15.0, max_relative = 1e-12);
        assert_relative_eq!(both[1].bears.low, 15.0 * 200.0 / 1.5 * 2.0, max_relative = 1e-12);
        // A middle that lies low: the upper edge is 7 mm off and decides.
        let low_middle = |y| {
            let mut cut = solid(10.0);
            cut.groups[0].moments.centroid.y = y;
            cut
        };
        let found = beam(Held::LowEnd, 70.0).capacities(&[low_middle(3.0)], &allow);
        assert_relative_eq!(found[0].bears.low, 30.0 * (20_000.0 / 12.0) / 7.0 / 60.0, max_relative = 1e-12);
        // Plastic from -1.5 to 6 mm about the same middle: the lower edge is 4.5 mm off.
        let mut hanging = low_middle(3.0);
        hanging.reach = Reach::of(&[Point::new(0.0, -1.5), Point::new(20.0, 6.0)], 0.0);
        let found = beam(Held::LowEnd, 70.0).capacities(&[hanging], &allow);
        assert_relative_eq!(found[0].bears.low, 30.0 * (20_000.0 / 12.0) / 4.5 / 60.0, max_relative = 1e-12);
    }

    // The thin angle of `across_tests`, lying along x: the tip of its upright leg bears a quarter more than M c / I says,
    // and it gives way as much as I - Ixy² / I = 2/15 t a³ lets it.
    #[test]
    fn an_angle_that_lies_bends_askew() {
        let (a, t) = (20.0, 0.02);
        let corners = [(0.0, 0.0), (a, 0.0), (a, t), (t, t), (t, a), (0.0, a)].map(|(x, y)| Point::new(x, y));
        let angle = |at_mm| Cut {
            groups: vec![BeadGroup { kind: Solid, angle_deg: 0.0, moments: Moments::of_ring(&corners) }],
            reach: Reach::of(&corners, 0.0),
            ..solid(at_mm)
        };
        let second = 5.0 / 24.0 * t * a * a * a;
        for direction in [Axis::Y, Axis::Z] {
            let beam = Beam { direction, ..beam(Held::LowEnd, 70.0) };
            let found = beam.capacities(&[angle(10.0)], &round_numbers());
            assert_relative_eq!(found[0].bears.low, 30.0 * second / (0.9375 * a * 60.0), max_relative = 5e-3);
            assert!(found[0].working.contains("bends askew"), "{}", found[0].working);
            let cuts: Vec<Cut> = (0..=120).map(|i| angle(10.0 + 0.5 * f64::from(i))).collect();
            let gives = 60f64.powi(3) / (3.0 * 2000.0 * 2.0 / 15.0 * t * a.powi(3));
            // Shear gives way too, too little to count.
            let got = beam.deflection_mm(&cuts, 1.0, 2000.0, 0.35).unwrap();
            assert!(got > gives && got < 1.1 * gives, "{got} {gives}");
        }
    }

    #[test]
    fn a_beam_gives_by_bending_and_by_shear() {
        // F L³ / (3 E I) + F L / (5/6 G A) with E 2000, G 2000 / 2.7, I 1666.7, A 200, L 60 (Timoshenko's beam).
        let (i, g) = (20_000.0 / 12.0, 2000.0 / 2.7);
        let theory = 10.0 * 60f64.powi(3) / (3.0 * 2000.0 * i) + 10.0 * 60.0 / (5.0 / 6.0 * g * 200.0);
        let got = beam(Held::LowEnd, 70.0).deflection_mm(&cuts(), 10.0, 2000.0, 0.35).unwrap();
        assert_relative_eq!(got, theory, max_relative = 1e-3);
        let got = beam(Held::HighEnd, 10.0).deflection_mm(&cuts(), 10.0, 2000.0, 0.35).unwrap();
        assert_relative_eq!(got, theory, max_relative = 1e-3);
        // In the middle of two ends: F L³ / (48 E I) + F L / (4 × 5/6 G A).
        let theory = 10.0 * 60f64.powi(3) / (48.0 * 2000.0 * i) + 10.0 * 60.0 / (4.0 * 5.0 / 6.0 * g * 200.0);
        let got = beam(Held::BothEnds, 40.0).deflection_mm(&cuts(), 10.0, 2000.0, 0.35).unwrap();
        assert_relative_eq!(got, theory, max_relative = 1e-3);
        // Where the held half is twice as stiff: L³/3 of it over the half that bends less, (1 - 1/8) / 2 + 1/8 = 9/16.
        let half: Vec<Cut> = (0..=120)
            .map(|i| slab(10.0 + 0.5 * f64::from(i), &[(Solid, 0.0, if i < 60 { 400.0 } else { 200.0 })]))
            .collect();
        let bending = 10.0 * 60f64.powi(3) / (3.0 * 2000.0 * i) * 9.0 / 16.0;
        let shear = 10.0 * 30.0 / (5.0 / 6.0 * g * 200.0) * 1.5;
        let got = beam(Held::LowEnd, 70.0).deflection_mm(&half, 10.0, 2000.0, 0.35).unwrap();
        assert_relative_eq!(got, bending + shear, max_relative = 0.01);
        assert_eq!(beam(Held::LowEnd, 70.0).deflection_mm(&cuts()[..1], 10.0, 2000.0, 0.35), None);
    }
}
