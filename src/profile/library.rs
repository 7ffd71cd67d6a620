//! Where profiles are found: built in, in the shop's own folders, or by path.

use super::error::ProfileError;
use crate::units::nearest;
use std::path::{Path, PathBuf};

/// What a profile is for; each kind has a folder of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// What a machine can do.
    Machine,
    /// What a filament is.
    Material,
    /// What a class of part must have.
    Strength,
    /// A force, how it acts, where the part is held.
    Load,
    /// Hardware that is built in.
    Insert,
    /// Gauges and metals of sheet.
    Sheet,
    /// Words in comments.
    Annotation,
}

macro_rules! built_in {
    ($($kind:ident $folder:literal [$($name:literal),* $(,)?])+) => {
        /// Name and text of every built-in profile of a kind.
        const fn built_in(kind: Kind) -> &'static [(&'static str, &'static str)] {
            match kind {
                $(Kind::$kind => &[$(($name, include_str!(concat!("../../profiles/", $folder, "/", $name, ".toml")))),*],)+
            }
        }

        impl Kind {
            /// Every kind, in the order of lists.
            pub const ALL: &'static [Self] = &[$(Self::$kind),+];

            /// The folder its profiles stand in.
            #[must_use]
            pub const fn folder(self) -> &'static str {
                match self {
                    $(Self::$kind => $folder,)+
                }
            }
        }
    };
}

built_in! {
    Machine "machines" ["open-small", "open-large", "enclosed-mid", "enclosed-twin"]
    Material "materials" ["pla", "petg", "abs", "asa", "pc", "pa", "tpu-95a", "petg-cf", "pa-cf"]
    Strength "strength" ["template", "holder", "clamp-jaw", "press-tool", "gauge", "bracket", "tray"]
    Load "loads" ["bearing-press", "clamped-in-a-vice", "flange-18-gauge"]
    Insert "inserts" ["discs", "hex-nuts", "square-nuts", "bearings", "pins", "bars", "magnet-grades"]
    Sheet "sheet" ["gauges", "metals"]
    Annotation "annotations" ["trade-words"]
}

impl Kind {
    /// The word for one profile of this kind.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Machine => "machine",
            Self::Material => "material",
            Self::Strength => "strength profile",
            Self::Load => "load case",
            Self::Insert => "insert",
            Self::Sheet => "sheet table",
            Self::Annotation => "annotation words",
        }
    }

    /// Names of the built-in profiles.
    pub fn names(self) -> impl Iterator<Item = &'static str> {
        built_in(self).iter().map(|(name, _)| *name)
    }

    /// Text of a built-in profile.
    #[must_use]
    pub fn text(self, name: &str) -> Option<&'static str> {
        let name = plain_name(name);
        built_in(self).iter().find(|(n, _)| *n == name).map(|(_, text)| *text)
    }
}

/// `PETG CF`, `petg_cf` and `petg-cf` are one name.
#[must_use]
pub fn plain_name(name: &str) -> String {
    name.trim().to_lowercase().replace(['_', ' '], "-")
}

/// The text of a profile and where it was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// For messages: the path, or `built-in machine open-small`.
    pub origin: String,
    /// The TOML.
    pub text: String,
}

/// Finds a profile by name or path.
///
/// A path is anything with a separator in it or the ending `.toml`; else the folders are tried in order for
/// `<folder>/<kind>/<name>.toml`, then the built-in profiles.
///
/// # Errors
/// Where there is none, or its file cannot be read.
pub fn find_profile(kind: Kind, name_or_path: &str, folders: &[PathBuf]) -> Result<Found, ProfileError> {
    if name_or_path.contains(['/', '\\']) || name_or_path.to_lowercase().ends_with(".toml") {
        return read_file(Path::new(name_or_path));
    }
    let name = plain_name(name_or_path);
    let own = folders.iter().map(|f| f.join(kind.folder()).join(format!("{name}.toml"))).find(|p| p.is_file());
    if let Some(path) = own {
        return read_file(&path);
    }
    match kind.text(&name) {
        Some(text) => Ok(Found { origin: format!("built-in {} {name}", kind.word()), text: text.to_owned() }),
        None => Err(not_found(kind.word(), name_or_path, &kind.names().collect::<Vec<_>>())),
    }
}

fn read_file(path: &Path) -> Result<Found, ProfileError> {
    let text = std::fs::read_to_string(path).map_err(|why| ProfileError::File { path: path.to_owned(), why })?;
    Ok(Found { origin: path.display().to_string(), text })
}

/// The error for a name that is not there, with the nearest that is.
#[must_use]
pub fn not_found(what: &'static str, name: &str, known: &[&str]) -> ProfileError {
    let meant = nearest(&plain_name(name), known.iter().copied());
    let meant = meant.map_or_else(String::new, |near| format!(" (did you mean `{near}`?)"));
    ProfileError::NotFound { what, name: name.to_owned(), meant, known: known.join(", ") }
}

/// What a profile's first comment or its `name` says, for lists.
#[must_use]
pub fn profile_title(text: &str) -> Option<&str> {
    let first = text.lines().next()?;
    let title = first.strip_prefix('#').map(str::trim);
    let named = || text.lines().find_map(|l| l.strip_prefix("reason = \"")).map(|l| l.trim_end_matches('"'));
    title.or_else(named)
}
