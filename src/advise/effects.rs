//! What one change alone does, from the file's own settings.

use super::bench::Offer;
use super::choice::Choice;
use super::search::{Goal, strength};

/// One change and what it does, as shares of the file's own settings laid again.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// What is turned.
    pub turn: Turn,
    /// The settings after it.
    pub choice: Choice,
    /// Change of the reserve (of the weakest section, where no load was asked for).
    pub strength: Option<f64>,
    /// Change of the time.
    pub time: f64,
    /// Change of the mass (of the plastic, where a material is not known).
    pub mass: f64,
}

/// What a change turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Turn {
    /// Bands with fewer walls or another flow laid like the rest.
    FaultsMended,
    /// Walls.
    Walls,
    /// Share of the core that is filled.
    CoreDensity,
    /// How the core's lines run.
    CorePattern,
    /// Solid layers at floors and roofs.
    Skins,
    /// Width of a bead.
    BeadWidth,
    /// Thickness of a layer.
    LayerHeight,
}

impl Turn {
    /// The setting in which two choices differ; the first of them where they differ in several.
    pub(super) fn between(from: &Choice, to: &Choice) -> Self {
        if from.walls != to.walls {
            Self::Walls
        } else if from.core_percent != to.core_percent {
            Self::CoreDensity
        } else if from.core != to.core {
            Self::CorePattern
        } else if (from.bottom_skins, from.top_skins) != (to.bottom_skins, to.top_skins) {
            Self::Skins
        } else if from.bead_width_um != to.bead_width_um {
            Self::BeadWidth
        } else {
            Self::LayerHeight
        }
    }
}

impl Change {
    /// What `to` does against `from`.
    pub(super) fn between(turn: Turn, from: &Offer, to: &Offer) -> Self {
        let share = |of: fn(&Offer) -> f64| of(to) / of(from) - 1.0;
        Self {
            turn,
            choice: to.choice,
            strength: strength(to).zip(strength(from)).map(|(to, from)| to / from - 1.0),
            time: share(|o| o.time_s),
            mass: share(|o| Goal::Mass.of(o)),
        }
    }
}

/// More core against more walls: what one percent of time buys of strength, by either.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoreAgainstWalls {
    /// The fuller core.
    pub core: Choice,
    /// What it does to the strength.
    pub core_strength: f64,
    /// What it does to the time.
    pub core_time: f64,
    /// The walls.
    pub walls: Choice,
    /// What they do to the strength.
    pub walls_strength: f64,
    /// What they do to the time.
    pub walls_time: f64,
}

/// A fuller core is a waste when it buys less than this share of what walls buy for the same time.
const WASTE: f64 = 0.34;

/// Whether more infill is a waste here: it gains little that can be told from the advice's own error, or far less for
/// its time than walls do.
pub(super) fn waste_of_core(changes: &[Change], own: &Choice, error: f64) -> Option<CoreAgainstWalls> {
    let more = |turn: Turn, is_more: &dyn Fn(&Choice) -> bool| {
        let of = changes.iter().filter(|c| c.turn == turn && is_more(&c.choice) && c.time > 0.0);
        of.max_by(|a, b| a.time.total_cmp(&b.time))
    };
    let core = more(Turn::CoreDensity, &|c| c.core_percent > own.core_percent && c.core_percent < 100)?;
    let walls = more(Turn::Walls, &|c| c.walls > own.walls)?;
    let (core_strength, walls_strength) = (core.strength?, walls.strength?);
    let buys = |strength: f64, time: f64| strength.max(0.0) / time;
    let waste = walls_strength > error
        && (core_strength < error || buys(core_strength, core.time) < WASTE * buys(walls_strength, walls.time));
    waste.then_some(CoreAgainstWalls {
        core: core.choice,
        core_strength,
        core_time: core.time,
        walls: walls.choice,
        walls_strength,
        walls_time: walls.time,
    })
}
