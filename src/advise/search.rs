//! The search for the cheapest settings that hold.
//!
//! From the file's own settings it walks along the edge: the offers that no other beats in cost (time, mass or price)
//! and in strength at once. Every step turns one setting of an offer on the edge. What a step is likely to do is told
//! from what the same step did elsewhere, and steps that would clearly be beaten are not laid. It ends when no step is
//! left that might better the edge, or when the budget is spent.
//!
//! ```text
//!   reserve |        o   o      o: on the edge, its neighbours are tried
//!           |     o    x        x: beaten
//!           |   o   x
//!           +------------- time
//! ```

use super::bench::{Bench, Offer};
use super::choice::Choice;
use super::effects::Turn;
use super::space::Space;
use crate::measure::MeasureError;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// What is to be least.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Goal {
    /// Time at the machine.
    Time,
    /// Mass (plastic, where a material is not known).
    Mass,
    /// Price of the material.
    Cost,
}

impl Goal {
    /// What an offer asks; infinite where it is not known.
    #[must_use]
    pub fn of(self, offer: &Offer) -> f64 {
        match self {
            Self::Time => offer.time_s,
            Self::Mass => offer.mass_g.unwrap_or(offer.volume_mm3),
            Self::Cost => offer.cost.unwrap_or(f64::INFINITY),
        }
    }
}

/// Offers laid at once; few, so that each step knows what the last ones brought.
const AT_ONCE: usize = 4;
/// A step that is likely to be beaten by more than these shares is not laid.
const COSTLIER: f64 = 0.02;
const WEAKER: f64 = 0.03;
/// Steps go on from offers this much stronger than wanted, but no further: nobody asked for more.
const STRONG_ENOUGH: f64 = 1.5;
/// Steps go on from offers this much weaker than the file or than wanted.
const TOO_WEAK: f64 = 0.85;
/// What a step is taken to gain before the like of it was laid.
const HOPE: f64 = 1.15;

/// A search under way.
pub(super) struct Search<'a> {
    bench: &'a Bench<'a>,
    space: &'a Space,
    own: Choice,
    goal: Goal,
    /// Reserve that must be promised; the advice's own error is in it.
    needed: f64,
    layer_height_mm: f64,
    tried: BTreeMap<Choice, Option<Offer>>,
}

/// Told how many offers were laid, and how many may be at most.
pub type Tries<'a> = &'a mut dyn FnMut(usize, usize);

impl<'a> Search<'a> {
    pub fn new(bench: &'a Bench<'a>, space: &'a Space, own: Offer, goal: Goal, needed: f64) -> Self {
        let slices = &bench.survey.slices;
        let layer_height_mm = slices.get(1).or(slices.first()).map_or(0.2, |s| s.height_mm);
        let choice = own.choice;
        let tried = BTreeMap::from([(choice, Some(own))]);
        Self { bench, space, own: choice, goal, needed, layer_height_mm, tried }
    }

    /// Lays what it is to start from, then walks along the edge until nothing is left to try, or `budget` offers were
    /// laid.
    pub fn run(&mut self, start: Vec<Choice>, budget: usize, tries: Tries<'_>) -> Result<(), MeasureError> {
        for some in start.chunks(AT_ONCE) {
            self.lay(some.to_vec())?;
            tries(self.tried.len(), budget);
        }
        while self.tried.len() < budget {
            let next = self.next_steps();
            if next.is_empty() {
                break;
            }
            self.lay(next)?;
            tries(self.tried.len(), budget);
        }
        Ok(())
    }

    /// Lays choices side by side.
    pub fn lay(&mut self, choices: Vec<Choice>) -> Result<(), MeasureError> {
        let bench = self.bench;
        let fresh: Vec<Choice> = choices.into_iter().filter(|c| !self.tried.contains_key(c)).collect();
        let laid: Result<Vec<_>, _> = fresh.par_iter().map(|choice| Ok((*choice, bench.offer(choice)?))).collect();
        self.tried.extend(laid?);
        Ok(())
    }

    /// An offer that was laid.
    pub fn offer(&self, choice: &Choice) -> Option<&Offer> {
        self.tried.get(choice)?.as_ref()
    }

    /// Everything that was laid.
    pub fn offers(&self) -> impl Iterator<Item = &Offer> {
        self.tried.values().flatten()
    }

    /// Offers that no other beats, the cheapest first; of what the strength profile allows, if anything is.
    fn whole_edge(&self) -> Vec<&Offer> {
        edge(self.offers(), self.goal)
    }

    /// Those of them that are about as strong as is wanted: the search looked closely there, and nowhere else.
    pub fn edge(&self) -> Vec<&Offer> {
        let edge = self.whole_edge();
        let (least, most) = self.of_interest(&edge);
        edge.into_iter().filter(|o| strength(o).is_some_and(|s| (least..=most).contains(&s))).collect()
    }

    /// The strengths at which it is worth looking: from somewhat less than the file has, or is wanted, to half as much
    /// again as is wanted; without a load from what the file has up.
    fn of_interest(&self, edge: &[&Offer]) -> (f64, f64) {
        let own = self.offer(&self.own).and_then(strength).unwrap_or(0.0);
        if self.offer(&self.own).is_some_and(|o| o.cases.is_empty()) {
            // Where a profile asks for more than the file has, all that it allows is stronger.
            let weakest = edge.iter().filter_map(|o| strength(o)).reduce(f64::min).unwrap_or(own);
            return (own.min(weakest), STRONG_ENOUGH * own.max(weakest));
        }
        let first = edge.iter().filter_map(|o| strength(o)).find(|s| *s >= self.needed);
        // Where a profile asks for more than the load does, all that it allows is stronger than wanted.
        let weakest = edge.iter().filter_map(|o| strength(o)).find(|_| true).unwrap_or(0.0);
        let most = STRONG_ENOUGH * self.needed.max(weakest);
        (TOO_WEAK * own.min(self.needed), most.max(first.unwrap_or(0.0)))
    }

    /// The steps most likely to better the edge.
    fn next_steps(&self) -> Vec<Choice> {
        let edge = self.whole_edge();
        let (least, most) = self.of_interest(&edge);
        let mut steps: Vec<(f64, Choice)> = Vec::new();
        if self.offers().all(|o| !o.missing.is_empty()) {
            return self.steps_to_the_profile();
        }
        for offer in &edge {
            let Some(strength) = strength(offer).filter(|s| (least..=most).contains(s)) else { continue };
            for choice in self.space.neighbours(&offer.choice, self.layer_height_mm) {
                if self.tried.contains_key(&choice) {
                    continue;
                }
                let (dearer, stronger) = self.likely_step(&offer.choice, &choice);
                let (goal, strength) = (self.goal.of(offer) * dearer, strength * stronger);
                if !clearly_beaten(&edge, self.goal, goal, strength) {
                    let short = (self.needed - strength).max(0.0) / self.needed;
                    steps.push((goal * (1.0 + 3.0 * short), choice));
                }
            }
        }
        cheapest_first(steps)
    }

    /// Where nothing yet has all that the strength profile asks: steps from what lacks least.
    fn steps_to_the_profile(&self) -> Vec<Choice> {
        let least = self.offers().map(|o| o.missing.len()).min().unwrap_or(0);
        let lacking_least = self.offers().filter(|o| o.missing.len() == least);
        let steps = lacking_least.flat_map(|offer| {
            let goal = self.goal.of(offer);
            self.space.neighbours(&offer.choice, self.layer_height_mm).into_iter().map(move |choice| (goal, choice))
        });
        cheapest_first(steps.filter(|(_, choice)| !self.tried.contains_key(choice)).collect())
    }

    /// By what factors a step is likely to change cost and strength: the most hopeful of what the same step did
    /// between other offers; where it was never made, hope.
    fn likely_step(&self, from: &Choice, to: &Choice) -> (f64, f64) {
        let step = Turn::between(from, to);
        let mut likely: Option<(f64, f64)> = None;
        for (a, offer_a) in &self.tried {
            let Some(offer_a) = offer_a.as_ref().filter(|_| same_place(a, from, step)) else { continue };
            let Some(offer_b) = self.offer(&self.space.plain(with_step(a, to, step))) else { continue };
            let Some((sa, sb)) = strength(offer_a).zip(strength(offer_b)) else { continue };
            let (dearer, stronger) = (self.goal.of(offer_b) / self.goal.of(offer_a), sb / sa);
            if dearer.is_finite() && stronger.is_finite() && a != &offer_b.choice {
                let best = likely.unwrap_or((f64::INFINITY, 0.0));
                likely = Some((best.0.min(dearer), best.1.max(stronger)));
            }
        }
        likely.unwrap_or((1.0, HOPE))
    }
}

/// The first few of some steps, each once.
fn cheapest_first(mut steps: Vec<(f64, Choice)>) -> Vec<Choice> {
    steps.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut chosen: Vec<Choice> = Vec::new();
    for (_, choice) in steps {
        if !chosen.contains(&choice) && chosen.len() < AT_ONCE {
            chosen.push(choice);
        }
    }
    chosen
}

/// Whether a choice stands where the step begins.
fn same_place(a: &Choice, from: &Choice, turn: Turn) -> bool {
    match turn {
        Turn::Walls => a.walls == from.walls,
        Turn::CoreDensity => a.core_percent == from.core_percent,
        Turn::CorePattern => a.core == from.core,
        Turn::Skins => (a.bottom_skins, a.top_skins) == (from.bottom_skins, from.top_skins),
        Turn::BeadWidth => a.bead_width_um == from.bead_width_um,
        Turn::LayerHeight => a.layer_height_um == from.layer_height_um,
        Turn::FaultsMended => false,
    }
}

/// The same step from another place.
fn with_step(a: &Choice, to: &Choice, turn: Turn) -> Choice {
    match turn {
        Turn::Walls => Choice { walls: to.walls, ..*a },
        Turn::CoreDensity => Choice { core_percent: to.core_percent, ..*a },
        Turn::CorePattern => Choice { core: to.core, ..*a },
        Turn::Skins => Choice { bottom_skins: to.bottom_skins, top_skins: to.top_skins, ..*a },
        Turn::BeadWidth => Choice { bead_width_um: to.bead_width_um, ..*a },
        Turn::LayerHeight => Choice { layer_height_um: to.layer_height_um, ..*a },
        Turn::FaultsMended => *a,
    }
}

/// What an offer bears: the least reserve, or where no load was asked for its weakest section.
pub(super) fn strength(offer: &Offer) -> Option<f64> {
    if offer.cases.is_empty() { offer.least_section_mm2 } else { offer.reserve() }
}

fn clearly_beaten(edge: &[&Offer], goal: Goal, at: f64, bears: f64) -> bool {
    edge.iter().any(|offer| {
        let stronger = strength(offer).is_some_and(|s| s >= bears * (1.0 + WEAKER));
        stronger && goal.of(offer) <= at * (1.0 - COSTLIER)
    })
}

/// Offers that no other beats in both what they cost and what they bear, the cheapest first.
pub(super) fn edge<'o>(offers: impl Iterator<Item = &'o Offer>, goal: Goal) -> Vec<&'o Offer> {
    let known: Vec<&Offer> = offers.filter(|o| strength(o).is_some() && goal.of(o).is_finite()).collect();
    let allowed = known.iter().any(|o| o.missing.is_empty());
    let mut sorted: Vec<&Offer> = known.into_iter().filter(|o| !allowed || o.missing.is_empty()).collect();
    let bears = |o: &Offer| strength(o).unwrap_or(0.0);
    let spent = |o: &Offer| (goal.of(o), o.time_s, o.volume_mm3);
    sorted.sort_by(|a, b| {
        let (a_spent, b_spent) = (spent(a), spent(b));
        let by_goal = a_spent.0.total_cmp(&b_spent.0).then(bears(b).total_cmp(&bears(a)));
        by_goal.then(a_spent.1.total_cmp(&b_spent.1)).then(a_spent.2.total_cmp(&b_spent.2))
    });
    let mut most = f64::NEG_INFINITY;
    sorted.retain(|offer| {
        let better = bears(offer) > most;
        most = most.max(bears(offer));
        better
    });
    sorted
}

#[cfg(test)]
#[path = "search_tests.rs"]
mod tests;
