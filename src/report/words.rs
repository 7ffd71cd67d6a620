//! Sentences that every form of an answer shares.

use super::{AuditedFile, Figures};
use crate::audit::{Finding, Verdict, Weight};
use crate::measure::PartMeasures;
use crate::shape::SkinMap;

/// The verdict in one or two words.
#[must_use]
pub(super) const fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "fail",
        Verdict::Undetermined => "cannot say",
        Verdict::Unchecked => "not checked",
    }
}

/// What the verdict means for this file.
#[must_use]
pub(super) fn verdict_sentence(file: &AuditedFile) -> String {
    match (&file.strength_profile, file.audit.verdict) {
        (_, Verdict::Unchecked) => "no strength profile or load was asked for (--for, --load)".to_owned(),
        (Some(profile), Verdict::Pass) => format!("meets the strength profile {profile}"),
        (Some(profile), Verdict::Fail) => format!("does not meet the strength profile {profile}"),
        (Some(profile), _) => format!("evidence for the strength profile {profile} is missing"),
        (None, Verdict::Pass) => "carries its load with the reserve that was asked for".to_owned(),
        (None, _) => "does not carry its load with the reserve that was asked for".to_owned(),
    }
}

/// How full the core of a part is.
#[must_use]
pub(super) fn core_words(part: &PartMeasures, figures: Figures) -> String {
    part.core_density.map_or("none, or too small to say".to_owned(), |d| format!("{} filled", figures.percent(d)))
}

/// How thick the skins of a part are, where thinnest. Skin is counted where a core lies behind it: a part without one
/// is not a part without a floor.
#[must_use]
pub(super) fn skin_words(skins: &SkinMap) -> String {
    let count =
        |n: Option<u32>| n.map_or("not counted".to_owned(), |n| format!("{n} solid layer{}", plural(u64::from(n))));
    format!("floor {}, roof {}", count(skins.bottom.layers), count(skins.top.layers))
}

/// What a finding does to the verdict, in one word.
#[must_use]
pub(super) const fn weight_word(weight: Weight) -> &'static str {
    match weight {
        Weight::Fail => "fails",
        Weight::Undetermined => "unknown",
        Weight::Warning => "warning",
        Weight::Note => "note",
    }
}

/// Where a finding is, for people: layers, height, place in plan, line; empty when it is everywhere.
#[must_use]
pub(super) fn place(finding: &Finding, figures: Figures) -> String {
    let mut parts = Vec::new();
    if let Some(layers) = finding.layers {
        parts.push(layers_of(layers, finding.quiet_layers));
    }
    if let Some((low, high)) = finding.z_mm {
        parts.push(if low == high {
            format!("z {}", figures.length(low))
        } else {
            format!("z {} to {} {}", figures.bare_length(low), figures.bare_length(high), figures.length_unit())
        });
    }
    if let Some(at) = finding.at {
        parts.push(format!("near x {} y {}", figures.bare_length(at.x), figures.bare_length(at.y)));
    }
    if let Some(line) = finding.line {
        parts.push(format!("line {line}"));
    }
    parts.join(", ")
}

/// The layers of a finding, some of them without it: `every second layer 3-7` or `4 of the layers 3-7`.
fn layers_of((first, last): (usize, usize), quiet: usize) -> String {
    let count = last.saturating_sub(first) + 1;
    match quiet {
        0 => layer_range((first, last)),
        _ if 2 * quiet + 1 == count => format!("every second layer {first}-{last}"),
        _ => format!("{} of the layers {first}-{last}", count.saturating_sub(quiet)),
    }
}

/// The ending of a word of which there are `n`.
pub(super) const fn plural(n: u64) -> &'static str {
    if n == 1 { "" } else { "s" }
}

/// `layer 3` or `layers 3-7`.
#[must_use]
pub(super) fn layer_range((first, last): (usize, usize)) -> String {
    if first == last { format!("layer {first}") } else { format!("layers {first}-{last}") }
}

/// Breaks text at spaces so that no line is longer than `width`, unless a single word is.
#[must_use]
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let Some(line) = lines.last_mut() else { break };
        if line.is_empty() {
            line.push_str(word);
        } else if line.chars().count() + 1 + word.chars().count() <= width {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quiet_layers_are_told() {
        assert_eq!(layers_of((4, 4), 0), "layer 4");
        assert_eq!(layers_of((27, 47), 10), "every second layer 27-47");
        assert_eq!(layers_of((9, 26), 1), "17 of the layers 9-26");
    }

    #[test]
    fn skins_that_cannot_be_counted_are_not_said_to_be_missing() {
        let mut skins = SkinMap::default();
        assert_eq!(skin_words(&skins), "floor not counted, roof not counted");
        (skins.bottom.layers, skins.top.layers) = (Some(1), Some(4));
        assert_eq!(skin_words(&skins), "floor 1 solid layer, roof 4 solid layers");
    }

    #[test]
    fn long_text_is_broken_at_spaces() {
        assert_eq!(wrap("one two three four", 9), ["one two", "three", "four"]);
        assert_eq!(wrap("incomprehensibilities are long", 10), ["incomprehensibilities", "are long"]);
    }
}
