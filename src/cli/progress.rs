//! A bar on standard error while a large file is read, only at a terminal.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;

/// Files smaller than this are done before a bar could be read, bytes.
const WORTH_A_BAR: u64 = 4_000_000;

/// A bar over the bytes of one file; invisible where it would not help.
pub fn bar(bytes: u64, quiet: bool) -> ProgressBar {
    if quiet || bytes < WORTH_A_BAR || !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::with_draw_target(Some(bytes), ProgressDrawTarget::stderr_with_hz(8));
    // The template is a constant of ours; should it ever be wrong the plain bar serves.
    if let Ok(style) = ProgressStyle::with_template("measuring [{bar:30}] {percent:>3} %  {eta} left") {
        bar.set_style(style.progress_chars("=- "));
    }
    bar
}

/// A bar over the settings that are laid; invisible where nobody looks.
pub fn tries(quiet: bool) -> ProgressBar {
    if quiet || !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr_with_hz(8));
    if let Ok(style) = ProgressStyle::with_template("laying other settings [{bar:30}] {pos} of at most {len}") {
        bar.set_style(style.progress_chars("=- "));
    }
    bar
}
