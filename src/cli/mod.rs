//! Arguments, terminal and exit codes: everything that belongs to the program and not to the library.

mod advise;
mod arguments;
mod audit;
mod checks;
mod compare;
mod embed;
mod load;
mod manual;
mod outcome;
mod page;
mod profiles;
mod progress;
mod setup;
mod shop;
mod shortened;
mod terminal;

use arguments::{Arguments, Command};
use beadwise::units::System;
use clap::Parser;
use clap::error::ErrorKind;
use outcome::{Outcome, Trouble};
use shop::ShopDefaults;
use std::ffi::OsString;
use std::path::Path;
use terminal::Terminal;

/// Runs the program; prints to the terminal and says how it ended.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> Outcome {
    let mut given: Vec<OsString> = arguments.into_iter().collect();
    let dropped = only_files(&given) && terminal::nobody_looks();
    if names_a_file(given.get(1)) {
        given.insert(1, "audit".into());
    }
    let arguments = match Arguments::try_parse_from(given) {
        Ok(arguments) => arguments,
        Err(error) => return usage_error(&error),
    };
    shortened::tell_when_shortened();
    let terminal = Terminal::new(arguments.color, arguments.quiet, arguments.verbose);
    let units = arguments.units.map(Into::into);
    obey(arguments.command, units, dropped, &terminal).unwrap_or_else(|trouble| {
        terminal.complain(&trouble);
        trouble.outcome()
    })
}

fn obey(command: Command, units: Option<System>, dropped: bool, terminal: &Terminal) -> Result<Outcome, Trouble> {
    match command {
        Command::Completions { shell } => return manual::completions(shell, terminal),
        Command::Manual { folder } => return manual::write_pages(&folder, terminal),
        _ => {}
    }
    let shop = ShopDefaults::read(units)?;
    match command {
        Command::Advise(asked) => advise::run(&asked, &shop, terminal),
        Command::Audit(asked) => audit::run(&asked, &shop, dropped, terminal),
        Command::Compare(asked) => compare::run(&asked, &shop, terminal),
        Command::Load(asked) => load::run(&asked, &shop, terminal),
        Command::Profiles(asked) => profiles::run(&asked, &shop, terminal),
        Command::Embed(asked) => embed::run(&asked, &shop, terminal),
        Command::Completions { .. } | Command::Manual { .. } => Ok(Outcome::Fine),
    }
}

/// Help and version go to standard output and are no error; everything else is a usage error.
fn usage_error(error: &clap::Error) -> Outcome {
    // A closed pipe must not turn into a panic; there is nobody left to tell.
    let _ = error.print();
    match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => Outcome::Fine,
        _ => Outcome::Usage,
    }
}

/// `beadwise FILE` audits the file: a first argument that is no command but an existing file gets `audit`.
fn names_a_file(argument: Option<&OsString>) -> bool {
    argument.is_some_and(|argument| {
        let text = argument.to_string_lossy();
        !text.starts_with('-') && !Command::is_name(&text) && Path::new(argument).exists()
    })
}

/// Nothing but files was given, as when they are dropped on the program's icon.
fn only_files(given: &[OsString]) -> bool {
    given.len() > 1 && given.iter().skip(1).all(|argument| names_a_file(Some(argument)))
}
