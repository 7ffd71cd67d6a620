//! `beadwise profiles`: what is built in, and whether a file of one's own is right.

use super::outcome::{Outcome, Trouble};
use super::shop::{ShopDefaults, own_names};
use super::terminal::Terminal;
use beadwise::profile::{Insert, Kind, Metal, SHOP_FILE, Shop, check_profile, find_profile, plain_name, profile_title};
use beadwise::report::JsonForm;
use clap::{Args, Subcommand};
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// `beadwise profiles`.
#[derive(Debug, Clone, Args)]
pub struct ProfilesArguments {
    #[command(subcommand)]
    action: Action,
}

#[derive(Debug, Clone, Subcommand)]
enum Action {
    /// List what is built in, and what is the shop's own.
    List,
    /// Print a profile as TOML, to copy and change.
    Show {
        /// Its name, such as petg-cf, or machines/open-small where two kinds share a name.
        name: String,
    },
    /// Print the JSON Schema of what a command answers with --format json.
    Schema {
        /// Which command's.
        #[arg(value_parser = form)]
        command: JsonForm,
    },
    /// Say whether profiles of your own are right; without files, all that the shop has.
    Check {
        /// TOML files.
        #[arg(value_name = "FILE")]
        files: Vec<PathBuf>,
    },
}

/// Lists, shows or checks.
pub fn run(asked: &ProfilesArguments, shop: &ShopDefaults, terminal: &Terminal) -> Result<Outcome, Trouble> {
    match &asked.action {
        Action::List => terminal.answer(&list(shop)?)?,
        Action::Show { name } => terminal.answer(&show(name, shop)?)?,
        Action::Schema { command } => terminal.answer(&command.schema())?,
        Action::Check { files } if files.is_empty() => return check(&own_files(shop), terminal),
        Action::Check { files } => return check(files, terminal),
    }
    Ok(Outcome::Fine)
}

fn form(text: &str) -> Result<JsonForm, String> {
    let words: Vec<&str> = JsonForm::ALL.iter().map(|form| form.word()).collect();
    let form = JsonForm::ALL.into_iter().find(|form| form.word() == text);
    form.ok_or_else(|| format!("there are schemas of {}", words.join(", ")))
}

/// Checks every file, whatever is wrong with the ones before it.
fn check(files: &[PathBuf], terminal: &Terminal) -> Result<Outcome, Trouble> {
    let mut outcome = Outcome::Fine;
    if files.is_empty() {
        terminal.answer("the shop has no profiles of its own\n")?;
    }
    for path in files {
        match check_file(path) {
            Ok(what) => terminal.answer(&format!("{}: {what} without mistakes\n", path.display()))?,
            Err(trouble) => {
                terminal.complain(&trouble);
                outcome = Outcome::Usage;
            }
        }
    }
    Ok(outcome)
}

fn check_file(path: &Path) -> Result<String, Trouble> {
    let text = std::fs::read_to_string(path)
        .map_err(|error| Trouble::Arguments(format!("cannot read {}: {error}", path.display())))?;
    let origin = path.display().to_string();
    if path.file_name().is_some_and(|name| name == SHOP_FILE) {
        Shop::parse(&text, &origin)?;
        return Ok("a shop's defaults".to_owned());
    }
    Ok(format!("a {}", check_profile(&text, &origin)?.word()))
}

/// The shop's files, and every profile in its folders.
fn own_files(shop: &ShopDefaults) -> Vec<PathBuf> {
    let own = shop.folders.iter().flat_map(|folder| {
        Kind::ALL.iter().flat_map(|kind| {
            let of_kind = folder.join(kind.folder());
            own_names(&of_kind).into_iter().map(move |name| of_kind.join(format!("{name}.toml")))
        })
    });
    shop.files.iter().cloned().chain(own).collect()
}

fn list(shop: &ShopDefaults) -> Result<String, Trouble> {
    let mut out = String::new();
    for kind in Kind::ALL {
        let own = own_of(*kind, shop);
        if own.is_empty() && kind.names().next().is_none() {
            continue;
        }
        // Writing to a string cannot fail.
        let _ = writeln!(out, "{}", kind.folder());
        for name in kind.names() {
            let title = kind.text(name).and_then(profile_title).unwrap_or_default();
            let _ = writeln!(out, "  {name:<16} {title}");
        }
        for (name, path) in own {
            let _ = writeln!(out, "  {name:<16} {}", path.display());
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

/// Own profiles of a kind with where they stand.
fn own_of(kind: Kind, shop: &ShopDefaults) -> Vec<(String, PathBuf)> {
    let folders = shop.folders.iter().map(|folder| folder.join(kind.folder()));
    folders
        .flat_map(|folder| own_names(&folder).into_iter().map(move |name| (name.clone(), folder.join(name + ".toml"))))
        .collect()
}

/// The text of a profile; an own one stands before a built-in one of the same name, as it does when it is used.
fn show(name: &str, shop: &ShopDefaults) -> Result<String, Trouble> {
    let (folder, name) = name.split_once('/').map_or((None, name), |(folder, name)| (Some(folder), name));
    let kinds = Kind::ALL.iter().filter(|k| folder.is_none_or(|f| f == k.folder()));
    let mut found: Vec<(Kind, String)> = Vec::new();
    for kind in kinds {
        let is_own = own_of(*kind, shop).iter().any(|(own, _)| *own == plain_name(name));
        if is_own || kind.text(name).is_some() {
            found.push((*kind, find_profile(*kind, name, &shop.folders)?.text));
        }
    }
    match found.as_slice() {
        [(_, text)] => Ok(text.clone()),
        [] => Err(Trouble::Arguments(format!("no profile is called `{name}`; see beadwise profiles list"))),
        several => {
            let names: Vec<String> = several.iter().map(|(kind, _)| format!("{}/{name}", kind.folder())).collect();
            Err(Trouble::Arguments(format!("`{name}` is several profiles; write {}", names.join(" or "))))
        }
    }
}
