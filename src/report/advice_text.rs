//! An advice as text: how it stands, what to set, what each change does, what settings cannot mend.
//!
//! Fits 80 columns. Nothing here is said by colour alone.

use super::advice_words::{
    beyond_words, change_words, choice_words, error_warnings, error_words, fault_words, governing_words, holding_words,
    percent_change, side_by_side, standing_sentence, standing_word, strength_text, strength_word, waste_words,
};
use super::audit_text::WIDTH;
use super::translate::translate;
use super::words::wrap;
use super::{AdvisedFile, Figures, Paint};
use crate::advise::{Advice, Offer, Standing};
use crate::strength::load::CAUTIONS;
use crate::units::significant;
use std::fmt::Write;

/// Width of the names of rows.
const LABEL: usize = 18;
/// Columns before the settings in the table of the edge.
const BEFORE_SETTINGS: usize = 44;

/// The advice on one file as text.
#[must_use]
pub fn advice_text(file: &AdvisedFile, figures: Figures, paint: Paint) -> String {
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = write_head(&mut text, file, figures, paint);
    let _ = write_settings(&mut text, &file.advice, figures, paint);
    let _ = write_edge(&mut text, &file.advice, figures, paint);
    let _ = write_changes(&mut text, &file.advice, figures, paint);
    let _ = write_beyond(&mut text, &file.advice, figures, paint);
    let _ = write_trust(&mut text, file, figures, paint);
    let _ = write_cautions(&mut text, &file.advice, paint);
    text
}

/// The standing alone, in a line or two.
#[must_use]
pub fn standing_text(file: &AdvisedFile, figures: Figures, paint: Paint) -> String {
    let mut text = String::new();
    let _ = write_head(&mut text, file, figures, paint);
    text
}

fn write_head(text: &mut String, file: &AdvisedFile, figures: Figures, paint: Paint) -> std::fmt::Result {
    let advice = &file.advice;
    let word = standing_word(advice.standing).to_uppercase();
    let word = match advice.standing {
        Standing::Holds | Standing::CanBeCheaper => paint.good(&word),
        Standing::CanBeMended | Standing::CannotBeMended => paint.bad(&word),
        Standing::Undetermined | Standing::NotUnderstood => paint.doubtful(&word),
    };
    writeln!(text, "{word}")?;
    writeln!(text, "  {}", paint.strong(&file.name))?;
    lines(text, &standing_sentence(advice), "  ")?;
    for case in &advice.file.cases {
        if let Some(reserve) = case.reserve().filter(|_| case.undetermined.is_none()) {
            let mode = case.governing().map_or("", |c| c.mode.word());
            let said = format!(
                "{}: reserve {} as it is, {} wanted ({mode}, {})",
                case.name,
                significant(reserve, 3),
                significant(advice.wanted, 3),
                case.material
            );
            lines(text, &said, "  ")?;
        }
    }
    for finding in advice.file.missing.iter().take(6) {
        hanging(text, &translate(&finding.message, figures))?;
    }
    for fault in fault_words(&advice.faults) {
        lines(text, &format!("fault in the file: {fault}; the advice is for the part without it"), "  ")?;
    }
    Ok(())
}

fn write_settings(text: &mut String, advice: &Advice, figures: Figures, paint: Paint) -> std::fmt::Result {
    if advice.standing == Standing::NotUnderstood {
        return Ok(());
    }
    let titles = match (&advice.best, advice.standing) {
        (Some(_), Standing::Holds) => ("What it has", ""),
        (Some(_), _) => ("What to set", "set"),
        (None, _) => ("The most that settings reach", "at most"),
    };
    writeln!(text, "\n{}", paint.strong(titles.0))?;
    let same = advice.best.as_ref().is_some_and(|best| best.choice == advice.own.choice);
    let second = if same { "" } else { titles.1 };
    writeln!(text, "  {:LABEL$}{:>24}{:>26}", "", "the file", second)?;
    for [name, own, best] in side_by_side(advice, figures) {
        let best = if same { String::new() } else { best };
        let mark = if !same && own != best { " <" } else { "" };
        writeln!(text, "{}", format!("  {name:LABEL$}{own:>24}{best:>26}{mark}").trim_end())?;
    }
    let spoken_of = advice.best.as_ref().or(advice.strongest.as_ref()).unwrap_or(&advice.own);
    if let Some(words) = governing_words(spoken_of) {
        lines(text, &words, "  ")?;
    }
    Ok(())
}

fn write_edge(text: &mut String, advice: &Advice, figures: Figures, paint: Paint) -> std::fmt::Result {
    if advice.edge.len() < 2 {
        return Ok(());
    }
    writeln!(text, "\n{}", paint.strong(&format!("Beaten by none of the {} that were laid", advice.tried)))?;
    let strength = strength_word(advice);
    writeln!(text, "  {:>13}{:>10}{:>16}   settings", "time", "mass", strength)?;
    for offer in &advice.edge {
        let mark = if is_best(advice, offer) { "*" } else { " " };
        let mass = offer.mass_g.map_or_else(|| figures.volume(offer.volume_mm3), |g| figures.mass(g));
        let row = format!(
            "{mark} {:>13}{mass:>10}{:>16}   {}",
            figures.time(offer.time_s),
            strength_text(advice, offer, figures),
            settings_words(advice, offer, figures)
        );
        for (i, line) in wrap_hanging(&row, WIDTH, BEFORE_SETTINGS).iter().enumerate() {
            writeln!(text, "{:indent$}{line}", "", indent = if i == 0 { 0 } else { BEFORE_SETTINGS })?;
        }
    }
    if advice.best.is_some() {
        writeln!(text, "{}", paint.faint("* the least that holds"))?;
    }
    Ok(())
}

fn is_best(advice: &Advice, offer: &Offer) -> bool {
    advice.best.as_ref().is_some_and(|best| best.choice == offer.choice)
}

/// Settings that differ from the file's, besides walls and core.
fn settings_words(advice: &Advice, offer: &Offer, figures: Figures) -> String {
    let (own, to) = (&advice.own.choice, &offer.choice);
    let mut words = choice_words(to);
    if (own.bottom_skins, own.top_skins) != (to.bottom_skins, to.top_skins) {
        let _ = write!(words, ", skins {}+{}", to.bottom_skins, to.top_skins);
    }
    if own.bead_width_um != to.bead_width_um {
        let _ = write!(words, ", beads {}", figures.length(to.bead_width_mm()));
    }
    if let Some(mm) = to.layer_height_mm() {
        let _ = write!(words, ", layers {}", figures.length(mm));
    }
    words
}

fn write_changes(text: &mut String, advice: &Advice, figures: Figures, paint: Paint) -> std::fmt::Result {
    if advice.changes.is_empty() {
        return Ok(());
    }
    writeln!(text, "\n{}", paint.strong("What one change alone does"))?;
    writeln!(text, "  {:44}{:>16}{:>8}{:>8}", "", strength_word(advice), "time", "mass")?;
    for change in &advice.changes {
        let words = change_words(change, &advice.own.choice, advice.file.layer_height_mm, figures);
        let strength = change
            .strength
            .map_or_else(|| "not known".to_owned(), |share| percent_change(share, advice.strength_error()));
        let time = percent_change(change.time, advice.time_error());
        let mass = percent_change(change.mass, advice.mass_error());
        let mut said = wrap(&words, 44);
        let last = said.pop().unwrap_or_default();
        for line in said {
            writeln!(text, "  {line}")?;
        }
        writeln!(text, "  {last:44}{strength:>16}{time:>8}{mass:>8}")?;
    }
    if let Some(words) = waste_words(advice) {
        lines(text, &words, "  ")?;
    }
    Ok(())
}

fn write_beyond(text: &mut String, advice: &Advice, figures: Figures, paint: Paint) -> std::fmt::Result {
    let said = beyond_words(advice, figures);
    if said.is_empty() {
        return Ok(());
    }
    writeln!(text, "\n{}", paint.strong("What settings cannot do"))?;
    for sentence in said {
        hanging(text, &sentence)?;
    }
    Ok(())
}

fn write_trust(text: &mut String, file: &AdvisedFile, figures: Figures, paint: Paint) -> std::fmt::Result {
    writeln!(text, "\n{}", paint.strong("How far to trust it"))?;
    let advice = &file.advice;
    lines(
        text,
        &format!(
            "the file's own outlines, laid again with the settings it was measured to have, came to: {}; finer \
             differences are called the same",
            error_words(advice).join(", "),
        ),
        "  ",
    )?;
    lines(text, &holding_words(advice), "  ")?;
    for warning in error_warnings(advice) {
        lines(text, &format!("{} {warning}", paint.doubtful("warning:")), "  ")?;
    }
    for assumed in &file.assumptions {
        lines(text, &translate(assumed, figures), "  ")?;
    }
    lines(text, "slice it again with these settings, then audit that file: the file on disk is the evidence", "  ")
}

fn write_cautions(text: &mut String, advice: &Advice, paint: Paint) -> std::fmt::Result {
    if advice.file.cases.is_empty() {
        return Ok(());
    }
    writeln!(text)?;
    for caution in CAUTIONS {
        for (i, line) in wrap(caution, WIDTH - 6).iter().enumerate() {
            writeln!(text, "  {}", paint.faint(&format!("{} {line}", if i == 0 { "-" } else { " " })))?;
        }
    }
    Ok(())
}

fn lines(text: &mut String, sentence: &str, indent: &str) -> std::fmt::Result {
    for line in wrap(sentence, WIDTH - indent.len() - 2) {
        writeln!(text, "{indent}{line}")?;
    }
    Ok(())
}

/// One point of a list.
fn hanging(text: &mut String, sentence: &str) -> std::fmt::Result {
    for (i, line) in wrap(sentence, WIDTH - 6).iter().enumerate() {
        writeln!(text, "  {} {line}", if i == 0 { "-" } else { " " })?;
    }
    Ok(())
}

/// A row broken at spaces of its last column, whose further lines are narrower by an indent.
fn wrap_hanging(row: &str, width: usize, indent: usize) -> Vec<String> {
    if row.chars().count() <= width {
        return vec![row.to_owned()];
    }
    let cut = row.char_indices().take(width + 1).filter(|(_, c)| *c == ' ').map(|(i, _)| i).last();
    let Some(cut) = cut.filter(|cut| *cut > indent) else { return vec![row.to_owned()] };
    let (first, rest) = row.split_at(cut);
    let mut lines = vec![first.to_owned()];
    lines.extend(wrap(rest, width - indent));
    lines
}
