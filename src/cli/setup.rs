//! From arguments to what the library wants: machine, materials, profiles.

use super::arguments::PrintArguments;
use super::outcome::Trouble;
use super::shop::ShopDefaults;
use beadwise::measure::Setup;
use std::collections::BTreeMap;

/// Loads machine and materials: those that were asked for, else the shop's.
pub fn load(asked: &PrintArguments, shop: &ShopDefaults) -> Result<Setup, Trouble> {
    let machine = shop.machine(asked.machine.as_deref())?;
    let mut wanted = if asked.materials.is_empty() { shop.materials() } else { Vec::new() };
    for text in &asked.materials {
        let (tool, name) = tool_and_name(text)?;
        wanted.push((tool, name.to_owned()));
    }
    let mut materials = BTreeMap::new();
    let mut material = None;
    for (tool, name) in wanted {
        let card = shop.material(&name)?;
        match tool {
            Some(tool) => drop(materials.insert(tool, card)),
            None => material = Some(card),
        }
    }
    Ok(Setup { materials, material, ..Setup::of(machine) })
}

/// Splits `1=petg` into tool and name; a plain name is for every tool.
fn tool_and_name(text: &str) -> Result<(Option<u16>, &str), Trouble> {
    match text.split_once('=') {
        Some((tool, name)) => match tool.trim().parse() {
            Ok(tool) => Ok((Some(tool), name.trim())),
            Err(_) => Err(Trouble::Arguments(format!(
                "--material {text}: `{tool}` is not a tool number; write TOOL=NAME, for example 1=tpu-95a"
            ))),
        },
        None => Ok((None, text)),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::tool_and_name;

    #[test]
    fn a_tool_number_may_stand_before_the_name() {
        assert_eq!(tool_and_name("petg").unwrap(), (None, "petg"));
        assert_eq!(tool_and_name("1=./our card.toml").unwrap(), (Some(1), "./our card.toml"));
        assert!(tool_and_name("left=petg").is_err());
    }
}
