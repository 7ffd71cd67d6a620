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
