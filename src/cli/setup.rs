//! From arguments to what the library wants: machine, materials, profiles.

use super::arguments::PrintArguments;
use super::outcome::Trouble;
use beadwise::measure::Setup;
use beadwise::profile::annotation::Annotations;
use beadwise::profile::{Machine, Material};
use std::collections::BTreeMap;

/// The machine class assumed when none is named.
const USUAL_MACHINE: &str = "open-small";

/// Loads machine and materials; says on the report which machine was assumed.
pub fn load(asked: &PrintArguments) -> Result<Setup, Trouble> {
    let machine = Machine::load(asked.machine.as_deref().unwrap_or(USUAL_MACHINE))?;
    let mut materials = BTreeMap::new();
    let mut material = None;
    for text in &asked.materials {
        match tool_and_name(text)? {
            (Some(tool), name) => drop(materials.insert(tool, Material::load(name)?)),
            (None, name) => material = Some(Material::load(name)?),
        }
    }
    Ok(Setup { machine, materials, material, annotations: Annotations::built_in(), detail: false, strict: false })
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
