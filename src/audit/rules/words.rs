//! Comments that tell another story than the motion.

use super::Rule;
use super::bands::{bands, over};
use crate::audit::{AuditContext, Finding, Weight};
use crate::measure::LayerMeasure;

/// Below this share of agreement the comments are worth a look.
const AGREE: f64 = 0.9;

/// Of a layer's plastic, as much may be called wall and be none (or the other way) where the words can be trusted.
const DOUBT: f64 = 0.07;

/// Words that contradict motion.
pub(super) struct WordsDisagree;

impl Rule for WordsDisagree {
    fn about(&self) -> &'static str {
        "what comments say beads are for agrees with what the motion shows"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["words-disagree"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let agreement = context.measures.agreement;
        let found = in_bands(context.layers());
        match agreement.share() {
            _ if !found.is_empty() => found,
            Some(share) if !(share >= AGREE) => {
                let message = format!(
                    "comments and motion agree on only {:.0} % of the plastic that comments name",
                    share * 100.0
                );
                let remedy = "trust the measured walls and core, not the labels; roles above are by comments";
                vec![Finding::new("words-disagree", Weight::Note, message, remedy)]
            }
            _ => Vec::new(),
        }
    }
}

/// Bands of layers whose words on walls are false, in a print whose words are true elsewhere.
fn in_bands(layers: &[LayerMeasure]) -> Vec<Finding> {
    let doubt = |l: &LayerMeasure| 1.0 - l.words_on_walls.share().unwrap_or(1.0);
    let mut doubts: Vec<f64> = layers.iter().map(doubt).collect();
    doubts.sort_by(f64::total_cmp);
    let usual = doubts.get(doubts.len() / 2).copied().unwrap_or_default();
    let found = bands(layers, |l| doubt(l) > usual + DOUBT);
    if usual > DOUBT {
        return Vec::new();
    }
    // One layer alone may be read wrong by its motion as well.
    found
        .into_iter()
        .filter(|band| band.len() > 1)
        .map(|band| {
            let most = band.iter().map(doubt).max_by(f64::total_cmp).unwrap_or_default();
            let message = format!(
                "comments call {:.0} % of the plastic in these layers walls that are none, or pass walls over",
                100.0 * most
            );
            let remedy = "trust the measured walls and core there, not the labels";
            over(Finding::new("words-disagree", Weight::Note, message, remedy), band)
        })
        .collect()
}
