//! Arguments, terminal and exit codes: everything that belongs to the program and not to the library.

mod arguments;
mod audit;
mod compare;
mod embed;
mod load;
mod outcome;
mod page;
mod profiles;
mod progress;
mod setup;
mod terminal;

use arguments::{Arguments, Command};
use clap::Parser;
use clap::error::ErrorKind;
use outcome::Outcome;
use std::ffi::OsString;
use std::path::Path;
use terminal::Terminal;

/// Runs the program; prints to the terminal and says how it ended.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> Outcome {
    let arguments = match Arguments::try_parse_from(with_default_command(arguments.into_iter().collect())) {
        Ok(arguments) => arguments,
        Err(error) => return usage_error(&error),
    };
    let terminal = Terminal::new(arguments.color, arguments.quiet, arguments.verbose);
    let result = match arguments.command {
        Command::Audit(asked) => audit::run(&asked, &terminal),
        Command::Compare(asked) => compare::run(&asked, &terminal),
        Command::Load(asked) => load::run(&asked, &terminal),
        Command::Profiles(asked) => profiles::run(&asked, &terminal),
        Command::Embed(asked) => embed::run(&asked, &terminal),
    };
    result.unwrap_or_else(|trouble| {
        terminal.complain(&trouble);
        trouble.outcome()
    })
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
fn with_default_command(mut arguments: Vec<OsString>) -> Vec<OsString> {
    let is_file = arguments.get(1).is_some_and(|first| {
        let text = first.to_string_lossy();
        !text.starts_with('-') && !Command::is_name(&text) && Path::new(first).exists()
    });
    if is_file {
        arguments.insert(1, "audit".into());
    }
    arguments
}
