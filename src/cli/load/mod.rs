//! `beadwise load`: from the job to a force.

mod arguments;
mod reckon;

pub use arguments::LoadArguments;

use super::outcome::{Outcome, Trouble};
use super::shop::ShopDefaults;
use super::terminal::Terminal;
use arguments::LoadFormat;
use beadwise::report::{load_json, wrap};
use beadwise::strength::load::{CAUTIONS, JobLoad};
use beadwise::units::System;
use reckon::reckon;
use std::fmt::Write;

/// Reckons the job's force and prints it with its working.
pub fn run(asked: &LoadArguments, shop: &ShopDefaults, terminal: &Terminal) -> Result<Outcome, Trouble> {
    let load = reckon(&asked.job, shop)?;
    let system = shop.units();
    terminal.answer(&match asked.format {
        LoadFormat::Text => text(&load, system),
        LoadFormat::Json => load_json(&load),
        LoadFormat::Case => load.case_toml(),
    })?;
    Ok(Outcome::Fine)
}

fn said(error: impl std::fmt::Display) -> Trouble {
    Trouble::Arguments(error.to_string())
}

/// Columns of a terminal that nothing may pass.
const WIDTH: usize = 80;

fn text(load: &JobLoad, system: System) -> String {
    let mut out = String::new();
    // Writing to a string cannot fail.
    let mut named = |name: &str, text: &str| {
        for (i, line) in wrap(text, WIDTH - 13).iter().enumerate() {
            let _ = writeln!(out, "  {:10} {line}", if i == 0 { name } else { "" });
        }
    };
    named("formula", &load.formula);
    named("source", &load.source);
    load.beside.iter().for_each(|b| named("beside", b));
    load.minds.iter().for_each(|m| named("mind", m));
    let mut head = format!("{}: {}\n", load.kind, load.force_text(system));
    if system == System::Inch {
        let _ = writeln!(head, "  in metric  {}", load.force_text(System::Metric));
    }
    out.insert_str(0, &head);
    let _ = writeln!(out, "\nLoad case to paste (it asks the highest force; check the place):");
    for line in load.case_toml().lines() {
        let _ = writeln!(out, "  {line}");
    }
    let _ = writeln!(out, "\nCautions:");
    for caution in CAUTIONS {
        for (i, line) in wrap(caution, WIDTH - 4).iter().enumerate() {
            let _ = writeln!(out, "  {} {line}", if i == 0 { "-" } else { " " });
        }
    }
    out
}
