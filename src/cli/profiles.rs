//! `beadwise profiles`: what is built in, and whether a file of one's own is right.

use super::outcome::{Outcome, Trouble};
use super::terminal::Terminal;
use beadwise::profile::{Insert, Kind, Metal, check_profile, profile_title};
use clap::{Args, Subcommand};
use std::fmt::Write;
use std::path::PathBuf;

/// `beadwise profiles`.
#[derive(Debug, Clone, Args)]
pub struct ProfilesArguments {
    #[command(subcommand)]
    action: Action,
}

#[derive(Debug, Clone, Subcommand)]
enum Action {
    /// List what is built in.
    List,
    /// Print a built-in profile as TOML, to copy and change.
    Show {
        /// Its name, such as petg-cf, or machines/open-small where two kinds share a name.
        name: String,
    },
    /// Say whether profiles of your own are right.
    Check {
        /// TOML files.
        #[arg(required = true, value_name = "FILE")]
        files: Vec<PathBuf>,
    },
}

/// Lists, shows or checks.
pub fn run(asked: &ProfilesArguments, terminal: &Terminal) -> Result<Outcome, Trouble> {
    match &asked.action {
        Action::List => terminal.answer(&list()?)?,
        Action::Show { name } => terminal.answer(show(name)?)?,
        Action::Check { files } => {
            for path in files {
                let text = std::fs::read_to_string(path)
                    .map_err(|error| Trouble::Arguments(format!("cannot read {}: {error}", path.display())))?;
                let kind = check_profile(&text, &path.display().to_string())?;
                terminal.answer(&format!("{}: a {} without mistakes\n", path.display(), kind.word()))?;
            }
        }
    }
    Ok(Outcome::Fine)
}

fn list() -> Result<String, Trouble> {
    let mut out = String::new();
    for kind in Kind::ALL.iter().filter(|k| k.names().next().is_some()) {
        // Writing to a string cannot fail.
        let _ = writeln!(out, "{}", kind.folder());
        for name in kind.names() {
            let title = kind.text(name).and_then(profile_title).unwrap_or_default();
            let _ = writeln!(out, "  {name:<16} {title}");
        }
        let within = match kind {
            Kind::Insert => Insert::built_in()?.into_iter().map(|i| i.name).collect(),
            Kind::Sheet => Metal::built_in()?.into_iter().map(|m| m.name).collect(),
            _ => Vec::new(),
        };
        if !within.is_empty() {
            let _ = writeln!(out, "  within: {}", within.join(", "));
        }
    }
    Ok(out)
}

fn show(name: &str) -> Result<&'static str, Trouble> {
    let (folder, name) = name.split_once('/').map_or((None, name), |(folder, name)| (Some(folder), name));
    let kinds = Kind::ALL.iter().filter(|k| folder.is_none_or(|f| f == k.folder()));
    let found: Vec<(Kind, &str)> = kinds.filter_map(|k| k.text(name).map(|text| (*k, text))).collect();
    match found.as_slice() {
        [(_, text)] => Ok(text),
        [] => Err(Trouble::Arguments(format!("no built-in profile is called `{name}`; see beadwise profiles list"))),
        several => {
            let names: Vec<String> = several.iter().map(|(kind, _)| format!("{}/{name}", kind.folder())).collect();
            Err(Trouble::Arguments(format!("`{name}` is several profiles; write {}", names.join(" or "))))
        }
    }
}
