//! `beadwise audit`.

use super::arguments::{AuditArguments, Format, Units};
use super::outcome::{Outcome, Trouble};
use super::terminal::Terminal;
use super::{page, progress, setup};
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
    let job = Job { asked, setup: &setup, strength: strength.as_ref(), terminal };
    job.refuse_what_does_not_fit()?;
    let mut worst = Outcome::Fine;
    for path in &asked.files {
        match job.audit(path) {
            Ok(outcome) => worst = worst.max(outcome),
            Err(trouble) => {
                terminal.complain(&trouble);
                worst = worst.max(trouble.outcome());
            }
        }
    }
    Ok(worst)
}

/// What is the same for every file.
struct Job<'a> {
    asked: &'a AuditArguments,
    setup: &'a Setup,
    strength: Option<&'a StrengthProfile>,
    terminal: &'a Terminal,
}

impl Job<'_> {
    /// One page cannot hold several files.
    fn refuse_what_does_not_fit(&self) -> Result<(), Trouble> {
        let several = self.asked.files.len() > 1;
        if several && self.asked.format == Format::Html {
            let advice = "one page is for one file; name a folder with --report to get a page of each";
            return Err(Trouble::Arguments(advice.to_owned()));
        }
        match &self.asked.report {
            Some(report) if several && !report.is_dir() => Err(Trouble::Arguments(format!(
                "--report {}: for several files name a folder that exists",
                report.display()
            ))),
            _ => Ok(()),
        }
    }

    fn audit(&self, path: &Path) -> Result<Outcome, Trouble> {
        let source = read_source(path)?;
        let file = audit_source(&source, self.setup, self.strength, self.terminal)?;
        let outcome = if file.audit.verdict.refuses() { Outcome::Refused } else { Outcome::Fine };
        let figures = figures(self.asked.units);
        let page = || page::audit_page_of(&source, &file, self.setup, self.strength, figures);
        if let Some(report) = &self.asked.report {
            page::write(report, &source, &page())?;
        }
        self.terminal.answer(&match self.asked.format {
            Format::Json => audit_json(&file, self.asked.detail),
            Format::Text => audit_text(&file, figures, Paint::new(self.terminal.color), self.terminal.verbose),
            Format::Html => page(),
        })?;
        Ok(outcome)
    }
}

/// Measures and audits one file.
pub fn audit_source(
    source: &Source,
    setup: &Setup,
    strength: Option<&StrengthProfile>,
    terminal: &Terminal,
) -> Result<AuditedFile, Trouble> {
    let bar = progress::bar(source.bytes().len() as u64, terminal.quiet);
    let measures = measure_print(source.bytes(), setup, &mut |done| bar.set_position(done))
        .map_err(|error| Trouble::Measure { path: source.name().into(), error })?;
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

/// Reads a file, or standard input for `-`.
pub fn read_source(path: &Path) -> Result<Source, Trouble> {
    if path.as_os_str() == "-" {
        return Ok(read_stream("standard input", &mut std::io::stdin().lock())?);
    }
    Ok(read_path(path)?)
}
