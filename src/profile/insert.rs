//! Hardware that is built in: magnets, nuts, bearings, pins.
//!
//! An insert is named (`m5-nut`, `disc-6x2`, `bearing-608`), or described: `disc 7x1.5`, `hex 8x4`, `bar 20x5x3 in`,
//! `square 10x3.2`: sizes across, height last.

use super::error::ProfileError;
use super::library::{Kind, find_profile, not_found, plain_name};
use super::material::Pair;
use super::read::{Checked, Impossible, ensure, read_profile};
use crate::units::{Field, Length};
use std::path::{Path, PathBuf};

/// Outline of an insert, seen from above.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum InsertShape {
    /// Round: `diameter_mm`.
    Disc,
    /// Six sides: `across_flats_mm`.
    Hex,
    /// Four equal sides: `across_flats_mm`.
    Square,
    /// Four sides: `length_mm` and `width_mm`.
    Bar,
    /// Round with a hole: `diameter_mm` and `bore_mm`.
    Ring,
}

impl InsertShape {
    const ALL: [(&'static str, Self); 6] = [
        ("disc", Self::Disc),
        ("magnet", Self::Disc),
        ("hex", Self::Hex),
        ("square", Self::Square),
        ("bar", Self::Bar),
        ("ring", Self::Ring),
    ];
}

/// A piece of hardware.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Insert {
    /// What it is called, in [`plain_name`] form.
    pub name: String,
    /// Other names for it.
    #[serde(default)]
    pub also: Vec<String>,
    /// Its outline from above.
    pub shape: InsertShape,
    /// Diameter of a disc or ring, mm.
    #[serde(default)]
    pub diameter_mm: Option<f64>,
    /// Hole of a ring, mm.
    #[serde(default)]
    pub bore_mm: Option<f64>,
    /// Across the flats of a hex or square, mm.
    #[serde(default)]
    pub across_flats_mm: Option<f64>,
    /// Long side of a bar, mm.
    #[serde(default)]
    pub length_mm: Option<f64>,
    /// Short side of a bar, mm.
    #[serde(default)]
    pub width_mm: Option<f64>,
    /// Height as it lies in its pocket, mm.
    pub height_mm: f64,
    /// How much its sizes vary, mm.
    #[serde(default)]
    pub tolerance_mm: Option<f64>,
    /// Thread of a nut, such as `M5`.
    #[serde(default)]
    pub thread: Option<String>,
    /// Pitch of that thread, mm.
    #[serde(default)]
    pub pitch_mm: Option<f64>,
    /// Hole that clears its bolt, mm.
    #[serde(default)]
    pub clearance_hole_mm: Option<f64>,
    /// Grade of a magnet, such as `n`; `None` where it is none.
    #[serde(default)]
    pub magnet: Option<String>,
    /// Density, g/cm³.
    #[serde(default)]
    pub density_g_cm3: Option<f64>,
    /// Where the numbers come from.
    #[serde(default)]
    pub source: Option<String>,
}

/// The TOML files of a folder, sorted by name; none where there is no folder.
fn own_files(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let mut files: Vec<PathBuf> =
        entries.map(|entry| entry.path()).filter(|path| path.extension().is_some_and(|end| end == "toml")).collect();
    files.sort();
    files
}

impl Insert {
    /// A built-in insert by name, or one described as `disc 7x1.5`.
    ///
    /// # Errors
    /// Where it is neither.
    pub fn load(name: &str) -> Result<Self, ProfileError> {
        Self::load_in(name, &[])
    }

    /// As [`Insert::load`]; inserts of one's own stand in files `inserts/*.toml` in `folders`, or in the one at a path,
    /// whose first is meant.
    ///
    /// # Errors
    /// Where there is none, or its file is wrong.
    pub fn load_in(name_or_path: &str, folders: &[PathBuf]) -> Result<Self, ProfileError> {
        let wanted = plain_name(name_or_path);
        let all = Self::known(folders)?;
        if let Some(known) = all.iter().find(|i| i.name == wanted || i.also.contains(&wanted)) {
            return Ok(known.clone());
        }
        if let Some(described) = Self::describe(name_or_path) {
            return Ok(described);
        }
        match find_profile(Kind::Insert, name_or_path, folders) {
            Ok(found) => {
                let file: InsertFile = read_profile(&found.text, &found.origin)?;
                file.insert.into_iter().next().ok_or_else(|| not_found("insert", name_or_path, &[]))
            }
            Err(error @ ProfileError::File { .. }) => Err(error),
            Err(_) => Err(not_found("insert", name_or_path, &all.iter().map(|i| i.name.as_str()).collect::<Vec<_>>())),
        }
    }

    /// Every insert that has a name: those of one's own in `folders`, the nearest folder first, then the built-in ones
    /// whose names are not taken.
    ///
    /// # Errors
    /// Where a file is wrong or cannot be read.
    pub fn known(folders: &[PathBuf]) -> Result<Vec<Self>, ProfileError> {
        let mut all: Vec<Self> = Vec::new();
        for path in folders.iter().flat_map(|folder| own_files(&folder.join(Kind::Insert.folder()))) {
            let found = find_profile(Kind::Insert, &path.to_string_lossy(), &[])?;
            all.extend(read_profile::<InsertFile>(&found.text, &found.origin)?.insert);
        }
        for insert in Self::built_in()? {
            if all.iter().all(|own| own.name != insert.name) {
                all.push(insert);
            }
        }
        Ok(all)
    }

    /// Every built-in insert.
    ///
    /// # Errors
    /// Where a built-in file is wrong, which a test excludes.
    pub fn built_in() -> Result<Vec<Self>, ProfileError> {
        let mut all = Vec::new();
        for name in Kind::Insert.names().filter(|n| *n != GRADES) {
            let found = find_profile(Kind::Insert, name, &[])?;
            all.extend(read_profile::<InsertFile>(&found.text, &found.origin)?.insert);
        }
        Ok(all)
    }

    /// An insert described by its shape and sizes, such as `disc 7x1.5`, `bar 1 in x 1/4 in x 1/8 in`.
    #[must_use]
    pub fn describe(text: &str) -> Option<Self> {
        let text = text.trim().to_lowercase();
        let (word, shape) = InsertShape::ALL.into_iter().find(|(word, _)| text.starts_with(word))?;
        let sizes = text.strip_prefix(word)?.trim_start_matches(['-', ' ', ':']);
        let unit = if sizes.ends_with("in") { " in" } else { "" };
        let read = |size: &str| {
            let own = size.trim_end_matches(|c: char| c.is_alphabetic() || c == ' ');
            Length::read(&format!("{own}{unit}")).ok().map(Length::mm).filter(|mm| *mm > 0.0)
        };
        let sizes: Vec<f64> = sizes.split(['x', '×', '*']).map(read).collect::<Option<_>>()?;
        let mut insert = Self::blank(&plain_name(&text), shape, *sizes.last()?);
        insert.magnet = (word == "magnet").then(|| "n".to_owned());
        match (shape, sizes.as_slice()) {
            (InsertShape::Disc, [d, _]) => insert.diameter_mm = Some(*d),
            (InsertShape::Hex | InsertShape::Square, [s, _]) => insert.across_flats_mm = Some(*s),
            (InsertShape::Bar, [l, w, _]) => {
                insert.length_mm = Some(l.max(*w));
                insert.width_mm = Some(l.min(*w));
            }
            (InsertShape::Ring, [d, bore, _]) if bore < d => {
                insert.diameter_mm = Some(*d);
                insert.bore_mm = Some(*bore);
            }
            _ => return None,
        }
        Some(insert)
    }

    fn blank(name: &str, shape: InsertShape, height_mm: f64) -> Self {
        Self {
            name: name.to_owned(),
            also: Vec::new(),
            shape,
            diameter_mm: None,
            bore_mm: None,
            across_flats_mm: None,
            length_mm: None,
            width_mm: None,
            height_mm,
            tolerance_mm: None,
            thread: None,
            pitch_mm: None,
            clearance_hole_mm: None,
            magnet: None,
            density_g_cm3: None,
            source: Some("as asked".to_owned()),
        }
    }

    /// Widest size from above, mm: the circle it turns in (corners reckoned sharp).
    #[must_use]
    pub fn turning_circle_mm(&self) -> Option<f64> {
        let flats = self.across_flats_mm;
        match self.shape {
            InsertShape::Disc | InsertShape::Ring => self.diameter_mm,
            InsertShape::Hex => flats.map(|s| s * 2.0 / 3f64.sqrt()),
            InsertShape::Square => flats.map(|s| s * std::f64::consts::SQRT_2),
            InsertShape::Bar => Some(self.length_mm?.hypot(self.width_mm?)),
        }
    }

    /// Area from above, mm²; a nut's thread and a bearing's bore are not taken off.
    #[must_use]
    pub fn area_mm2(&self) -> Option<f64> {
        match self.shape {
            InsertShape::Disc | InsertShape::Ring => self.diameter_mm.map(|d| d * d * std::f64::consts::FRAC_PI_4),
            InsertShape::Hex => self.across_flats_mm.map(|s| s * s * 3f64.sqrt() / 2.0),
            InsertShape::Square => self.across_flats_mm.map(|s| s * s),
            InsertShape::Bar => Some(self.length_mm? * self.width_mm?),
        }
    }

    /// Mass, g, where its density is known.
    #[must_use]
    pub fn mass_g(&self) -> Option<f64> {
        Some(self.area_mm2()? * self.height_mm * self.density_g_cm3? / 1000.0)
    }
}

/// The file of magnet grades among the insert files.
const GRADES: &str = "magnet-grades";

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct InsertFile {
    #[serde(default)]
    insert: Vec<Insert>,
}

impl Checked for InsertFile {
    fn check(&self) -> Result<(), Impossible> {
        ensure(!self.insert.is_empty(), "insert", "must hold at least one [[insert]]")?;
        self.insert.iter().enumerate().try_for_each(|(i, insert)| check_insert(insert, &format!("insert.{i}")))
    }
}

fn check_insert(insert: &Insert, at: &str) -> Result<(), Impossible> {
    let sizes = [
        ("height_mm", Some(insert.height_mm)),
        ("diameter_mm", insert.diameter_mm),
        ("bore_mm", insert.bore_mm),
        ("across_flats_mm", insert.across_flats_mm),
        ("length_mm", insert.length_mm),
        ("width_mm", insert.width_mm),
        ("clearance_hole_mm", insert.clearance_hole_mm),
    ];
    for (key, size) in sizes {
        let fits = size.is_none_or(|s| s > 0.0 && s < 1000.0);
        ensure(fits, &format!("{at}.{key}"), "must be between 0 and 1000")?;
    }
    let complete = insert.turning_circle_mm().is_some();
    ensure(complete, &format!("{at}.shape"), "needs its sizes (diameter_mm; across_flats_mm; length_mm and width_mm)")?;
    let ring = insert.bore_mm.zip(insert.diameter_mm).is_none_or(|(bore, d)| bore < d);
    ensure(ring, &format!("{at}.bore_mm"), "must be less than the diameter")
}

/// What a magnet's grade stands.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MagnetGrade {
    /// Letters after the energy number, `n` where there are none.
    pub name: String,
    /// Hottest it should get, °C; a guide value.
    pub max_c: f64,
    /// Where that comes from.
    pub source: Option<String>,
}

/// How strongly a grade is magnetised.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remanence {
    /// Grade, such as `n42`.
    pub name: String,
    /// Remanence, T.
    pub tesla: Pair,
    /// Where that comes from.
    pub source: Option<String>,
}

/// Grades of magnets.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MagnetGrades {
    /// Temperatures by letters.
    #[serde(rename = "grade")]
    pub grades: Vec<MagnetGrade>,
    /// Strengths by number.
    #[serde(rename = "remanence")]
    pub remanences: Vec<Remanence>,
}

impl Checked for MagnetGrades {
    fn check(&self) -> Result<(), Impossible> {
        ensure(self.grades.iter().all(|g| g.max_c > 0.0), "grade", "must have max_c above 0")
    }
}

impl MagnetGrades {
    /// The built-in grades.
    ///
    /// # Errors
    /// Where the built-in file is wrong, which a test excludes.
    pub fn built_in() -> Result<Self, ProfileError> {
        let found = find_profile(Kind::Insert, GRADES, &[])?;
        read_profile(&found.text, &found.origin)
    }

    /// Hottest a grade should get, °C: `N42SH`, `sh` and `n` all name one.
    #[must_use]
    pub fn max_c(&self, grade: &str) -> Option<f64> {
        let letters: String = grade.to_lowercase().chars().filter(char::is_ascii_alphabetic).collect();
        let letters = letters.strip_prefix('n').filter(|rest| !rest.is_empty()).unwrap_or(&letters);
        self.grades.iter().find(|g| g.name == letters).map(|g| g.max_c)
    }
}
