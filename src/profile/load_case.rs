//! Load cases: a force, how it acts, where the part is held.
//!
//! ```toml
//! [[case]]
//! name = "flange in 18 gauge"
//! kind = "press"              # press, pull, bend, twist, bearing, pull-out
//! force_n = "6.8 kN"
//! face = "top"
//! ring_mm = [25.8, 29.8]      # or disc_mm, or box_mm
//! ```
//!
//! The same in one line, for an option: `press; force = 6.8 kN; face = top; ring = 25.8 x 29.8`.

use super::error::ProfileError;
use super::library::{Kind, find_profile};
use super::read::{Checked, Impossible, ensure, read_profile};
use serde::Deserialize;
use std::path::PathBuf;

/// How a load acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CaseKind {
    /// Presses on a patch of a face.
    Press,
    /// Pulls along an axis.
    Pull,
    /// Bends about an axis.
    Bend,
    /// Twists about an axis.
    Twist,
    /// Bears on a ring under a bolt's head or washer.
    Bearing,
    /// Pulls a built-in nut or magnet out through its roof.
    PullOut,
    /// Refused: lifting.
    Lift,
    /// Refused: supporting people.
    Person,
    /// Refused: pressure.
    Pressure,
}

impl CaseKind {
    /// The word used in TOML, JSON and reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Press => "press",
            Self::Pull => "pull",
            Self::Bend => "bend",
            Self::Twist => "twist",
            Self::Bearing => "bearing",
            Self::PullOut => "pull-out",
            Self::Lift => "lift",
            Self::Person => "person",
            Self::Pressure => "pressure",
        }
    }
}

/// A side of the part as it stands on the bed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Face {
    /// Away from the bed.
    #[default]
    Top,
    /// On the bed.
    Bottom,
    /// Towards lower x.
    Left,
    /// Towards higher x.
    Right,
    /// Towards lower y.
    Front,
    /// Towards higher y.
    Back,
}

impl Face {
    /// The word used in TOML, JSON and reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Bottom => "bottom",
            Self::Left => "left",
            Self::Right => "right",
            Self::Front => "front",
            Self::Back => "back",
        }
    }

    /// Axis the face looks along.
    #[must_use]
    pub const fn axis(self) -> Axis {
        match self {
            Self::Top | Self::Bottom => Axis::Z,
            Self::Left | Self::Right => Axis::X,
            Self::Front | Self::Back => Axis::Y,
        }
    }
}

/// An axis of the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Axis {
    /// Left to right.
    X,
    /// Front to back.
    Y,
    /// Up, across the layers.
    Z,
}

impl Axis {
    /// Its letter.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::X => "x",
            Self::Y => "y",
            Self::Z => "z",
        }
    }
}

/// How a bent part is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Held {
    /// Fixed at the low end of the axis, loaded at the other.
    #[default]
    LowEnd,
    /// Fixed at the high end of the axis, loaded at the other.
    HighEnd,
    /// Resting on both ends, loaded between them.
    BothEnds,
}

/// A load case.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoadCase {
    /// What it is called.
    pub name: String,
    /// How it acts.
    pub kind: CaseKind,
    /// Force, N; twisting has a torque instead.
    #[serde(default)]
    pub force_n: Option<f64>,
    /// Torque, N mm.
    #[serde(default)]
    pub torque_n_mm: Option<f64>,
    /// Face it presses or bears on.
    #[serde(default)]
    pub face: Face,
    /// Centre of the patch, mm, in the face's plane (x y, x z or y z); the part's middle if not given.
    #[serde(default)]
    pub at_mm: Option<[f64; 2]>,
    /// Patch: a ring's inner and outer diameter, mm.
    #[serde(default)]
    pub ring_mm: Option<[f64; 2]>,
    /// Patch: a disc's diameter, mm.
    #[serde(default)]
    pub disc_mm: Option<f64>,
    /// Patch: a box's sides, mm.
    #[serde(default)]
    pub box_mm: Option<[f64; 2]>,
    /// Axis of pulling or twisting, or the bent part's length.
    #[serde(default)]
    pub axis: Option<Axis>,
    /// Direction of a bending force.
    #[serde(default)]
    pub direction: Option<Axis>,
    /// How a bent part is held.
    #[serde(default)]
    pub held: Held,
    /// Where a bent part is held and ends along its axis, mm; the part's ends if not given.
    #[serde(default)]
    pub span_mm: Option<[f64; 2]>,
    /// Where a bending force acts along the axis, mm; the free end or the middle if not given.
    #[serde(default)]
    pub load_at_mm: Option<f64>,
    /// The insert that is pulled out.
    #[serde(default)]
    pub insert: Option<String>,
    /// Temperature of the part at work, °C.
    #[serde(default)]
    pub temperature_c: Option<f64>,
    /// It stays loaded for days.
    #[serde(default)]
    pub lasting: bool,
    /// Where the numbers come from.
    #[serde(default)]
    pub source: Option<String>,
}

/// The cases of one file.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoadCases {
    /// In the order of the file.
    pub case: Vec<LoadCase>,
}

/// Words in a case's name that mean what this program refuses.
const REFUSED_WORDS: &[(&str, &str)] = &[
    ("lift", LIFTING),
    ("lifting", LIFTING),
    ("hoist", LIFTING),
    ("crane", LIFTING),
    ("sling", LIFTING),
    ("climb", PEOPLE),
    ("climbing", PEOPLE),
    ("ladder", PEOPLE),
    ("person", PEOPLE),
    ("people", PEOPLE),
    ("rider", PEOPLE),
    ("gas", PRESSURE),
    ("pneumatic", PRESSURE),
];

const LIFTING: &str =
    "is refused: a printed part has no rated load and is never for lifting (ASME B30.20 and BTH-1 rule such devices)";
const PEOPLE: &str = "is refused: a printed part is never for supporting people";
const PRESSURE: &str = "is refused: a printed part is never for pressure vessels or gas fittings under pressure";

impl LoadCase {
    fn check(&self, at: &str) -> Result<(), Impossible> {
        let key = |name: &str| format!("{at}.{name}");
        match self.kind {
            CaseKind::Lift => return Err(Impossible::at(&key("kind"), LIFTING)),
            CaseKind::Person => return Err(Impossible::at(&key("kind"), PEOPLE)),
            CaseKind::Pressure => return Err(Impossible::at(&key("kind"), PRESSURE)),
            _ => {}
        }
        let name = self.name.to_lowercase();
        let words = || name.split(|c: char| !c.is_alphanumeric());
        if let Some((_, why)) = REFUSED_WORDS.iter().find(|(word, _)| words().any(|w| w == *word)) {
            return Err(Impossible::at(&key("name"), *why));
        }
        self.check_force(at)?;
        self.check_place(at)?;
        let warm = self.temperature_c.is_none_or(|c| (-60.0..400.0).contains(&c));
        ensure(warm, &key("temperature_c"), "must be between -60 and 400")
    }

    fn check_force(&self, at: &str) -> Result<(), Impossible> {
        let (given, other, name, none) = match self.kind {
            CaseKind::Twist => (self.torque_n_mm, self.force_n, "torque_n_mm", "force_n"),
            _ => (self.force_n, self.torque_n_mm, "force_n", "torque_n_mm"),
        };
        let Some(value) = given else {
            return Err(Impossible::at(at, format!("needs `{name}`: it loads nothing")));
        };
        ensure(value > 0.0, &format!("{at}.{name}"), "must be greater than 0")?;
        let message = format!("does not belong to a case of kind {}", self.kind.word());
        ensure(other.is_none(), &format!("{at}.{none}"), &message)
    }

    fn check_place(&self, at: &str) -> Result<(), Impossible> {
        let key = |name: &str| format!("{at}.{name}");
        let patches = [self.ring_mm.is_some(), self.disc_mm.is_some(), self.box_mm.is_some()];
        let count = patches.iter().filter(|p| **p).count();
        ensure(count <= 1, at, "has more than one patch; give ring_mm, disc_mm or box_mm")?;
        ensure(
            self.ring_mm.is_none_or(|[a, b]| a >= 0.0 && b > a),
            &key("ring_mm"),
            "must be [inner, outer] with inner < outer",
        )?;
        ensure(self.disc_mm.is_none_or(|d| d > 0.0), &key("disc_mm"), "must be greater than 0: it acts on nothing")?;
        let sides = self.box_mm.is_none_or(|[a, b]| a > 0.0 && b > 0.0);
        ensure(sides, &key("box_mm"), "must be two sides greater than 0: it acts on nothing")?;
        ensure(self.span_mm.is_none_or(|[a, b]| b > a), &key("span_mm"), "must be [from, to] with from < to")?;
        match self.kind {
            CaseKind::Bearing => {
                ensure(count == 1, at, "needs `ring_mm`: the hole and the head's or washer's diameter")
            }
            CaseKind::Bend => {
                ensure(self.axis.is_some(), at, "needs `axis`: the bent part's length")?;
                ensure(self.direction.is_some(), at, "needs `direction`: where the force points")?;
                ensure(self.axis != self.direction, &key("direction"), "must not be the part's own axis")
            }
            CaseKind::Pull => ensure(self.axis.is_some(), at, "needs `axis`: the direction of the pull"),
            _ => Ok(()),
        }
    }
}

impl Checked for LoadCases {
    fn check(&self) -> Result<(), Impossible> {
        ensure(!self.case.is_empty(), "case", "must hold at least one [[case]]")?;
        self.case.iter().enumerate().try_for_each(|(i, case)| case.check(&format!("case.{i}")))
    }
}

impl LoadCases {
    /// Cases by built-in name, by path, or written in one line as `press; force = 6.8 kN; disc = 20`.
    ///
    /// # Errors
    /// Where there is none, or something in it is wrong.
    pub fn load(text: &str) -> Result<Self, ProfileError> {
        Self::load_in(text, &[])
    }

    /// As [`LoadCases::load`]; profiles in `folders` come before the built-in ones.
    ///
    /// # Errors
    /// As [`LoadCases::load`].
    pub fn load_in(text: &str, folders: &[PathBuf]) -> Result<Self, ProfileError> {
        if text.contains('=') {
            return read_profile(&line_to_toml(text), "load case");
        }
        let found = find_profile(Kind::Load, text, folders)?;
        read_profile(&found.text, &found.origin)
    }
}

/// Short names of keys in a one-line case.
const SHORT: &[(&str, &str)] = &[
    ("force", "force_n"),
    ("torque", "torque_n_mm"),
    ("at", "at_mm"),
    ("ring", "ring_mm"),
    ("disc", "disc_mm"),
    ("box", "box_mm"),
    ("span", "span_mm"),
    ("load_at", "load_at_mm"),
    ("temperature", "temperature_c"),
];

/// A one-line case as TOML: `;` parts keys, `x` parts the two numbers of a pair, units stay as text.
fn line_to_toml(line: &str) -> String {
    let mut toml = String::from("[[case]]\n");
    let mut named = false;
    for part in line.split([';', '\n']).map(str::trim).filter(|p| !p.is_empty()) {
        let Some((key, value)) = part.split_once('=') else {
            let plain = part.replace(' ', "-");
            toml.push_str(&format!("kind = {plain:?}\n"));
            if !named {
                toml.push_str(&format!("name = {part:?}\n"));
                named = true;
            }
            continue;
        };
        let (key, value) = (key.trim(), value.trim().trim_matches('"'));
        let key = SHORT.iter().find(|(short, _)| *short == key).map_or(key, |(_, full)| full);
        let pair = matches!(key, "ring_mm" | "box_mm" | "at_mm" | "span_mm");
        let written = match value {
            "true" | "false" => value.to_owned(),
            _ if pair => format!(
                "[{}]",
                value.split(['x', '×']).map(|v| format!("{:?}", v.trim())).collect::<Vec<_>>().join(", ")
            ),
            _ => format!("{value:?}"),
        };
        if key == "name" && named {
            toml = toml.lines().filter(|l| !l.starts_with("name = ")).map(|l| format!("{l}\n")).collect();
        }
        toml.push_str(&format!("{key} = {written}\n"));
        named |= key == "name";
    }
    toml
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn read(text: &str) -> Result<LoadCases, ProfileError> {
        read_profile(text, "cases.toml")
    }

    fn refused(text: &str) -> String {
        read(text).unwrap_err().to_string()
    }

    const PRESS: &str =
        "[[case]]\nname = \"flange\"\nkind = \"press\"\nforce_n = \"6.8 kN\"\nring_mm = [25.8, \"1.2 in\"]\n";

    #[test]
    fn a_case_with_units() {
        let cases = read(PRESS).unwrap();
        assert_eq!(cases.case[0].force_n, Some(6800.0));
        let [inner, outer] = cases.case[0].ring_mm.unwrap();
        approx::assert_relative_eq!(inner, 25.8);
        approx::assert_relative_eq!(outer, 30.48, max_relative = 1e-12);
        assert_eq!((cases.case[0].face, cases.case[0].lasting), (Face::Top, false));
    }

    #[test]
    fn a_case_in_one_line_is_the_same() {
        let line = LoadCases::load("press; name = flange; force = 6.8 kN; ring = 25.8 x 1.2 in").unwrap();
        assert_eq!(line, read(PRESS).unwrap());
        let bend =
            LoadCases::load("bend; force = 100 N; axis = x; direction = z; held = both-ends; span = 8 x 72").unwrap();
        assert_eq!((bend.case[0].held, bend.case[0].span_mm), (Held::BothEnds, Some([8.0, 72.0])));
        assert_eq!(bend.case[0].name, "bend");
        assert!(LoadCases::load("pull out; force = 50 lbf; insert = m6-nut; lasting = true").unwrap().case[0].lasting);
        assert!(LoadCases::load("press; farce = 3").unwrap_err().to_string().contains("unknown key `farce`"));
    }

    #[test]
    fn what_is_refused_has_a_reason_and_a_place() {
        assert!(
            refused(&PRESS.replace("press", "lift")).contains(":3:")
                && refused(&PRESS.replace("press", "lift")).contains("lifting")
        );
        assert!(refused(&PRESS.replace("press", "person")).contains("people"));
        assert!(refused(&PRESS.replace("press", "pressure")).contains("pressure vessels"));
        assert!(refused(&PRESS.replace("flange", "engine hoist arm")).contains(":2:"));
        assert!(read(&PRESS.replace("flange", "forklift jig")).is_ok(), "whole words only");
    }

    #[test]
    fn a_case_that_acts_on_nothing_is_refused() {
        assert!(refused(&PRESS.replace("force_n = \"6.8 kN\"\n", "")).contains("it loads nothing"));
        assert!(refused(&PRESS.replace("6.8 kN", "-6.8 kN")).contains(":4:"));
        assert!(refused(&PRESS.replace("6.8 kN", "6.8 kg")).contains("of mass"));
        assert!(refused(&PRESS.replace("[25.8, \"1.2 in\"]", "[25.8, 20]")).contains(":5:"));
        assert!(
            refused("[[case]]\nname = \"x\"\nkind = \"press\"\nforce_n = 5\ndisc_mm = 0\n").contains("acts on nothing")
        );
        assert!(
            refused("[[case]]\nname = \"x\"\nkind = \"bend\"\nforce_n = 5\naxis = \"x\"\ndirection = \"x\"\n")
                .contains("own axis")
        );
        assert!(refused("[[case]]\nname = \"x\"\nkind = \"twist\"\nforce_n = 5\n").contains("torque_n_mm"));
        assert!(refused("[[case]]\nname = \"x\"\nkind = \"pres\"\nforce_n = 5\n").contains("did you mean `press`?"));
        assert!(refused("[[case]]\nname = \"x\"\nkind = \"press\"\nforce_n = inf\n").contains("finite"));
    }
}
