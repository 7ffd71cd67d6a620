//! What a part can bear in one mode, and what a case came to.

use crate::geom::Point;
use crate::profile::{Pair, Spread};

/// How a part gives way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mode {
    /// The plastic under the pressed patch is crushed.
    PressedFace,
    /// The skin under the patch bends in between the core's lines.
    SkinBending,
    /// A whole section is crushed, its walls and cells buckling where they are free.
    SectionCrush,
    /// The part buckles as a column.
    Column,
    /// It tears along the layers.
    AlongLayers,
    /// It parts between two layers.
    AcrossLayers,
    /// It breaks in bending.
    Bending,
    /// Its webs shear.
    WebShear,
    /// It breaks in twisting.
    Twisting,
    /// The plastic under a bolt's head is crushed.
    Bearing,
    /// The roof over an insert is sheared out.
    RoofShear,
    /// The roof over an insert bends through.
    RoofBending,
}

impl Mode {
    /// The word used in JSON and reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::PressedFace => "pressed-face",
            Self::SkinBending => "skin-bending",
            Self::SectionCrush => "section-crush",
            Self::Column => "column-buckling",
            Self::AlongLayers => "along-layers",
            Self::AcrossLayers => "across-layers",
            Self::Bending => "bending",
            Self::WebShear => "web-shear",
            Self::Twisting => "twisting",
            Self::Bearing => "bearing",
            Self::RoofShear => "roof-shear",
            Self::RoofBending => "roof-bending",
        }
    }

    /// What would raise the capacity.
    #[must_use]
    pub const fn what_helps(self) -> &'static str {
        match self {
            Self::PressedFace => "more walls where it is pressed, a fuller core under the face, or a wider contact",
            Self::SkinBending => "thicker skins or a closer core",
            Self::SectionCrush => "a fuller core or more walls",
            Self::Column => "a shorter or thicker part",
            Self::AlongLayers => "more walls or skins along the pull",
            Self::AcrossLayers => {
                "turn the part so that the pull runs along the layers; else more walls and a fuller core"
            }
            Self::Bending => "more walls and skins at the outside, or a deeper section",
            Self::WebShear => "more walls along the force, or a fuller core",
            Self::Twisting => "more walls all round, and a core that keeps them apart",
            Self::Bearing => "a washer, more walls round the hole, or a fuller core under the head",
            Self::RoofShear | Self::RoofBending => {
                "more solid layers over the insert, or put it in from the other side"
            }
        }
    }
}

/// Where it gives way.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Place {
    /// In words.
    pub words: String,
    /// The layer.
    pub layer: Option<usize>,
    /// Height, mm.
    pub z_mm: Option<f64>,
    /// In plan, mm.
    pub at: Option<Point>,
}

/// What a part can bear in one mode.
#[derive(Debug, Clone, PartialEq)]
pub struct Capacity {
    /// How it gives way.
    pub mode: Mode,
    /// Where.
    pub place: Place,
    /// N, or N mm for twisting: low on low values, likely on typical ones, high with the most credit for the core.
    pub bears: Spread,
    /// The formula with the numbers put in.
    pub working: String,
}

impl Capacity {
    /// A capacity from strengths and three sizes of what carries; `times` turns MPa into N (or N mm).
    #[must_use]
    pub fn new(mode: Mode, place: Place, strength: Pair, times: Spread, working: String) -> Self {
        let bears = Spread {
            low: strength.low * times.low,
            likely: strength.typical * times.likely,
            high: strength.typical * times.high,
        };
        Self { mode, place, bears, working }
    }
}

/// The answer to a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Holds {
    /// The wanted reserve is there on low values.
    Holds,
    /// From 1 up to the wanted reserve: does not pass; marks and wear are to be expected.
    AtTheLimit,
    /// Below 1.
    WillNotHold,
}

/// What a case came to.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseResult {
    /// Name of the case.
    pub name: String,
    /// Its load, N (N mm for twisting).
    pub load: f64,
    /// Whether the load is a torque.
    pub is_torque: bool,
    /// Reserve that is wanted on low values.
    pub wanted: f64,
    /// Material it was judged with.
    pub material: String,
    /// Every mode that was looked at, the weakest first.
    pub capacities: Vec<Capacity>,
    /// What lowered the strength, what was assumed.
    pub remarks: Vec<String>,
    /// Why nothing can be said, if so.
    pub undetermined: Option<String>,
}

impl CaseResult {
    /// The mode that governs.
    #[must_use]
    pub fn governing(&self) -> Option<&Capacity> {
        self.capacities.first()
    }

    /// Capacity over load on low values.
    #[must_use]
    pub fn reserve(&self) -> Option<f64> {
        self.governing().map(|c| c.bears.low / self.load)
    }

    /// Capacity over load on typical values, of the mode that is weakest then.
    #[must_use]
    pub fn reserve_typical(&self) -> Option<f64> {
        self.capacities.iter().map(|c| c.bears.likely / self.load).min_by(f64::total_cmp)
    }

    /// The answer; `None` where nothing can be said.
    #[must_use]
    pub fn holds(&self) -> Option<Holds> {
        let reserve = self.reserve().filter(|_| self.undetermined.is_none())?;
        Some(if reserve >= self.wanted {
            Holds::Holds
        } else if reserve >= 1.0 {
            Holds::AtTheLimit
        } else {
            Holds::WillNotHold
        })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn result(load: f64) -> CaseResult {
        let capacity = |mode, low, likely| Capacity {
            mode,
            place: Place::default(),
            bears: Spread { low, likely, high: likely },
            working: String::new(),
        };
        CaseResult {
            name: "push".to_owned(),
            load,
            is_torque: false,
            wanted: 3.0,
            material: "even".to_owned(),
            capacities: vec![capacity(Mode::SectionCrush, 300.0, 600.0), capacity(Mode::Column, 350.0, 400.0)],
            remarks: vec![],
            undetermined: None,
        }
    }

    #[test]
    fn reserve_is_capacity_over_load_of_the_mode_that_is_weakest() {
        let case = result(120.0);
        assert_eq!(case.governing().unwrap().mode, Mode::SectionCrush);
        assert_eq!((case.reserve(), case.reserve_typical()), (Some(2.5), Some(400.0 / 120.0)));
        let bears = Capacity::new(
            Mode::Bending,
            Place::default(),
            Pair { low: 30.0, typical: 45.0 },
            Spread { low: 2.0, likely: 3.0, high: 4.0 },
            String::new(),
        )
        .bears;
        assert_eq!(bears, Spread { low: 60.0, likely: 135.0, high: 180.0 });
    }

    #[test]
    fn a_verdict_changes_at_the_wanted_reserve_and_at_one() {
        for (load, holds) in [
            (99.0, Holds::Holds),
            (100.0, Holds::Holds),
            (101.0, Holds::AtTheLimit),
            (300.0, Holds::AtTheLimit),
            (301.0, Holds::WillNotHold),
        ] {
            assert_eq!(result(load).holds(), Some(holds), "{load}");
        }
        // Nothing that is not known holds.
        assert_eq!(CaseResult { undetermined: Some("no bond".to_owned()), ..result(1.0) }.holds(), None);
        assert_eq!(CaseResult { capacities: vec![], ..result(1.0) }.holds(), None);
        assert_eq!(result(f64::NAN).holds(), Some(Holds::WillNotHold));
    }
}
