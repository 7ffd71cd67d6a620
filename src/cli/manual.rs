//! Completions for shells and pages for `man`, made from the arguments themselves so that they cannot disagree.

use super::arguments::Arguments;
use super::outcome::{Outcome, Trouble};
use super::terminal::Terminal;
use clap::CommandFactory;
use clap_complete::Shell;
use std::path::Path;

/// Prints the completions of a shell.
pub fn completions(shell: Shell, terminal: &Terminal) -> Result<Outcome, Trouble> {
    let mut bytes = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "beadwise", &mut bytes);
    terminal.answer(&String::from_utf8_lossy(&bytes))?;
    Ok(Outcome::Fine)
}

/// Writes one page for the program and one for each command.
pub fn write_pages(folder: &Path, terminal: &Terminal) -> Result<Outcome, Trouble> {
    if !folder.is_dir() {
        return Err(Trouble::Arguments(format!("{} is no folder; make it first", folder.display())));
    }
    clap_mangen::generate_to(Arguments::command(), folder)?;
    if !terminal.quiet {
        terminal.answer(&format!("man pages written into {}\n", folder.display()))?;
    }
    Ok(Outcome::Fine)
}
