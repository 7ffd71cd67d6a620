//! Lays a part with other settings and measures what comes of it, with the same code as a file.
//!
//! The beads go through G-code in memory, so that the motion planner gives the time and nothing is measured in
//! another way than in a file that is read.

use super::choice::{Choice, relayered};
use super::stack::{shortened, unshortened};
use super::survey::Survey;
use crate::audit::{AuditContext, Finding, Weight, audit_print};
use crate::measure::{MeasureError, PrintMeasures, Repeats, Setup, StackMeasures, measure_stack};
use crate::profile::{Annotations, CaseKind, LoadCases, Machine, Material, StrengthProfile, Waits};
use crate::rebead::{Dialect, Seam, Settings, Slice, Speeds, Words, lay, write};
use crate::strength::{CaseResult, judge_cases, looks_of};
use std::collections::BTreeMap;

/// What is asked of a part.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The strength profile, if one is to be met.
    pub strength: Option<&'a StrengthProfile>,
    /// The loads it must bear.
    pub cases: &'a LoadCases,
    /// Reserve wanted on low values.
    pub reserve: f64,
}

/// What a part comes to when it is laid with some settings.
#[derive(Debug, Clone)]
pub struct Offer {
    /// The settings that were turned.
    pub choice: Choice,
    /// Plastic, with what does not depend on the settings, mm³.
    pub volume_mm3: f64,
    /// Mass, g, if every material is known.
    pub mass_g: Option<f64>,
    /// Price, if every price is known.
    pub cost: Option<f64>,
    /// Time, waiting included, s.
    pub time_s: f64,
    /// What the load cases came to.
    pub cases: Vec<CaseResult>,
    /// What the strength profile asks for and this does not have.
    pub missing: Vec<Finding>,
    /// Least section of any layer, mm².
    pub least_section_mm2: Option<f64>,
}

impl Offer {
    /// The least reserve of all load cases on low values; `None` where one cannot be judged, or none was asked for.
    #[must_use]
    pub fn reserve(&self) -> Option<f64> {
        least_reserve(&self.cases)
    }

    /// The case with the least reserve.
    #[must_use]
    pub fn weakest_case(&self) -> Option<&CaseResult> {
        let known = self.cases.iter().filter_map(|case| Some((case.reserve()?, case)));
        known.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, case)| case)
    }

    /// Whether it holds with the wanted reserve and has all that the profile asks for.
    #[must_use]
    pub fn holds(&self, wanted: f64) -> bool {
        let borne = self.cases.is_empty() || self.reserve().is_some_and(|reserve| reserve >= wanted);
        borne && self.missing.is_empty()
    }
}

/// Everything that laying and measuring again needs.
pub(super) struct Bench<'a> {
    pub survey: &'a Survey,
    pub asked: Asked<'a>,
    pub setup: Setup,
    /// Density that is laid over density that is then measured, for the file's own kind of core.
    pub density_factor: f64,
    /// The most plastic that may come out in a second, mm³/s.
    pub most_flow_mm3_s: Option<f64>,
}

/// Slices laid without their repeats, and measured.
pub(super) struct Stacked {
    stack: StackMeasures,
    repeats: Repeats,
}

impl Stacked {
    /// What was measured of the whole part.
    pub const fn measures(&self) -> &PrintMeasures {
        &self.stack.measures
    }
}

impl<'a> Bench<'a> {
    pub fn new(survey: &'a Survey, asked: Asked<'a>, setup: &Setup, measures: &PrintMeasures) -> Self {
        let mut machine = setup.machine.clone();
        // Waiting does not depend on the settings; it is carried over from the file.
        machine.waits = Waits::default();
        let own = measures.flow.peak.map(|(flow, _)| flow);
        let most_flow_mm3_s = match (machine.max_flow_mm3_s, own) {
            (Some(most), Some(own)) => Some(most.max(own)),
            (most, own) => most.or(own),
        };
        let setup = setup_of(&machine, setup.materials.clone(), setup.material.clone());
        Self { survey, asked, setup, density_factor: 1.0, most_flow_mm3_s }
    }

    /// What a choice comes to; `None` where the outlines do not allow its layers.
    pub fn offer(&self, choice: &Choice) -> Result<Option<Offer>, MeasureError> {
        let settings = choice.settings(&self.survey.settings, self.density_factor);
        let relaid = match choice.layer_height_mm() {
            Some(height_mm) => match relayered(&self.survey.slices, height_mm) {
                Some(slices) => Some(slices),
                None => return Ok(None),
            },
            None => None,
        };
        let slices = relaid.as_deref().unwrap_or(&self.survey.slices);
        let stacked = self.stacked(slices, &settings)?;
        // Where some layer came out empty the others do not stand for those they should.
        let whole = stacked.measures().layers.len() == slices.len();
        if whole { Ok(Some(self.judged(&stacked, *choice)?)) } else { Ok(None) }
    }

    /// Slices laid with settings and measured, as far as the loads look at it.
    pub fn stacked(&self, slices: &[Slice], settings: &Settings) -> Result<Stacked, MeasureError> {
        let (text, repeats) = self.text_of(slices, settings);
        let stack = measure_stack(text.as_bytes(), &self.setup, &repeats, looks_of(self.asked.cases))?;
        Ok(Stacked { stack, repeats })
    }

    /// What a choice bears when it is laid of other materials.
    pub fn judged_as(&self, choice: &Choice, materials: &[&Material]) -> Result<Vec<Vec<CaseResult>>, MeasureError> {
        let settings = choice.settings(&self.survey.settings, self.density_factor);
        let stacked = self.stacked(&self.survey.slices, &settings)?;
        let judge = |material: &&Material| {
            let setup = setup_of(&self.setup.machine, BTreeMap::new(), Some((*material).clone()));
            self.cases(&stacked, &setup)
        };
        materials.iter().map(judge).collect()
    }

    /// What has to be laid of slices; all of them where a load follows a pocket through the part.
    fn shortened(&self, slices: &[Slice], settings: &Settings) -> (Vec<Slice>, Settings, Repeats) {
        let follows_pockets = self.asked.cases.case.iter().any(|case| case.kind == CaseKind::PullOut);
        if follows_pockets { unshortened(slices, settings) } else { shortened(slices, settings) }
    }

    /// The G-code of a part without its repeats, on the machine of the file, and which layers repeat.
    fn text_of(&self, slices: &[Slice], settings: &Settings) -> (String, Repeats) {
        let (short, settings, mut repeats) = self.shortened(slices, settings);
        let laid = lay(&short, &self.runnable(&short, settings));
        repeats.alike = laid.layers.iter().map(|l| l.alike).collect();
        (write(&laid, &plainly(), &self.survey.limits), repeats)
    }

    /// The G-code of the whole part with a choice of settings, as a file that can be read and audited.
    pub fn whole_text(&self, choice: &Choice) -> Option<String> {
        let settings = choice.settings(&self.survey.settings, self.density_factor);
        let relaid = match choice.layer_height_mm() {
            Some(height_mm) => relayered(&self.survey.slices, height_mm)?,
            None => self.survey.slices.clone(),
        };
        let laid = lay(&relaid, &self.runnable(&relaid, settings));
        Some(write(&laid, &plainly(), &self.survey.limits))
    }

    /// Settings at which the hot end keeps up, and whose seams do not wander, so that layers can be alike.
    fn runnable(&self, slices: &[Slice], settings: Settings) -> Settings {
        let height_mm = slices.get(1).or(slices.first()).map_or(0.0, |s| s.height_mm);
        let speeds = self.within_flow(settings.speeds, settings.bead_area_mm2(height_mm));
        let seam = match settings.seam {
            Seam::Scattered(_) => Settings::default().seam,
            near @ Seam::Near(_) => near,
        };
        Settings { speeds, seam, ..settings }
    }

    /// How much G-code it takes to lay these settings, bytes.
    pub fn work_bytes(&self, settings: &Settings) -> usize {
        self.text_of(&self.survey.slices, settings).0.len()
    }

    /// Speeds at which beads of this section do not ask for more plastic than comes out.
    fn within_flow(&self, speeds: Speeds, area_mm2: f64) -> Speeds {
        let Some(most) = self.most_flow_mm3_s.map(|flow| flow / area_mm2).filter(|v| v.is_finite()) else {
            return speeds;
        };
        Speeds {
            outer_wall: speeds.outer_wall.min(most),
            inner_wall: speeds.inner_wall.min(most),
            sparse: speeds.sparse.min(most),
            solid: speeds.solid.min(most),
            slow: speeds.slow.min(most),
            first_layer: speeds.first_layer.min(most),
            ..speeds
        }
    }

    fn cases(&self, stacked: &Stacked, setup: &Setup) -> Result<Vec<CaseResult>, MeasureError> {
        judge_cases(setup, stacked.measures(), self.asked.cases, self.asked.reserve, |probes| {
            Ok(stacked.stack.probed(&stacked.repeats, probes))
        })
    }

    /// What comes of slices that were laid and measured.
    pub fn judged(&self, stacked: &Stacked, choice: Choice) -> Result<Offer, MeasureError> {
        let cases = self.cases(stacked, &self.setup)?;
        let stack = &stacked.stack;
        let carried = &self.survey.carried;
        let by_tool = |of: &dyn Fn(&Material, f64) -> Option<f64>| -> Option<f64> {
            carried.volume_mm3.iter().map(|(tool, mm3)| of(self.setup.material(*tool)?, *mm3)).sum()
        };
        Ok(Offer {
            choice,
            volume_mm3: stack.volume_mm3 + carried.volume_mm3.values().sum::<f64>(),
            mass_g: stack.mass_g.zip(by_tool(&|material, mm3| Some(material.mass_g(mm3)))).map(|(a, b)| a + b),
            cost: stack.cost.zip(by_tool(&|material, mm3| material.cost(mm3))).map(|(a, b)| a + b),
            time_s: stack.time_s + carried.time_s,
            missing: self.missing(&stack.measures),
            least_section_mm2: least_section(&stack.measures),
            cases,
        })
    }

    /// What the strength profile asks for and these measures do not have.
    fn missing(&self, measures: &PrintMeasures) -> Vec<Finding> {
        let context = AuditContext { measures, setup: &self.setup, strength: self.asked.strength, cases: &[] };
        let findings = audit_print(&context).findings;
        findings.into_iter().filter(|f| f.weight == Weight::Fail).collect()
    }
}

/// G-code with nothing in it but what is needed.
fn plainly() -> Dialect {
    Dialect {
        relative_e: true,
        words: Words::Silent,
        layer_comments: false,
        temperatures: false,
        trimmed: true,
        ..Dialect::default()
    }
}

fn setup_of(machine: &Machine, materials: BTreeMap<u16, Material>, material: Option<Material>) -> Setup {
    let annotations = Annotations::none();
    Setup { machine: machine.clone(), materials, material, annotations, detail: false, strict: false }
}

/// The least reserve of some cases; `None` where one cannot be judged, or there are none.
pub(super) fn least_reserve(cases: &[CaseResult]) -> Option<f64> {
    let each = cases.iter().map(|c| c.reserve().filter(|_| c.undetermined.is_none()));
    each.collect::<Option<Vec<f64>>>()?.into_iter().min_by(f64::total_cmp)
}

/// Least section of any layer, mm².
pub(super) fn least_section(measures: &PrintMeasures) -> Option<f64> {
    measures.layers.iter().filter_map(|l| l.section.map(|s| s.area_mm2)).min_by(f64::total_cmp)
}
