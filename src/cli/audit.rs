//! `beadwise audit`.

use super::arguments::{AuditArguments, Format, Units};
use super::outcome::{Outcome, Trouble};
use super::terminal::Terminal;
use super::{progress, setup};
use beadwise::audit::{AuditContext, audit_print};
use beadwise::measure::{Setup, measure_print};
use beadwise::profile::StrengthProfile;
use beadwise::report::{AuditedFile, Figures, Paint, audit_json, audit_text};
use beadwise::source::{Source, read_path, read_stream};
use std::path::Path;

/// Audits every file that was named; one that cannot be read does not keep the others from being audited.
pub fn run(asked: &AuditArguments, terminal: &Terminal) -> Result<Outcome, Trouble> {
    let mut setup = setup::load(&asked.print)?;
    setup.detail = asked.detail;
    setup.strict = asked.strict;
    let strength = asked.strength_profile.as_deref().map(StrengthProfile::load).transpose()?;
    let mut worst = Outcome::Fine;
    for path in &asked.files {
        match audit_file(path, &setup, strength.as_ref(), terminal) {
            Ok(file) => {
                if file.audit.verdict.refuses() {
                    worst = worst.max(Outcome::Refused);
                }
                terminal.answer(&answer(&file, asked, terminal))?;
            }
            Err(trouble) => {
                terminal.complain(&trouble);
                worst = worst.max(trouble.outcome());
            }
        }
    }
    Ok(worst)
}

/// Reads, measures and audits one file.
pub fn audit_file(
    path: &Path,
    setup: &Setup,
    strength: Option<&StrengthProfile>,
    terminal: &Terminal,
) -> Result<AuditedFile, Trouble> {
    let source = read_source(path)?;
    let bar = progress::bar(source.bytes().len() as u64, terminal.quiet);
    let measures = measure_print(source.bytes(), setup, &mut |done| bar.set_position(done))
        .map_err(|error| Trouble::Measure { path: path.to_owned(), error })?;
    bar.finish_and_clear();
    let audit = audit_print(&AuditContext { measures: &measures, setup, strength });
    Ok(AuditedFile {
        name: source.name().to_owned(),
        machine: setup.machine.name.clone(),
        strength_profile: strength.map(|s| s.name.clone()),
        measures,
        audit,
    })
}

/// Numbers in the units the user asked for.
pub fn figures(units: Units) -> Figures {
    match units {
        Units::Metric => Figures::METRIC,
        Units::Inch => Figures::INCH,
    }
}

fn answer(file: &AuditedFile, asked: &AuditArguments, terminal: &Terminal) -> String {
    match asked.format {
        Format::Json => audit_json(file, asked.detail),
        Format::Text => audit_text(file, figures(asked.units), Paint::new(terminal.color), terminal.verbose),
    }
}

/// Reads a file, or standard input for `-`.
pub fn read_source(path: &Path) -> Result<Source, Trouble> {
    if path.as_os_str() == "-" {
        return Ok(read_stream("standard input", &mut std::io::stdin().lock())?);
    }
    Ok(read_path(path)?)
}
