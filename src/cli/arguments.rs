//! What the user may type.

use super::checks::CheckArguments;
use super::terminal::Color;
use beadwise::advise::Goal;
use beadwise::units::{Length, System};
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Audits sliced G-code before it is printed.
///
/// Reads the file a printer is about to run and says what it will really make: how much plastic, how long,
/// how many walls and how thick, how full the core, where it is weakest, and where a magnet or nut can be built in.
#[derive(Debug, Parser)]
#[command(name = "beadwise", version, max_term_width = 100, after_help = EXAMPLES)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// When to use colour.
    #[arg(long, global = true, value_enum, default_value = "auto", value_name = "WHEN")]
    pub color: Color,
    /// Units of text and pages; else the shop's, else metric.
    #[arg(long, global = true, value_enum)]
    pub units: Option<Units>,
    /// Print the verdict only, without remarks or progress.
    #[arg(short, long, global = true)]
    pub quiet: bool,
    /// Print more detail.
    #[arg(short, long, global = true)]
    pub verbose: bool,
}

const EXAMPLES: &str = "\
Examples:
  beadwise sample-gcode/bearing-drift.gcode
  beadwise audit sample-gcode/bearing-drift.gcode --for press-tool --material petg
  beadwise audit sample-gcode/magnet-tray.gcode --material petg --report tray.html
  beadwise compare sample-gcode/bearing-drift*.gcode

Exit codes: 0 fine; 1 the part fails its check or cannot be judged; 2 usage, or an input cannot be read.

Defaults of the shop are read from ./beadwise.toml, then from beadwise/beadwise.toml in the
user's config folder; keys: machine, material, strength_profile, units, profiles, [price_per_kg].";

const AUDIT_EXAMPLES: &str = "\
Examples:
  beadwise audit sample-gcode/stand-bracket.gcode --for bracket --material petg
  beadwise audit sample-gcode/axle-vice-jaw.gcode --material 0=petg --material 1=tpu-95a
  beadwise audit sample-gcode/magnet-tray.gcode --material petg --format html > tray.html
  beadwise audit sample-gcode/*.gcode --material petg --report .
  cat sample-gcode/rotor-gauge.gcode | beadwise audit - --format json";

const COMPARE_EXAMPLES: &str = "\
Examples:
  beadwise compare sample-gcode/bearing-drift*.gcode --for press-tool
  beadwise compare sample-gcode/bearing-drift*.gcode --material petg --report drifts.html";

const ADVISE_EXAMPLES: &str = "\
Examples:
  beadwise advise sample-gcode/rotor-gauge.gcode --material petg --load \"pull; force=300; axis=x\"
  beadwise advise sample-gcode/rotor-gauge.gcode --for gauge --material petg --report .

The exit code is 0 when the file holds or settings were found that do, 1 when none were found
or a load cannot be judged.";

const PROFILES_EXAMPLES: &str = "\
Examples:
  beadwise profiles list
  beadwise profiles show petg-cf > ours.toml
  beadwise profiles check
  beadwise profiles schema audit";

const COMPLETIONS_EXAMPLES: &str = "\
Examples:
  beadwise completions bash > beadwise.bash";

const MANUAL_EXAMPLES: &str = "\
Examples:
  beadwise manual .";

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Say what a file will really make, and whether it meets a strength profile.
    #[command(after_help = AUDIT_EXAMPLES)]
    Audit(AuditArguments),
    /// Show two or more slices of a part side by side.
    #[command(after_help = COMPARE_EXAMPLES)]
    Compare(CompareArguments),
    /// Say which settings would hold for the least time, mass or cost, and what each change does.
    #[command(after_help = ADVISE_EXAMPLES)]
    Advise(AdviseArguments),
    /// Reckon the force a job asks, by handbook formulas.
    Load(super::load::LoadArguments),
    /// List, show or check profiles.
    #[command(after_help = PROFILES_EXAMPLES)]
    Profiles(super::profiles::ProfilesArguments),
    /// Build in magnets and nuts: list pockets, write stops into a file and prove that nothing else changes.
    Embed(EmbedArguments),
    /// Print the completions of a shell, to be saved where it looks for them.
    #[command(after_help = COMPLETIONS_EXAMPLES)]
    Completions {
        /// Which shell.
        shell: clap_complete::Shell,
    },
    /// Write man pages into a folder.
    #[command(after_help = MANUAL_EXAMPLES)]
    Manual {
        /// A folder that exists.
        folder: PathBuf,
    },
}

impl Command {
    /// Whether `text` is the name of a command.
    pub fn is_name(text: &str) -> bool {
        use clap::CommandFactory;
        text == "help" || Arguments::command().find_subcommand(text).is_some()
    }
}

/// What the printer and its filament are; the same for every command that reads a print.
#[derive(Debug, Clone, Args)]
pub struct PrintArguments {
    /// Machine: a built-in class (see `beadwise profiles list`) or a TOML file.
    #[arg(long, value_name = "NAME|FILE")]
    pub machine: Option<String>,
    /// Material: a built-in card or a TOML file; for one tool of several write TOOL=NAME.
    #[arg(long = "material", value_name = "[TOOL=]NAME|FILE")]
    pub materials: Vec<String>,
    /// In a zip package with several G-code files: which one.
    #[arg(long, value_name = "NAME")]
    pub member: Option<String>,
}

/// How to answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people.
    Text,
    /// For programs; the keys are a contract.
    Json,
    /// One page to look at, to print and to hang on the machine.
    Html,
}

/// Units of lengths, forces and masses in text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// mm, g, N, MPa.
    Metric,
    /// in, oz, lbf, ksi.
    Inch,
}

impl From<Units> for System {
    fn from(units: Units) -> Self {
        match units {
            Units::Metric => Self::Metric,
            Units::Inch => Self::Inch,
        }
    }
}

/// `beadwise audit`.
#[derive(Debug, Clone, Args)]
pub struct AuditArguments {
    /// G-code files or zip packages that hold one, or - for standard input.
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    #[command(flatten)]
    pub print: PrintArguments,
    #[command(flatten)]
    pub checks: CheckArguments,
    /// Text for people, JSON for programs, or a page to print.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
    /// Also write the page: to this file, or for each input into this folder.
    #[arg(long, value_name = "FILE|FOLDER")]
    pub report: Option<PathBuf>,
    /// JSON: also every wall sample and the cuts along x and y.
    #[arg(long)]
    pub detail: bool,
    /// Stop at the first line that cannot be read.
    #[arg(long)]
    pub strict: bool,
}

/// `beadwise compare`.
#[derive(Debug, Clone, Args)]
pub struct CompareArguments {
    /// Slices of one part.
    #[arg(required = true, num_args = 2.., value_name = "FILE")]
    pub files: Vec<PathBuf>,
    #[command(flatten)]
    pub print: PrintArguments,
    #[command(flatten)]
    pub checks: CheckArguments,
    /// Text for people, JSON for programs, or a page to print.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
    /// Also write the page to this file.
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
}

/// What is to be least.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Least {
    /// Time at the machine.
    Time,
    /// Mass of the print.
    Mass,
    /// Price of the material.
    Cost,
}

impl From<Least> for Goal {
    fn from(least: Least) -> Self {
        match least {
            Least::Time => Self::Time,
            Least::Mass => Self::Mass,
            Least::Cost => Self::Cost,
        }
    }
}

/// `beadwise advise`.
#[derive(Debug, Clone, Args)]
pub struct AdviseArguments {
    /// A G-code file or a zip package that holds one, or - for standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    #[command(flatten)]
    pub print: PrintArguments,
    #[command(flatten)]
    pub checks: CheckArguments,
    /// What to spend least of.
    #[arg(long, value_enum, default_value = "time")]
    pub least: Least,
    /// Text for people, JSON for programs, or a page to print.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
    /// Also write the page: to this file, or into this folder.
    #[arg(long, value_name = "FILE|FOLDER")]
    pub report: Option<PathBuf>,
}

/// How `embed` answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum EmbedFormat {
    /// For people.
    Text,
    /// For programs; the keys are a contract.
    Json,
}

/// `beadwise embed`.
#[derive(Debug, Clone, Args)]
#[command(after_help = EMBED_EXAMPLES)]
pub struct EmbedArguments {
    /// Put this into every pocket that is made for it: a built-in insert (disc-6x2, m6-nut ...), sizes as in
    /// "disc 7x1.5", or a TOML file.
    #[arg(long = "insert", value_name = "INSERT")]
    pub inserts: Vec<String>,
    /// Put this into one pocket, by the pocket's name in the list.
    #[arg(long = "pocket", value_name = "POCKET=INSERT")]
    pub pockets: Vec<String>,
    /// Room an insert must have sideways, such as 0.2 or "0.008 in"; 0.1 mm unless you say otherwise.
    #[arg(long, value_name = "LENGTH", allow_negative_numbers = true)]
    pub clearance: Option<Length>,
    /// Stop after this layer, counted from 0 at the bed; for changing colour or material, or a closer look.
    #[arg(long = "at-layer", visible_alias = "stop-at-layer", value_name = "N")]
    pub layers: Vec<usize>,
    /// Stop after the last layer whose top is at or below this height, such as 12.4 (mm) or "1/2 in".
    #[arg(long = "at-z", visible_alias = "stop-at-z", value_name = "LENGTH", allow_negative_numbers = true)]
    pub heights: Vec<Length>,
    /// What else the person at the stops is told, such as which pole of a magnet goes up.
    #[arg(long = "note", value_name = "TEXT")]
    pub notes: Vec<String>,
    /// Write the new file here; - for standard output.
    #[arg(short, long, value_name = "FILE", conflicts_with = "in_place")]
    pub output: Option<PathBuf>,
    /// Write over the file that was read, and keep the original with .orig added to its name.
    #[arg(long)]
    pub in_place: bool,
    /// With --in-place: keep no copy of the original.
    #[arg(long, requires = "in_place")]
    pub no_copy: bool,
    /// Take all stops out again.
    #[arg(long, conflicts_with_all = ["inserts", "pockets", "layers", "heights", "notes"])]
    pub undo: bool,
    /// Show the new lines in their surroundings and write nothing.
    #[arg(long)]
    pub dry_run: bool,
    /// Text for people, or JSON for programs.
    #[arg(long, value_enum, default_value = "text")]
    pub format: EmbedFormat,
    #[command(flatten)]
    pub print: PrintArguments,
    /// The G-code file or a zip package that holds one, or - for standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
}

impl EmbedArguments {
    /// Somewhere to write was named.
    pub fn writes(&self) -> bool {
        self.output.is_some() || self.in_place
    }

    /// The new file goes to standard output.
    pub fn to_output(&self) -> bool {
        self.output.as_deref().is_some_and(|path| path.as_os_str() == "-")
    }
}

const EMBED_EXAMPLES: &str = "\
Examples:
  beadwise embed sample-gcode/magnet-tray.gcode
  beadwise embed sample-gcode/magnet-tray.gcode --insert disc-6x2 -o tray-with-stops.gcode
  beadwise embed sample-gcode/rotor-gauge.gcode --at-z 1.2 --note red --dry-run
  beadwise embed tray-with-stops.gcode --undo -o tray.gcode

Your slicing program can run it as its last step, with the file's name at the end:
  \"beadwise embed --insert m6-nut --in-place\"";
