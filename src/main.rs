//! The command line program: arguments in, calls to the library, an exit code out.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run(std::env::args_os()).into()
}
