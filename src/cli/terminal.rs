//! What goes to the terminal, and whether it may be coloured.

use super::outcome::Trouble;
use std::io::{self, IsTerminal, Write};

/// When to use colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Color {
    /// When standard output is a terminal and NO_COLOR is not set.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// Where answers and complaints go.
#[derive(Debug, Clone, Copy)]
pub struct Terminal {
    /// Answers may be coloured.
    pub color: bool,
    /// Only the answer, no remarks.
    pub quiet: bool,
    /// More detail.
    pub verbose: bool,
}

impl Terminal {
    /// Looks at the streams and the environment once.
    pub fn new(color: Color, quiet: bool, verbose: bool) -> Self {
        let color = match color {
            Color::Always => true,
            Color::Never => false,
            // https://no-color.org: any value that is not empty switches colour off.
            Color::Auto => io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty()),
        };
        Self { color, quiet, verbose }
    }

    /// Writes an answer to standard output. A reader that has gone away is no error of ours.
    pub fn answer(&self, text: &str) -> Result<(), Trouble> {
        self.answer_bytes(text.as_bytes())
    }

    /// The same for bytes that need not be text.
    pub fn answer_bytes(&self, bytes: &[u8]) -> Result<(), Trouble> {
        let mut out = io::stdout().lock();
        match out.write_all(bytes).and_then(|()| out.flush()) {
            Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(error.into()),
            _ => Ok(()),
        }
    }

    /// Says something beside the answer, unless that was asked not to be.
    pub fn remark(&self, text: &str) {
        if !self.quiet {
            let _ = writeln!(io::stderr().lock(), "beadwise: {text}");
        }
    }

    /// Says what went wrong.
    pub fn complain(&self, trouble: &Trouble) {
        let _ = writeln!(io::stderr().lock(), "beadwise: {trouble}");
    }
}

/// Whether nobody can see what is printed: no stream is a terminal, and standard output leads to no file or pipe.
/// So it is when a file is dropped on the program's icon.
pub fn nobody_looks() -> bool {
    let terminal = io::stdin().is_terminal() || io::stdout().is_terminal() || io::stderr().is_terminal();
    !terminal && !output_is_collected()
}

#[cfg(unix)]
fn output_is_collected() -> bool {
    use std::os::fd::AsFd;
    use std::os::unix::fs::FileTypeExt;
    let stream = io::stdout().as_fd().try_clone_to_owned().map(std::fs::File::from);
    let kind = stream.and_then(|stream| stream.metadata()).map(|facts| facts.file_type());
    kind.is_ok_and(|kind| kind.is_fifo() || kind.is_file())
}

#[cfg(not(unix))]
fn output_is_collected() -> bool {
    false
}
