//! Whether a file is a right profile, whatever its kind.

use super::annotation::Annotations;
use super::error::{ProfileError, WrongProfile};
use super::insert::{InsertFile, MagnetGrades};
use super::library::Kind;
use super::machine::Machine;
use super::material::Material;
use super::read::read_profile;
use super::sheet::{GaugeFile, MetalFile};
use super::strength_profile::StrengthProfile;
use toml::de::DeTable;

/// Keys that only one kind of profile has.
const TELLING: &[(&str, Kind)] = &[
    ("density_g_cm3", Kind::Material),
    ("strength_mpa", Kind::Material),
    ("stiffness_mpa", Kind::Material),
    ("temperature_c", Kind::Material),
    ("reason", Kind::Strength),
    ("reserve", Kind::Strength),
    ("insert", Kind::Insert),
    ("grade", Kind::Insert),
    ("metal", Kind::Sheet),
    ("table", Kind::Sheet),
    ("case", Kind::Load),
    ("groups", Kind::Annotation),
];

/// Reads a profile of any kind and says of which; a file with none of the telling keys is read as a machine.
///
/// # Errors
/// Where something in it is wrong.
pub fn check_profile(text: &str, origin: &str) -> Result<Kind, ProfileError> {
    let wrong = |span: Option<std::ops::Range<usize>>, message: String| {
        ProfileError::from(WrongProfile::at(origin, text, span.unwrap_or(0..0), message, None))
    };
    let table = DeTable::parse(text).map_err(|e| wrong(e.span(), e.message().to_owned()))?;
    let has = |key: &str| table.get_ref().iter().any(|(k, _)| k.get_ref() == key);
    let kind = TELLING.iter().find(|(key, _)| has(key)).map_or(Kind::Machine, |(_, kind)| *kind);
    match kind {
        Kind::Machine => read_profile::<Machine>(text, origin).map(drop),
        Kind::Material => read_profile::<Material>(text, origin).map(drop),
        Kind::Strength => read_profile::<StrengthProfile>(text, origin).map(drop),
        Kind::Insert if has("grade") => read_profile::<MagnetGrades>(text, origin).map(drop),
        Kind::Insert => read_profile::<InsertFile>(text, origin).map(drop),
        Kind::Sheet if has("metal") => read_profile::<MetalFile>(text, origin).map(drop),
        Kind::Sheet => read_profile::<GaugeFile>(text, origin).map(drop),
        Kind::Load => read_profile::<super::load_case::LoadCases>(text, origin).map(drop),
        Kind::Annotation => Annotations::parse(text).map(drop).map_err(|e| wrong(None, e.to_string())),
    }?;
    Ok(kind)
}
