//! What a shop always says: its machine, materials, prices, units, what its parts must have, and where its own
//! profiles stand.
//!
//! ```toml
//! # beadwise.toml
//! machine = "enclosed-mid"            # built in, of your own, or a path
//! material = "petg"                   # or one for each tool: { 0 = "petg", 1 = "tpu-95a" }
//! strength_profile = "holder"         # what --for asks when it is not given
//! units = "inch"                      # of text and pages; JSON is always metric
//! profiles = ["our-profiles"]         # folders with machines/, materials/, strength/, inserts/, loads/
//! [price_per_kg]
//! petg = 21.50
//! ```
//!
//! Relative paths in it are relative to the folder it stands in.

use super::error::ProfileError;
use super::library::plain_name;
use super::material::Material;
use super::read::{Checked, Impossible, ensure, read_profile};
use crate::units::System;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Name of the file with a shop's defaults.
pub const SHOP_FILE: &str = "beadwise.toml";

/// What a shop always says; a missing key says nothing.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Shop {
    /// Machine, by name or path.
    pub machine: Option<String>,
    /// Material, by name or path.
    pub material: Option<ShopMaterial>,
    /// Strength profile that is checked where none is asked for, by name or path.
    pub strength_profile: Option<String>,
    /// Units of text and pages.
    pub units: Option<System>,
    /// Folders with own profiles, one folder for each kind in them.
    pub profiles: Vec<PathBuf>,
    /// Prices by material, in the shop's money; they stand before those of the cards.
    pub price_per_kg: BTreeMap<String, f64>,
}

/// One material for all tools, or one for each.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(untagged, expecting = "must be a name, or a table of tools such as { 0 = \"petg\", 1 = \"tpu-95a\" }")]
pub enum ShopMaterial {
    /// For every tool.
    All(String),
    /// By tool number.
    ByTool(BTreeMap<String, String>),
}

impl Shop {
    /// Reads a shop's file; `None` where there is none.
    ///
    /// # Errors
    /// Where it cannot be read or something in it is wrong.
    pub fn read(path: &Path) -> Result<Option<Self>, ProfileError> {
        let text = match std::fs::read_to_string(path) {
            Ok(text) => text,
            Err(why) if why.kind() == std::io::ErrorKind::NotFound => return Ok(None),
            Err(why) => return Err(ProfileError::File { path: path.to_owned(), why }),
        };
        let shop = Self::parse(&text, &path.display().to_string())?;
        Ok(Some(shop.relative_to(path.parent().unwrap_or(Path::new(".")))))
    }

    /// Reads the text of a shop's file; `origin` names it in errors.
    ///
    /// # Errors
    /// Where something in it is wrong.
    pub fn parse(text: &str, origin: &str) -> Result<Self, ProfileError> {
        read_profile(text, origin)
    }

    /// What `self` says, and where it says nothing what `other` does.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        Self {
            machine: self.machine.or(other.machine),
            material: self.material.or(other.material),
            strength_profile: self.strength_profile.or(other.strength_profile),
            units: self.units.or(other.units),
            profiles: self.profiles.into_iter().chain(other.profiles).collect(),
            price_per_kg: other.price_per_kg.into_iter().chain(self.price_per_kg).collect(),
        }
    }

    /// Materials as they are asked for on a command line: a tool, or every tool, and a name or path.
    #[must_use]
    pub fn materials(&self) -> Vec<(Option<u16>, String)> {
        match &self.material {
            None => Vec::new(),
            Some(ShopMaterial::All(name)) => vec![(None, name.clone())],
            Some(ShopMaterial::ByTool(names)) => {
                names.iter().filter_map(|(tool, name)| Some((Some(tool.trim().parse().ok()?), name.clone()))).collect()
            }
        }
    }

    /// The material with this shop's price, if it has one for `asked`, the name it was asked for by.
    #[must_use]
    pub fn priced(&self, asked: &str, mut material: Material) -> Material {
        let price = |name: &str| {
            let name = plain_name(name);
            self.price_per_kg.iter().find(|(card, _)| plain_name(card) == name).map(|(_, price)| *price)
        };
        material.price_per_kg = price(asked).or_else(|| price(&material.name)).or(material.price_per_kg);
        material
    }

    /// Paths are meant from the folder the file stands in; names are no paths.
    fn relative_to(mut self, folder: &Path) -> Self {
        let place = |text: String| {
            let is_path = text.contains(['/', '\\']) || text.to_lowercase().ends_with(".toml");
            if is_path { folder.join(text).display().to_string() } else { text }
        };
        self.machine = self.machine.map(place);
        self.strength_profile = self.strength_profile.map(place);
        self.material = self.material.map(|material| match material {
            ShopMaterial::All(name) => ShopMaterial::All(place(name)),
            ShopMaterial::ByTool(names) => {
                ShopMaterial::ByTool(names.into_iter().map(|(tool, name)| (tool, place(name))).collect())
            }
        });
        self.profiles = self.profiles.into_iter().map(|p| folder.join(p)).collect();
        self
    }
}

impl Checked for Shop {
    fn check(&self) -> Result<(), Impossible> {
        let named = |text: &Option<String>| text.as_ref().is_none_or(|t| !t.trim().is_empty());
        ensure(named(&self.machine), "machine", "must not be empty")?;
        ensure(named(&self.strength_profile), "strength_profile", "must not be empty")?;
        if let Some(ShopMaterial::ByTool(names)) = &self.material {
            for tool in names.keys() {
                let key = format!("material.{tool}");
                ensure(tool.trim().parse::<u16>().is_ok(), &key, "must have a tool number for its key, such as 1")?;
            }
        }
        for (name, price) in &self.price_per_kg {
            ensure(*price >= 0.0 && price.is_finite(), &format!("price_per_kg.{name}"), "must not be negative")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn shop(text: &str) -> Shop {
        Shop::parse(text, "beadwise.toml").unwrap()
    }

    #[test]
    fn the_nearer_file_speaks_first() {
        let near = shop("machine = 'ours'\nprofiles = ['a']\n[price_per_kg]\npetg = 20");
        let far = shop("machine = 'theirs'\nunits = 'inch'\nprofiles = ['b']\n[price_per_kg]\npetg = 30\npla = 18");
        let both = near.or(far);
        assert_eq!(both.machine.as_deref(), Some("ours"));
        assert_eq!(both.units, Some(System::Inch));
        assert_eq!(both.profiles, [PathBuf::from("a"), PathBuf::from("b")]);
        assert_eq!(both.price_per_kg, BTreeMap::from([("petg".to_owned(), 20.0), ("pla".to_owned(), 18.0)]));
    }

    #[test]
    fn materials_are_for_all_tools_or_for_each() {
        assert_eq!(shop("material = 'petg'").materials(), [(None, "petg".to_owned())]);
        assert_eq!(
            shop("material = { 0 = 'petg', 1 = 'tpu-95a' }").materials(),
            [(Some(0), "petg".to_owned()), (Some(1), "tpu-95a".to_owned())]
        );
    }

    #[test]
    fn the_shop_knows_its_prices() {
        let shop = shop("[price_per_kg]\nPETG-CF = 41.5");
        let card = Material::load("petg-cf").unwrap();
        assert_eq!(shop.priced("./ours.toml", card.clone()).price_per_kg, Some(41.5));
        let pla = Material::load("pla").unwrap();
        assert_eq!(shop.priced("pla", pla.clone()).price_per_kg, pla.price_per_kg);
        assert_eq!(shop.priced("petg_cf", card).price_per_kg, Some(41.5));
    }

    #[test]
    fn mistakes_are_shown_where_they_are() {
        let wrong = |text: &str| Shop::parse(text, "beadwise.toml").unwrap_err().to_string();
        let message = wrong("units = 'inch'\nmachin = 'open-small'\n");
        assert!(message.starts_with("beadwise.toml:2:") && message.contains("did you mean `machine`?"), "{message}");
        assert!(wrong("units = 'inches'").contains("did you mean `inch`?"));
        assert!(wrong("[price_per_kg]\npetg = -3").starts_with("beadwise.toml:2:"));
        assert!(wrong("material = { left = 'petg' }").contains("tool number"));
    }

    #[test]
    fn paths_are_meant_from_where_the_file_stands() {
        let shop =
            shop("machine = './ours.toml'\nmaterial = 'petg'\nprofiles = ['cards']").relative_to(Path::new("up"));
        assert_eq!(shop.machine.map(PathBuf::from), Some(PathBuf::from("up/./ours.toml")));
        assert_eq!(shop.material, Some(ShopMaterial::All("petg".to_owned())));
        assert_eq!(shop.profiles, [PathBuf::from("up/cards")]);
    }
}
