//! `beadwise audit`.

use super::arguments::{AuditArguments, Format, PrintArguments};
use super::checks::Checks;
use super::outcome::{Outcome, Trouble};
use super::shop::ShopDefaults;
use super::terminal::Terminal;
use super::{page, progress, setup};
use beadwise::audit::{AuditContext, audit_print};
use beadwise::measure::{Setup, measure_print};
use beadwise::report::{AuditedFile, Paint, Summary, audit_json, audit_line, audit_text, verdict_text};
use beadwise::source::{Source, read_member, read_stream};
use beadwise::strength::check_cases;
use std::path::Path;

/// Audits every file that was named; one that cannot be read does not keep the others from being audited.
///
/// Files that were `dropped` on the program's icon get a page beside them, since nobody sees what is printed.
pub fn run(
    asked: &AuditArguments,
    shop: &ShopDefaults,
    dropped: bool,
    terminal: &Terminal,
) -> Result<Outcome, Trouble> {
    let mut setup = setup::load(&asked.print, shop)?;
    setup.detail = asked.detail;
    setup.strict = asked.strict;
    let checks = asked.checks.load(shop)?;
    let one_line_each = asked.files.len() > 1 && !terminal.verbose && !terminal.quiet && asked.format == Format::Text;
    let job = Job { asked, shop, setup: &setup, checks: &checks, terminal, one_line_each, dropped };
    job.refuse_what_does_not_fit()?;
    let mut summary = Summary::default();
    let mut worst = Outcome::Fine;
    for path in &asked.files {
        match job.audit(path, &mut summary) {
            Ok(outcome) => worst = worst.max(outcome),
            Err(trouble) => {
                terminal.complain(&trouble);
                summary.not_read += 1;
                worst = worst.max(trouble.outcome());
            }
        }
    }
    if one_line_each {
        terminal.answer(&summary.text(shop.figures(), Paint::new(terminal.color)))?;
    }
    Ok(worst)
}

/// What is the same for every file.
struct Job<'a> {
    asked: &'a AuditArguments,
    shop: &'a ShopDefaults,
    setup: &'a Setup,
    checks: &'a Checks,
    terminal: &'a Terminal,
    one_line_each: bool,
    dropped: bool,
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

    fn audit(&self, path: &Path, summary: &mut Summary) -> Result<Outcome, Trouble> {
        let source = read_source(path, &self.asked.print)?;
        let mut file = audit_source(&source, self.setup, self.checks, self.terminal)?;
        let outcome = if file.audit.verdict.refuses() { Outcome::Refused } else { Outcome::Fine };
        let print = &self.asked.print;
        file.measures.assumptions.extend(self.shop.said(
            print.machine.is_some(),
            !print.materials.is_empty(),
            self.asked.checks.strength_profile.is_some(),
        ));
        summary.add(&file);
        let page =
            || page::audit_page_of(&source, &file, self.setup, self.checks.strength.as_ref(), self.shop.figures());
        if let Some(report) = &self.asked.report {
            page::write(report, &source, &page())?;
        }
        if self.dropped {
            page::write_beside(&source, &page())?;
        }
        self.terminal.answer(&match self.asked.format {
            Format::Json => audit_json(&file, self.asked.detail),
            Format::Text => self.text(&file),
            Format::Html => page(),
        })?;
        Ok(outcome)
    }

    fn text(&self, file: &AuditedFile) -> String {
        let (figures, paint) = (self.shop.figures(), Paint::new(self.terminal.color));
        if self.terminal.quiet {
            verdict_text(file, paint)
        } else if self.one_line_each {
            audit_line(file, figures, paint)
        } else {
            audit_text(file, figures, paint, self.terminal.verbose)
        }
    }
}

/// Measures and audits one file.
pub fn audit_source(
    source: &Source,
    setup: &Setup,
    checks: &Checks,
    terminal: &Terminal,
) -> Result<AuditedFile, Trouble> {
    let bar = progress::bar(source.bytes().len() as u64, terminal.quiet);
    let measures = measure_print(source.bytes(), setup, &mut |done| bar.set_position(done))
        .map_err(|error| Trouble::Measure { path: source.name().into(), error })?;
    let unread = |error| Trouble::Measure { path: source.name().into(), error };
    let cases = check_cases(source.bytes(), setup, &measures, &checks.cases, checks.reserve).map_err(unread)?;
    source.settled()?;
    bar.finish_and_clear();
    let strength = checks.strength.as_ref();
    let audit = audit_print(&AuditContext { measures: &measures, setup, strength, cases: &cases });
    Ok(AuditedFile {
        name: source.name().to_owned(),
        machine: setup.machine.name.clone(),
        strength_profile: strength.map(|s| s.name.clone()),
        cases,
        measures,
        audit,
    })
}

/// Reads a file, or standard input for `-`; of a zip package, the member that was asked for.
pub fn read_source(path: &Path, print: &PrintArguments) -> Result<Source, Trouble> {
    let member = print.member.as_deref();
    if path.as_os_str() == "-" {
        return Ok(read_stream("standard input", &mut std::io::stdin().lock(), member)?);
    }
    Ok(read_member(path, member)?)
}
