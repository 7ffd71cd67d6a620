//! The shop's defaults: `./beadwise.toml`, then the one in the user's own folder.

use super::outcome::Trouble;
use beadwise::profile::{Machine, Material, ProfileError, SHOP_FILE, Shop, StrengthProfile};
use beadwise::report::Figures;
use beadwise::units::System;
use std::path::{Path, PathBuf};

/// The machine class assumed when none is named anywhere.
const USUAL_MACHINE: &str = "open-small";

/// What the shop says, and where it was read.
#[derive(Debug, Clone, Default)]
pub struct ShopDefaults {
    shop: Shop,
    /// The files that were read.
    pub files: Vec<PathBuf>,
    /// Folders with own profiles, the nearest first.
    pub folders: Vec<PathBuf>,
}

impl ShopDefaults {
    /// Reads both files, if they are there; `units` that were asked for stand before theirs.
    pub fn read(units: Option<System>) -> Result<Self, Trouble> {
        let own = user_folder();
        let mut found = Self { shop: Shop { units, ..Shop::default() }, ..Self::default() };
        let near = Some(PathBuf::from(SHOP_FILE));
        let far = own.as_ref().map(|folder| folder.join(SHOP_FILE));
        for path in [near, far].into_iter().flatten() {
            if let Some(shop) = Shop::read(&path)? {
                found.shop = std::mem::take(&mut found.shop).or(shop);
                found.files.push(path);
            }
        }
        found.folders = found.shop.profiles.clone();
        found.folders.extend(own.filter(|folder| folder.is_dir()));
        Ok(found)
    }

    /// Numbers in the units of this shop.
    pub fn figures(&self) -> Figures {
        match self.units() {
            System::Metric => Figures::METRIC,
            System::Inch => Figures::INCH,
        }
    }

    /// The units that were asked for, else the shop's, else metric.
    pub fn units(&self) -> System {
        self.shop.units.unwrap_or_default()
    }

    /// The machine that was asked for, else the shop's, else the usual class.
    pub fn machine(&self, asked: Option<&str>) -> Result<Machine, ProfileError> {
        Machine::load_in(asked.or(self.shop.machine.as_deref()).unwrap_or(USUAL_MACHINE), &self.folders)
    }

    /// A material at the shop's price.
    pub fn material(&self, name: &str) -> Result<Material, ProfileError> {
        Ok(self.shop.priced(name, Material::load_in(name, &self.folders)?))
    }

    /// The shop's materials, by tool or for all.
    pub fn materials(&self) -> Vec<(Option<u16>, String)> {
        self.shop.materials()
    }

    /// The strength profile that was asked for, else the shop's, if it has one.
    pub fn strength_profile(&self, asked: Option<&str>) -> Result<Option<StrengthProfile>, ProfileError> {
        let name = asked.or(self.shop.strength_profile.as_deref());
        name.map(|name| StrengthProfile::load_in(name, &self.folders)).transpose()
    }

    /// What on a report comes from the shop's files, in words; empty where nothing does.
    pub fn said(&self, machine_asked: bool, material_asked: bool, strength_asked: bool) -> Option<String> {
        let from_shop = [
            ("machine", self.shop.machine.is_some() && !machine_asked),
            ("material", self.shop.material.is_some() && !material_asked),
            ("strength profile", self.shop.strength_profile.is_some() && !strength_asked),
            ("prices", !self.shop.price_per_kg.is_empty()),
        ];
        let words: Vec<&str> = from_shop.iter().filter(|(_, is)| *is).map(|(word, _)| *word).collect();
        let files: Vec<String> = self.files.iter().map(|f| f.display().to_string()).collect();
        (!words.is_empty()).then(|| format!("{} taken from {}", words.join(", "), files.join(" and ")))
    }
}

/// The user's folder for this program: `$XDG_CONFIG_HOME/beadwise`, `~/.config/beadwise`, or under `%APPDATA%`.
///
/// Source: XDG Base Directory Specification 0.8: an empty or relative value counts as not set.
pub fn user_folder() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let base =
        set("XDG_CONFIG_HOME").or_else(|| set("APPDATA")).or_else(|| set("HOME").map(|home| home.join(".config")))?;
    Some(base.join("beadwise"))
}

/// Own profiles in a folder of one kind, by name, sorted.
pub fn own_names(folder: &Path) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut names: Vec<String> = entries
        .filter_map(|entry| {
            let path = entry.ok()?.path();
            (path.extension()? == "toml").then(|| path.file_stem()?.to_str().map(str::to_owned))?
        })
        .collect();
    names.sort();
    names
}
