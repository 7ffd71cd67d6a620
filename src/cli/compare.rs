//! `beadwise compare`.

use super::arguments::{CompareArguments, Format};
use super::audit::{audit_source, read_source};
use super::outcome::{Outcome, Trouble};
use super::shop::ShopDefaults;
use super::terminal::Terminal;
use super::{page, setup};
use beadwise::compare::{Comparison, Slice};
use beadwise::report::{Paint, comparison_json, comparison_page, comparison_text};

/// Audits every file and sets them side by side. Every file has to be readable: half a table misleads.
pub fn run(asked: &CompareArguments, shop: &ShopDefaults, terminal: &Terminal) -> Result<Outcome, Trouble> {
    let setup = setup::load(&asked.print, shop)?;
    let checks = asked.checks.load(shop)?;
    let mut files = Vec::new();
    for path in &asked.files {
        files.push(audit_source(&read_source(path, &asked.print)?, &setup, &checks, terminal)?);
    }
    let refused = files.iter().any(|file| file.audit.verdict.refuses());
    let slices = files
        .iter()
        .map(|file| Slice::new(file.name.clone(), &file.measures, file.audit.verdict).with_cases(&file.cases));
    let comparison = Comparison::new(slices.collect());
    let figures = shop.figures();
    let measures: Vec<_> = files.iter().map(|file| &file.measures).collect();
    let page = || comparison_page(&comparison, &measures, figures);
    if let Some(report) = &asked.report {
        page::write_new(report, &page())?;
    }
    terminal.answer(&match asked.format {
        Format::Json => comparison_json(&comparison),
        Format::Text => comparison_text(&comparison, figures, Paint::new(terminal.color)),
        Format::Html => page(),
    })?;
    Ok(if refused { Outcome::Refused } else { Outcome::Fine })
}
