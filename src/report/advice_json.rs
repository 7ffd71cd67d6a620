//! An advice as JSON: `beadwise/advise/1`.

use super::AdvisedFile;
use super::advice_words::{beyond_words, fault_words, governing_words};
use super::figures::Figures;
use crate::advise::{Advice, Choice, Goal, Offer, Standing, Turn};
use schemars::JsonSchema;
use serde::Serialize;

#[derive(Serialize, JsonSchema)]
pub(super) struct AdviceReport<'a> {
    /// Name and version of this form; a new version only where a key changes its meaning or goes.
    #[schemars(extend("const" = "beadwise/advise/1"))]
    schema: &'static str,
    name: &'a str,
    machine: &'a str,
    strength_profile: Option<&'a str>,
    standing: Standing,
    /// What was to be least.
    least: Goal,
    reserve_wanted: f64,
    /// The wanted reserve with the advice's own error on top: what an offer must promise.
    reserve_needed: f64,
    file: FileReport<'a>,
    /// The file laid again with its own settings, without its faults.
    own: OfferReport<'a>,
    /// The least that holds; null where nothing does.
    best: Option<OfferReport<'a>>,
    /// The strongest that was laid.
    strongest: Option<OfferReport<'a>>,
    /// A few of those that no other beats, the cheapest first.
    edge: Vec<OfferReport<'a>>,
    /// What one change alone does, from the file's own settings.
    changes: Vec<ChangeReport>,
    /// Whether walls buy strength for much less than a fuller core.
    more_core_is_waste: bool,
    /// What settings cannot mend, in words.
    beyond_settings: Vec<String>,
    own_error: ErrorReport,
    /// How many settings were laid and measured.
    tried: usize,
    assumptions: &'a [String],
}

#[derive(Serialize, JsonSchema)]
struct FileReport<'a> {
    mass_g: Option<f64>,
    volume_mm3: f64,
    cost: Option<f64>,
    time_s: f64,
    cases: Vec<CaseReport<'a>>,
    /// What the strength profile asks for and the file does not have.
    missing: Vec<&'a str>,
    /// Bands of layers that are laid otherwise than the rest.
    faults: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
struct CaseReport<'a> {
    name: &'a str,
    mode: Option<&'static str>,
    reserve: Option<f64>,
    reserve_typical: Option<f64>,
    undetermined: Option<&'a str>,
}

#[derive(Serialize, JsonSchema)]
struct SettingsReport {
    walls: u32,
    core_density: f64,
    core_pattern: &'static str,
    bottom_skin_layers: u32,
    top_skin_layers: u32,
    bead_width_mm: f64,
    layer_height_mm: f64,
}

#[derive(Serialize, JsonSchema)]
struct OfferReport<'a> {
    settings: SettingsReport,
    mass_g: Option<f64>,
    volume_mm3: f64,
    cost: Option<f64>,
    time_s: f64,
    /// The least of all cases on low values.
    reserve: Option<f64>,
    /// What gives way first.
    governing: Option<String>,
    least_section_mm2: Option<f64>,
    cases: Vec<CaseReport<'a>>,
    missing: Vec<&'a str>,
}

#[derive(Serialize, JsonSchema)]
struct ChangeReport {
    turned: Turn,
    settings: SettingsReport,
    /// Of the reserve, or of the weakest section where no load was asked for.
    strength_share: Option<f64>,
    time_share: f64,
    mass_share: f64,
}

/// Laid again less the file, as shares; the advice's own error.
#[derive(Serialize, JsonSchema)]
struct ErrorReport {
    mass_share: f64,
    time_share: f64,
    walls_file: Option<u32>,
    walls_laid: Option<u32>,
    core_density_file: Option<f64>,
    core_density_laid: Option<f64>,
    section_moments_share: Option<f64>,
    reserve_shares: Vec<Option<f64>>,
}

/// The advice as JSON text, with a newline at its end.
#[must_use]
pub fn advice_json(file: &AdvisedFile) -> String {
    let advice = &file.advice;
    let offer = |o| offer_report(advice, o);
    let error = &advice.error;
    let report = AdviceReport {
        schema: "beadwise/advise/1",
        name: &file.name,
        machine: &file.machine,
        strength_profile: file.strength_profile.as_deref(),
        standing: advice.standing,
        least: advice.goal,
        reserve_wanted: advice.wanted,
        reserve_needed: advice.needed,
        file: FileReport {
            mass_g: advice.file.mass_g,
            volume_mm3: advice.file.volume_mm3,
            cost: advice.file.cost,
            time_s: advice.file.time_s,
            cases: advice.file.cases.iter().map(case_report).collect(),
            missing: advice.file.missing.iter().map(|f| f.message.as_str()).collect(),
            faults: fault_words(&advice.faults),
        },
        own: offer(&advice.own),
        best: advice.best.as_ref().map(offer),
        strongest: advice.strongest.as_ref().map(offer),
        edge: advice.edge.iter().map(offer).collect(),
        changes: advice
            .changes
            .iter()
            .map(|c| ChangeReport {
                turned: c.turn,
                settings: settings(advice, &c.choice),
                strength_share: c.strength,
                time_share: c.time,
                mass_share: c.mass,
            })
            .collect(),
        more_core_is_waste: advice.waste_of_core.is_some(),
        beyond_settings: beyond_words(advice, Figures::METRIC),
        own_error: ErrorReport {
            mass_share: error.mass,
            time_share: error.time,
            walls_file: error.walls.map(|w| w.0),
            walls_laid: error.walls.map(|w| w.1),
            core_density_file: error.core.map(|c| c.0),
            core_density_laid: error.core.map(|c| c.1),
            section_moments_share: error.moments,
            reserve_shares: error.reserves.clone(),
        },
        tried: advice.tried,
        assumptions: &file.assumptions,
    };
    // Every value is a number, text, list or map with text keys: nothing that JSON cannot hold.
    let mut text = serde_json::to_string_pretty(&report).unwrap_or_default();
    text.push('\n');
    text
}

fn case_report(case: &crate::strength::CaseResult) -> CaseReport<'_> {
    let known = case.undetermined.is_none();
    CaseReport {
        name: &case.name,
        mode: case.governing().filter(|_| known).map(|c| c.mode.word()),
        reserve: case.reserve().filter(|_| known),
        reserve_typical: case.reserve_typical().filter(|_| known),
        undetermined: case.undetermined.as_deref(),
    }
}

fn settings(advice: &Advice, choice: &Choice) -> SettingsReport {
    SettingsReport {
        walls: choice.walls,
        core_density: choice.core_density(),
        core_pattern: choice.core.words(),
        bottom_skin_layers: choice.bottom_skins,
        top_skin_layers: choice.top_skins,
        bead_width_mm: choice.bead_width_mm(),
        layer_height_mm: choice.layer_height_mm().unwrap_or(advice.file.layer_height_mm),
    }
}

fn offer_report<'a>(advice: &Advice, offer: &'a Offer) -> OfferReport<'a> {
    OfferReport {
        settings: settings(advice, &offer.choice),
        mass_g: offer.mass_g,
        volume_mm3: offer.volume_mm3,
        cost: offer.cost,
        time_s: offer.time_s,
        reserve: offer.reserve(),
        governing: governing_words(offer),
        least_section_mm2: offer.least_section_mm2,
        cases: offer.cases.iter().map(case_report).collect(),
        missing: offer.missing.iter().map(|f| f.message.as_str()).collect(),
    }
}
