//! `beadwise compare`.

use super::arguments::{CompareArguments, Format};
use super::audit::{audit_file, figures};
use super::outcome::{Outcome, Trouble};
use super::setup;
use super::terminal::Terminal;
use beadwise::compare::{Comparison, Slice};
use beadwise::profile::StrengthProfile;
use beadwise::report::{Paint, comparison_json, comparison_text};

/// Audits every file and sets them side by side. Every file has to be readable: half a table misleads.
pub fn run(asked: &CompareArguments, terminal: &Terminal) -> Result<Outcome, Trouble> {
    let setup = setup::load(&asked.print)?;
    let strength = asked.strength_profile.as_deref().map(StrengthProfile::load).transpose()?;
    let mut slices = Vec::new();
    let mut outcome = Outcome::Fine;
    for path in &asked.files {
        let file = audit_file(path, &setup, strength.as_ref(), terminal)?;
        if file.audit.verdict.refuses() {
            outcome = Outcome::Refused;
        }
        slices.push(Slice::new(path.display().to_string(), &file.measures, file.audit.verdict));
    }
    let comparison = Comparison::new(slices);
    terminal.answer(&match asked.format {
        Format::Json => comparison_json(&comparison),
        Format::Text => comparison_text(&comparison, figures(asked.units), Paint::new(terminal.color)),
    })?;
    Ok(outcome)
}
