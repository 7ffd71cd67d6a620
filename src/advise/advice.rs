//! The advice: what the file comes to, what would hold for the least, and what settings cannot mend.

use super::bench::{Asked, Bench, Offer};
use super::beyond::{Beyond, beyond};
use super::choice::Choice;
use super::effects::{Change, CoreAgainstWalls, Turn, waste_of_core};
use super::own_error::OwnError;
use super::relaid::{Relaid, lay_again};
use super::search::{Goal, Search, Tries, strength};
use super::space::{Space, raised, single_changes};
use crate::audit::{AuditContext, Finding, Weight, audit_print};
use crate::measure::{MeasureError, PrintMeasures, Setup};
use crate::profile::Material;
use crate::rebead::Flaw;
use crate::strength::CaseResult;

/// Offers are laid as long as their G-code together stays under this, bytes: some seconds of work.
const WORK_BYTES: usize = 14_000_000;
/// But at least, and at most, so many.
const FEWEST_TRIES: usize = 44;
const MOST_TRIES: usize = 120;
/// The advice's own error in a reserve is taken for no more than this: beyond it the advice says so instead.
const MOST_MARGIN: f64 = 0.1;
/// Differences are never told finer than this.
const FINEST: f64 = 0.005;
/// Offers on the edge that are shown.
const SHOWN: usize = 7;

/// What is asked of the advice, beside what is asked of the part.
#[derive(Debug, Clone, Copy)]
pub struct Request<'a> {
    /// What the part must do.
    pub asked: Asked<'a>,
    /// What is to be least.
    pub goal: Goal,
    /// Materials that might be printed instead.
    pub other_materials: &'a [Material],
    /// Most offers that are laid; as many as the part's size allows where nothing is said.
    pub most_tries: Option<usize>,
}

/// How it stands with the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// It holds as it is, and nothing that was tried holds for less.
    Holds,
    /// It holds as it is, and other settings hold for less.
    CanBeCheaper,
    /// It does not hold as it is; other settings do.
    CanBeMended,
    /// It does not hold, and no settings that were tried do.
    CannotBeMended,
    /// A load cannot be judged.
    Undetermined,
    /// The file laid again comes out so far from the file that no advice can come of it.
    NotUnderstood,
}

/// The file as it was measured.
#[derive(Debug, Clone)]
pub struct AsMeasured {
    /// Mass, g.
    pub mass_g: Option<f64>,
    /// Plastic, mm³.
    pub volume_mm3: f64,
    /// Price.
    pub cost: Option<f64>,
    /// Time, s.
    pub time_s: f64,
    /// What its load cases came to.
    pub cases: Vec<CaseResult>,
    /// What the strength profile asks for and it does not have.
    pub missing: Vec<Finding>,
    /// Thickness of its layers, mm.
    pub layer_height_mm: f64,
}

/// The advice for one file.
#[derive(Debug, Clone)]
pub struct Advice {
    /// How it stands.
    pub standing: Standing,
    /// What was to be least.
    pub goal: Goal,
    /// Reserve that is wanted, and that offers must promise: the advice's own error is in it.
    pub wanted: f64,
    /// See [`Advice::wanted`].
    pub needed: f64,
    /// The file itself.
    pub file: AsMeasured,
    /// Faults that were found in it, in layers.
    pub faults: Vec<Flaw>,
    /// The file laid again with its own settings and without its faults.
    pub own: Offer,
    /// How far laying it again comes from the file.
    pub error: OwnError,
    /// The cheapest that holds.
    pub best: Option<Offer>,
    /// The strongest that was laid.
    pub strongest: Option<Offer>,
    /// A few of those that no other beats, the cheapest first.
    pub edge: Vec<Offer>,
    /// What one change alone does.
    pub changes: Vec<Change>,
    /// More infill is a waste here, and by how much.
    pub waste_of_core: Option<CoreAgainstWalls>,
    /// What settings cannot mend.
    pub beyond: Vec<Beyond>,
    /// How many offers were laid and measured.
    pub tried: usize,
    /// The whole part laid with the best settings, as G-code that can be read and audited.
    pub best_laid: Option<String>,
}

impl Advice {
    /// Whether the program should say no.
    #[must_use]
    pub const fn refuses(&self) -> bool {
        matches!(self.standing, Standing::CannotBeMended | Standing::Undetermined | Standing::NotUnderstood)
    }

    /// Differences of reserve smaller than this are not told, as a share.
    #[must_use]
    pub fn strength_error(&self) -> f64 {
        self.error.reserve().unwrap_or(0.0).max(FINEST)
    }

    /// Differences of time smaller than this are not told, as a share.
    #[must_use]
    pub fn time_error(&self) -> f64 {
        self.error.time.abs().max(FINEST)
    }

    /// Differences of mass smaller than this are not told, as a share.
    #[must_use]
    pub fn mass_error(&self) -> f64 {
        self.error.mass.abs().max(FINEST)
    }
}

/// Advises on a file; `measures` and `cases` are what was measured in it and what its loads came to.
///
/// # Errors
/// As for measuring a file.
pub fn advise(
    bytes: &[u8],
    setup: &Setup,
    request: Request<'_>,
    measures: &PrintMeasures,
    cases: &[CaseResult],
    tries: Tries<'_>,
) -> Result<Advice, MeasureError> {
    let asked = request.asked;
    let relaid = lay_again(bytes, setup, asked, measures, cases)?;
    let bench = Bench { density_factor: relaid.density_factor, ..Bench::new(&relaid.survey, asked, setup, measures) };
    let file = as_measured(setup, asked, measures, cases);
    let own = own_offer(&bench, &relaid)?;
    let margin = relaid.error.reserve().unwrap_or(0.0).min(MOST_MARGIN);
    let needed = asked.reserve * (1.0 + margin);
    let space = Space::around(&own.choice, file.layer_height_mm, &bench.setup.machine, asked.strength);
    let budget = request.most_tries.unwrap_or_else(|| budget(&bench, &own.choice));
    let mut search = Search::new(&bench, &space, own.clone(), request.goal, needed);
    let singles = single_changes(&own.choice, &space, file.layer_height_mm);
    let understood = !relaid.error.is_too_far();
    if understood && strength(&own).is_some() {
        let least = space.plain(raised(&own.choice, file.layer_height_mm, asked.strength));
        let start = std::iter::once(least).chain(singles.iter().map(|(_, choice)| *choice)).collect();
        search.run(start, budget, tries)?;
        if !search.offers().any(|o| o.holds(needed)) {
            search.lay(strongest_choices(&space, &own.choice))?;
        }
    }
    let changes = changes(&search, &singles, &relaid, &own);
    let error = relaid.error.reserve().unwrap_or(0.0).max(FINEST);
    let strongest = search.offers().filter(|o| strength(o).is_some()).max_by(|a, b| stronger(a, b)).cloned();
    let best = match understood {
        true => best(&search, &own.choice, needed, &relaid.error, request.goal),
        false => None,
    };
    let beyond = match best.as_ref().or(strongest.as_ref()) {
        Some(reached) if understood => beyond(&bench, &own, reached, needed, request.other_materials)?,
        _ => Vec::new(),
    };
    let standing = standing(&file, asked.reserve, best.as_ref(), &own, request.goal, &relaid.error);
    Ok(Advice {
        standing,
        goal: request.goal,
        wanted: asked.reserve,
        needed,
        faults: relaid.survey.settings.flaws.clone(),
        edge: shown(&search.edge(), best.as_ref(), needed, error),
        waste_of_core: waste_of_core(&changes, &own.choice, error),
        tried: search.offers().count(),
        best_laid: best.as_ref().and_then(|best| bench.whole_text(&best.choice)),
        error: relaid.error,
        file,
        own,
        best,
        strongest,
        changes,
        beyond,
    })
}

fn as_measured(setup: &Setup, asked: Asked<'_>, measures: &PrintMeasures, cases: &[CaseResult]) -> AsMeasured {
    let context = AuditContext { measures, setup, strength: asked.strength, cases: &[] };
    let missing = audit_print(&context).findings.into_iter().filter(|f| f.weight == Weight::Fail).collect();
    AsMeasured {
        mass_g: measures.totals.mass_g,
        volume_mm3: measures.totals.volume_mm3,
        cost: measures.totals.cost,
        time_s: measures.totals.time.total_s(),
        cases: cases.to_vec(),
        missing,
        layer_height_mm: measures.part.layer_height_mm.unwrap_or(0.2),
    }
}

/// The file's settings without its faults; what was laid already, where it has none.
fn own_offer(bench: &Bench<'_>, relaid: &Relaid) -> Result<Offer, MeasureError> {
    if relaid.survey.settings.flaws.is_empty() {
        return Ok(relaid.offer.clone());
    }
    Ok(bench.offer(&relaid.offer.choice)?.unwrap_or_else(|| relaid.offer.clone()))
}

/// How many offers may be laid: the bigger the part, the fewer, so that nobody waits long.
fn budget(bench: &Bench<'_>, own: &Choice) -> usize {
    let settings = own.settings(&bench.survey.settings, bench.density_factor);
    (WORK_BYTES / bench.work_bytes(&settings).max(1)).clamp(FEWEST_TRIES, MOST_TRIES)
}

/// The most that settings can do: walls and core to the full.
fn strongest_choices(space: &Space, own: &Choice) -> Vec<Choice> {
    let most_walls = space.walls.last().copied().unwrap_or(own.walls);
    let (bottom_skins, top_skins) = space.skins.last().copied().unwrap_or((own.bottom_skins, own.top_skins));
    let full = Choice { core_percent: 100, ..*own };
    [full, Choice { walls: most_walls, ..full }, Choice { walls: most_walls, bottom_skins, top_skins, ..full }]
        .map(|choice| space.plain(choice))
        .to_vec()
}

fn stronger(a: &Offer, b: &Offer) -> std::cmp::Ordering {
    strength(a).unwrap_or(f64::NEG_INFINITY).total_cmp(&strength(b).unwrap_or(f64::NEG_INFINITY))
}

/// The cheapest on the edge that holds; of those that the advice cannot tell apart, the one that changes least.
fn best(search: &Search<'_>, own: &Choice, needed: f64, error: &OwnError, goal: Goal) -> Option<Offer> {
    let edge = search.edge();
    let holding: Vec<&&Offer> = edge.iter().filter(|o| o.holds(needed)).collect();
    let cheapest = holding.first().map(|o| goal.of(o))?;
    let blur = if goal == Goal::Time { error.time } else { error.mass }.abs().max(FINEST);
    let alike = holding.iter().filter(|o| goal.of(o) <= cheapest * (1.0 + blur));
    alike.min_by_key(|o| turned_settings(own, &o.choice)).map(|o| (**o).clone())
}

/// In how many settings two choices differ.
fn turned_settings(a: &Choice, b: &Choice) -> usize {
    [
        a.walls != b.walls,
        a.core_percent != b.core_percent,
        a.core != b.core,
        (a.bottom_skins, a.top_skins) != (b.bottom_skins, b.top_skins),
        a.bead_width_um != b.bead_width_um,
        a.layer_height_um != b.layer_height_um,
    ]
    .into_iter()
    .filter(|differs| *differs)
    .count()
}

fn changes(search: &Search<'_>, singles: &[(Turn, Choice)], relaid: &Relaid, own: &Offer) -> Vec<Change> {
    let mut changes = Vec::new();
    if !relaid.survey.settings.flaws.is_empty() {
        changes.push(Change::between(Turn::FaultsMended, &relaid.offer, own));
    }
    changes
        .extend(singles.iter().filter_map(|(turn, choice)| Some(Change::between(*turn, own, search.offer(choice)?))));
    changes
}

fn standing(
    file: &AsMeasured,
    wanted: f64,
    best: Option<&Offer>,
    own: &Offer,
    goal: Goal,
    error: &OwnError,
) -> Standing {
    let unknown = file.cases.iter().any(|case| case.undetermined.is_some() || case.reserve().is_none());
    let borne = file.cases.iter().all(|case| case.reserve().is_some_and(|reserve| reserve >= wanted));
    let blur = if goal == Goal::Time { error.time } else { error.mass }.abs().max(FINEST);
    match best {
        _ if error.is_too_far() => Standing::NotUnderstood,
        _ if unknown => Standing::Undetermined,
        Some(best) if borne && file.missing.is_empty() => {
            if goal.of(best) < goal.of(own) * (1.0 - blur) {
                Standing::CanBeCheaper
            } else {
                Standing::Holds
            }
        }
        _ if borne && file.missing.is_empty() => Standing::Holds,
        Some(_) => Standing::CanBeMended,
        None => Standing::CannotBeMended,
    }
}

/// A few offers of the edge that can be told apart, around what is wanted; the best is always among them.
fn shown(whole: &[&Offer], best: Option<&Offer>, needed: f64, error: f64) -> Vec<Offer> {
    let apart = 1.0 + (2.0 * error).max(0.05);
    let mut kept: Vec<&Offer> = Vec::new();
    for offer in whole {
        let is_best = best.is_some_and(|b| b.choice == offer.choice);
        let bears = strength(offer).unwrap_or(0.0);
        let last = kept.last().and_then(|o| strength(o)).unwrap_or(0.0);
        if is_best || bears > last * apart {
            kept.push(offer);
        }
    }
    // Of too many, those nearest to what is wanted.
    let off = |o: &Offer| (strength(o).unwrap_or(0.0) / needed).ln().abs();
    while kept.len() > SHOWN {
        let keep = |o: &Offer| best.is_some_and(|b| b.choice == o.choice);
        let furthest =
            (0..kept.len()).filter(|i| !keep(kept[*i])).max_by(|a, b| off(kept[*a]).total_cmp(&off(kept[*b])));
        match furthest {
            Some(i) => drop(kept.remove(i)),
            None => break,
        }
    }
    kept.into_iter().cloned().collect()
}
