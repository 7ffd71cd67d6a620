//! What a material may bear in a case: its card, lowered by heat and time.

use crate::profile::{LoadCase, Material, Pair};
use crate::units::significant;

/// Room temperature that the cards are for, °C.
const CARD_C: f64 = 23.0;

/// Where a card has no share for lasting load: 10 to 25 % of the short-term strength (plastics handbooks, from memory).
const LASTING: Pair = Pair { low: 0.10, typical: 0.25 };

/// Where a card has no share for a stopped layer: 0.43 measured with a stop at every layer of PLA (McCauley et al.,
/// Progress in Additive Manufacturing (2026), read second-hand), 0.8 for a single stop from memory.
const STOPPED: Pair = Pair { low: 0.45, typical: 0.80 };

/// Strengths and stiffness that hold in one case, MPa.
#[derive(Debug, Clone, PartialEq)]
pub struct Allowable {
    /// Tension along the bead.
    pub along: Pair,
    /// Tension across beads that lie side by side in one layer.
    pub beside: Pair,
    /// Side strength as a share of the strength along the bead; heat and time lower both alike.
    pub side_share: Pair,
    /// Tension from layer to layer.
    pub across: Pair,
    /// Compression.
    pub compression: Pair,
    /// Sliding between layers, punching, pull-out.
    pub shear: Pair,
    /// Stiffness along the bead.
    pub stiff_along: Option<Pair>,
    /// Stiffness from layer to layer.
    pub stiff_across: Option<Pair>,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Share that is left across a layer where the print was stopped.
    pub stopped: Pair,
    /// What was taken off and why.
    pub remarks: Vec<String>,
}

impl Allowable {
    /// The card of a material, lowered for a case; `None` where the card has no strengths.
    #[must_use]
    pub fn new(material: &Material, case: &LoadCase) -> Option<Self> {
        let card = material.strength_mpa.as_ref()?;
        let stiff = material.stiffness_mpa.as_ref();
        let mut remarks = Vec::new();
        if card.beside.is_none() {
            remarks.push(format!(
                "{} has no side strength on its card: the strength across layers was taken, which is safe",
                material.name
            ));
        }
        let heat = heat_share(material, case, &mut remarks);
        let lasting = lasting_share(material, case, &mut remarks);
        let lowered = |p: Pair| Pair { low: p.low * heat * lasting.low, typical: p.typical * heat * lasting.typical };
        Some(Self {
            along: lowered(card.along),
            beside: lowered(card.beside()),
            side_share: Pair {
                low: card.beside().low / card.along.low,
                typical: card.beside().typical / card.along.typical,
            },
            across: lowered(card.across),
            compression: lowered(card.compression),
            shear: lowered(card.shear),
            stiff_along: stiff.map(|s| s.along.times(heat)),
            stiff_across: stiff.map(|s| s.across.times(heat)),
            poisson: stiff.map_or(0.35, |s| s.poisson),
            stopped: material.lowering.as_ref().and_then(|l| l.stop).unwrap_or(STOPPED),
            remarks,
        })
    }
}

/// Share of strength left at a temperature: straight from the card's 23 °C down to nothing at softening (common
/// practice, no source; short-term curves of amorphous plastics run above this line until shortly before softening).
fn heat_share(material: &Material, case: &LoadCase, remarks: &mut Vec<String>) -> f64 {
    let Some(warm) = case.temperature_c.filter(|c| *c > CARD_C) else { return 1.0 };
    let Some(softening) = material.temperature_c.as_ref().and_then(|t| t.softening) else {
        remarks.push("the card has no softening temperature: heat was not reckoned".to_owned());
        return 1.0;
    };
    let share = ((softening - warm) / (softening - CARD_C)).clamp(0.0, 1.0);
    remarks.push(format!(
        "at {} °C, with softening at {} °C, {} % of the strength is left (straight line from 23 °C)",
        significant(warm, 3),
        significant(softening, 3),
        significant(100.0 * share, 2)
    ));
    share
}

fn lasting_share(material: &Material, case: &LoadCase, remarks: &mut Vec<String>) -> Pair {
    if !case.lasting {
        return Pair::both(1.0);
    }
    let share = material.lowering.as_ref().and_then(|l| l.lasting).unwrap_or(LASTING);
    remarks.push(format!(
        "under lasting load {} to {} % of the strength is left; check for creep after a day",
        significant(100.0 * share.low, 2),
        significant(100.0 * share.typical, 2)
    ));
    share
}

#[cfg(test)]
pub(super) mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::profile::read_profile;
    use approx::assert_relative_eq;

    /// Strengths in round numbers, low and typical, MPa, for the tests of every mode.
    pub fn round_numbers() -> Allowable {
        let pair = |low, typical| Pair { low, typical };
        Allowable {
            along: pair(30.0, 45.0),
            beside: pair(18.0, 36.0),
            side_share: pair(0.6, 0.8),
            across: pair(12.0, 24.0),
            compression: pair(32.0, 48.0),
            shear: pair(15.0, 20.0),
            stiff_along: Some(Pair::both(2000.0)),
            stiff_across: Some(pair(1000.0, 1500.0)),
            poisson: 0.35,
            stopped: pair(0.45, 0.8),
            remarks: vec![],
        }
    }

    fn card(more: &str) -> Material {
        let text = format!(
            "name = 'card'\ndensity_g_cm3 = 1.2\n[strength_mpa]\nalong = {{ low = 30, typical = 40 }}\nacross = {{ low = 12, typical = 20 }}\n\
             compression = {{ low = 32, typical = 48 }}\nshear = {{ low = 15, typical = 20 }}\n{more}"
        );
        read_profile(&text, "card").unwrap_or_else(|e| panic!("{e}"))
    }

    fn case(more: &str) -> LoadCase {
        let text = format!("[[case]]\nname = 'pull'\nkind = 'pull'\nforce_n = 100\naxis = 'x'\n{more}");
        read_profile::<crate::profile::LoadCases>(&text, "case").unwrap_or_else(|e| panic!("{e}")).case.remove(0)
    }

    #[test]
    fn heat_takes_strength_on_a_straight_line_to_softening() {
        // From 23 to 77 °C there are 54 degrees: at 50 °C half is left, at 36.5 °C three quarters, from 77 °C on nothing.
        let card = card("[stiffness_mpa]\nalong = 2000\nacross = 1000\n[temperature_c]\nsoftening = 77\n");
        for (warm, share) in [(20.0, 1.0), (23.0, 1.0), (36.5, 0.75), (50.0, 0.5), (77.0, 0.0), (90.0, 0.0)] {
            let allow = Allowable::new(&card, &case(&format!("temperature_c = {warm}\n"))).unwrap();
            assert_relative_eq!(allow.along.low, 30.0 * share, epsilon = 1e-12);
            assert_relative_eq!(allow.compression.typical, 48.0 * share, epsilon = 1e-12);
            assert_relative_eq!(allow.stiff_along.unwrap().low, 2000.0 * share, epsilon = 1e-9);
            // Heat takes from both alike, so their share stays.
            assert_relative_eq!(allow.side_share.typical, 0.5);
            assert_eq!(allow.remarks.iter().any(|r| r.contains("of the strength is left")), warm > 23.0);
        }
        let warm = Allowable::new(&card, &case("temperature_c = 36.5\n")).unwrap();
        assert!(
            warm.remarks.iter().any(|r| r.contains("at 36.5 °C, with softening at 77 °C, 75 %")),
            "{:?}",
            warm.remarks
        );
    }

    #[test]
    fn what_a_card_leaves_out_is_taken_low_and_said() {
        let bare = Allowable::new(&card(""), &case("lasting = true\ntemperature_c = 60\n")).unwrap();
        // Lasting: 10 to 25 % (plastics handbooks, from memory); the side by the strength across layers.
        assert_relative_eq!(bare.along.low, 3.0);
        assert_relative_eq!(bare.along.typical, 10.0);
        assert_relative_eq!(bare.beside.low, 1.2);
        assert_relative_eq!(bare.side_share.low, 0.4);
        assert_eq!(bare.stopped, Pair { low: 0.45, typical: 0.8 });
        for part in ["no side strength", "heat was not reckoned", "10 to 25 %"] {
            assert!(bare.remarks.iter().any(|r| r.contains(part)), "{part}: {:?}", bare.remarks);
        }
        let own = card("[lowering]\nlasting = { low = 0.2, typical = 0.3 }\nstop = 0.7\n");
        let own = Allowable::new(&own, &case("lasting = true\n")).unwrap();
        assert_relative_eq!(own.across.low, 2.4);
        assert_eq!(own.stopped, Pair::both(0.7));
    }
}
