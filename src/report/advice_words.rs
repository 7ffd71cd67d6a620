//! Words that every form of an advice shares.

use super::Figures;
use super::words::{layer_range, plural};
use crate::advise::{Advice, Beyond, Change, Choice, Offer, Standing, Turn};
use crate::rebead::Flaw;
use crate::strength::Mode;
use crate::units::significant;

/// The standing in a word or two.
pub(super) const fn standing_word(standing: Standing) -> &'static str {
    match standing {
        Standing::Holds => "holds",
        Standing::CanBeCheaper => "holds, and can be had for less",
        Standing::CanBeMended => "does not hold, can be mended",
        Standing::CannotBeMended => "settings cannot mend it",
        Standing::Undetermined => "cannot say",
        Standing::NotUnderstood => "no advice",
    }
}

/// What the standing means for this file.
pub(super) fn standing_sentence(advice: &Advice) -> String {
    let goal = goal_word(advice);
    let by = |offer: &Offer| {
        let (of, own) = (advice.goal.of(offer), advice.goal.of(&advice.own));
        format!("{:.0} %", 100.0 * (1.0 - of / own))
    };
    match (advice.standing, &advice.best) {
        (Standing::Holds, _) => format!("nothing that was tried holds for less {goal}"),
        (Standing::CanBeCheaper, Some(best)) => format!("other settings hold for {} less {goal}", by(best)),
        (Standing::CanBeMended, Some(_)) => format!("the settings below hold, for the least {goal} that was found"),
        (Standing::NotUnderstood, _) => {
            "laid again with the settings it was measured to have, the part comes out too far from the \
             file (see below how far); what would be laid for it says nothing about it"
                .to_owned()
        }
        (Standing::Undetermined, _) => {
            let reason = advice.file.cases.iter().find_map(|c| c.undetermined.clone());
            reason.unwrap_or_else(|| "a load cannot be judged".to_owned())
        }
        _ => match advice.strongest.as_ref() {
            Some(most) if !advice.file.cases.is_empty() => format!(
                "the most that was reached is a reserve of {} ({}); see below what would help",
                significant(most.reserve().unwrap_or(0.0), 3),
                choice_words(&most.choice)
            ),
            _ => "no settings that were tried have all that is asked; see below what is missing".to_owned(),
        },
    }
}

/// What holding means here.
pub(super) fn holding_words(advice: &Advice) -> String {
    if advice.file.cases.is_empty() {
        "no load was asked for (--load): that settings hold says only that the part has what the strength profile asks for"
            .to_owned()
    } else {
        format!("what to set must promise a reserve of {}", significant(advice.needed, 3))
    }
}

/// What was to be least.
pub(super) const fn goal_word(advice: &Advice) -> &'static str {
    match advice.goal {
        crate::advise::Goal::Time => "time",
        crate::advise::Goal::Mass => "mass",
        crate::advise::Goal::Cost => "cost",
    }
}

/// What strength is told by: the reserve, or the weakest section where no load was asked for.
pub(super) fn strength_word(advice: &Advice) -> &'static str {
    if advice.file.cases.is_empty() { "weakest section" } else { "reserve" }
}

/// The strength of an offer as it is shown.
pub(super) fn strength_text(advice: &Advice, offer: &Offer, figures: Figures) -> String {
    let known = if advice.file.cases.is_empty() {
        offer.least_section_mm2.map(|mm2| figures.area(mm2))
    } else {
        offer.reserve().map(|reserve| significant(reserve, 3))
    };
    known.unwrap_or_else(|| "not known".to_owned())
}

/// The core in a word or two.
pub(super) fn core_words(choice: &Choice) -> String {
    match choice.core_percent {
        0 => "no core".to_owned(),
        100.. => "solid".to_owned(),
        percent => format!("{percent} % {}", choice.core.short_words()),
    }
}

/// Settings in one line.
pub(super) fn choice_words(choice: &Choice) -> String {
    let walls = if choice.walls == 1 { "1 wall".to_owned() } else { format!("{} walls", choice.walls) };
    format!("{walls}, {}", core_words(choice))
}

/// Skins above floors and under roofs.
pub(super) fn skin_words(choice: &Choice) -> String {
    format!("{} floor, {} roof", choice.bottom_skins, choice.top_skins)
}

/// A width or height with two decimals, or three in inches.
fn size(mm: f64, figures: Figures) -> String {
    figures.length(mm)
}

/// What a change is, in trade words.
pub(super) fn change_words(change: &Change, own: &Choice, layer_height_mm: f64, figures: Figures) -> String {
    let to = &change.choice;
    match change.turn {
        Turn::FaultsMended => "the faulty layers laid like the rest".to_owned(),
        Turn::Walls => walls_words(own.walls, to.walls),
        Turn::CoreDensity => match to.core_percent {
            0 => "no core".to_owned(),
            100.. => "solid instead of a core".to_owned(),
            percent => format!("core {percent} % full instead of {} %", own.core_percent),
        },
        Turn::CorePattern => format!("core as {}", to.core.words()),
        Turn::Skins => skins_words(own, to),
        Turn::BeadWidth => format!("beads {} wide", size(to.bead_width_mm(), figures)),
        Turn::LayerHeight => format!("layers of {}", size(to.layer_height_mm().unwrap_or(layer_height_mm), figures)),
    }
}

fn walls_words(from: u32, to: u32) -> String {
    match (from, to) {
        (from, to) if to == from + 1 => format!("one more wall ({to})"),
        (from, to) if to > from => format!("{} more walls ({to})", to - from),
        (from, to) if from == to + 1 => format!("one wall less ({to})"),
        (from, to) => format!("{} walls less ({to})", from - to),
    }
}

fn skins_words(own: &Choice, to: &Choice) -> String {
    let more = i64::from(to.top_skins) - i64::from(own.top_skins);
    let count = match more.unsigned_abs() {
        1 => "one".to_owned(),
        n => n.to_string(),
    };
    let way = if more < 0 { "fewer" } else { "more" };
    format!(
        "{count} skin layer{} {way} ({} floor, {} roof)",
        plural(more.unsigned_abs()),
        to.bottom_skins,
        to.top_skins
    )
}

/// A change in percent; `same` where it is finer than the advice can tell.
pub(super) fn percent_change(share: f64, error: f64) -> String {
    if !(share.abs() > error) { "same".to_owned() } else { format!("{:+.0} %", 100.0 * share) }
}

/// Every row of settings and figures: its name, the file's and the advised.
pub(super) fn side_by_side(advice: &Advice, figures: Figures) -> Vec<[String; 3]> {
    let (own, best) = (&advice.own, advice.best.as_ref().or(advice.strongest.as_ref()));
    let both =
        |name: &str, of: &dyn Fn(&Offer) -> String| [name.to_owned(), of(own), best.map_or_else(String::new, of)];
    let height = |o: &Offer| size(o.choice.layer_height_mm().unwrap_or(advice.file.layer_height_mm), figures);
    let known = |value: Option<String>| value.unwrap_or_else(|| "not known".to_owned());
    vec![
        both("walls", &|o| o.choice.walls.to_string()),
        both("core", &|o| core_words(&o.choice)),
        both("skin layers", &|o| skin_words(&o.choice)),
        both("bead width", &|o| size(o.choice.bead_width_mm(), figures)),
        both("layer height", &height),
        both("time", &|o| figures.time(o.time_s)),
        both("mass", &|o| known(o.mass_g.map(|g| figures.mass(g)))),
        both("cost", &|o| known(o.cost.map(|c| format!("{c:.2}")))),
        both(strength_word(advice), &|o| strength_text(advice, o, figures)),
    ]
}

/// How far laying the file again came from it, in one sentence for each figure.
pub(super) fn error_words(advice: &Advice) -> Vec<String> {
    let error = &advice.error;
    let percent = |share: f64| format!("{:+.1} %", 100.0 * share);
    let mut said = vec![format!("mass {}", percent(error.mass)), format!("time {}", percent(error.time))];
    said.extend(error.walls.map(|(file, laid)| match file == laid {
        true => "walls as in the file".to_owned(),
        false => format!("{laid} walls for {file}"),
    }));
    said.extend(error.core.map(|(file, laid)| format!("core {:+.1} points", 100.0 * (laid - file))));
    said.extend(error.moments.map(|share| format!("section moments within {:.1} %", 100.0 * share)));
    said.extend(error.reserve().map(|share| format!("reserve within {:.1} %", 100.0 * share)));
    said
}

/// The bars that laying again is held to; whichever is missed is said aloud.
pub(super) fn error_warnings(advice: &Advice) -> Vec<String> {
    if advice.standing == Standing::NotUnderstood {
        return Vec::new();
    }
    let error = &advice.error;
    let far = [
        ("mass", error.mass.abs(), 0.03),
        ("time", error.time.abs(), 0.05),
        ("section moments", error.moments.unwrap_or(0.0), 0.03),
        ("reserve", error.reserve().unwrap_or(0.0), 0.05),
    ];
    let missed = far.into_iter().filter(|(_, off, most)| !(off <= most));
    missed
        .map(|(name, off, _)| {
            format!(
                "{name} {:.0} % off the file's when laid again: take what is said of it as a direction only",
                100.0 * off
            )
        })
        .collect()
}

/// Faults of the file, in words.
pub(super) fn fault_words(faults: &[Flaw]) -> Vec<String> {
    let layers = |layers: &std::ops::RangeInclusive<usize>| layer_range((*layers.start(), *layers.end()));
    let words = |flaw: &Flaw| match flaw {
        Flaw::FewWalls { layers: l, walls } => {
            Some(format!("{}: only {walls} wall{}", layers(l), plural(u64::from(*walls))))
        }
        Flaw::Flow { layers: l, share, .. } => Some(format!("{}: {:.0} % of the usual flow", layers(l), 100.0 * share)),
        Flaw::WallGap { .. } | Flaw::OpenTop { .. } => None,
    };
    faults.iter().filter_map(words).collect()
}

/// What may help beyond the settings, one sentence each.
pub(super) fn beyond_words(advice: &Advice, figures: Figures) -> Vec<String> {
    let several = advice.file.cases.len() > 1;
    let of = |case: &str| if several { format!("{case}: ") } else { String::new() };
    let mut said: Vec<String> = advice.beyond.iter().map(|b| one_beyond(b, advice, figures, &of)).collect();
    said.dedup();
    said
}

fn one_beyond(beyond: &Beyond, advice: &Advice, figures: Figures, of: &dyn Fn(&str) -> String) -> String {
    match beyond {
        Beyond::TurnThePart { case, times } => format!(
            "{}turn the part so that the load runs along the layers instead of pulling them apart: beads bear about {} \
             times as much along as layers do across (low values of the material's card)",
            of(case),
            significant(*times, 2)
        ),
        Beyond::Material { name, own_settings, reserve, mass_g } => {
            let with = if *own_settings { "the file's settings" } else { "the most that settings reach" };
            let holds = if *reserve >= advice.wanted { ", which holds" } else { ", still too little" };
            let mass = mass_g.map_or_else(String::new, |g| format!(", {}", figures.mass(g)));
            format!("{name} with {with}: reserve {}{holds}{mass}", significant(*reserve, 3))
        }
        Beyond::BiggerSection { case, lacking, size_times, mode } => format!(
            "{}a bigger section: {} must bear {} times as much, so about {:.0} % more in width and depth where it gives",
            of(case),
            mode.word(),
            significant(*lacking, 2),
            100.0 * (size_times - 1.0)
        ),
        Beyond::Bolt { case, size, proof_n } => format!(
            "{}a steel bolt {size} (class 8.8) through the layers, pulled up so that it takes the whole pull: proof load \
             {}",
            of(case),
            force(*proof_n, figures)
        ),
        Beyond::SteelFace { case, area_times } => format!(
            "{}a steel washer, ring or plate let in under the contact that spreads the load over {} times the area; or \
             a contact as much wider in the part",
            of(case),
            significant(*area_times, 2)
        ),
    }
}

fn force(newtons: f64, figures: Figures) -> String {
    use crate::units::{Force, System};
    Force::from_newtons(newtons).show(if figures.is_inch() { System::Inch } else { System::Metric })
}

/// Why the case that governs gives way, for the settings that are spoken of.
pub(super) fn governing_words(offer: &Offer) -> Option<String> {
    let case = offer.weakest_case()?;
    let mode: Mode = case.governing()?.mode;
    Some(format!("{}: {} governs ({})", case.name, mode.word(), case.material))
}

/// More infill is a waste: said with both numbers.
pub(super) fn waste_words(advice: &Advice) -> Option<String> {
    let waste = advice.waste_of_core?;
    let what = strength_word(advice);
    let gain = |share: f64| match share.abs() > advice.strength_error() {
        true => format!("{:+.0} % {what}", 100.0 * share),
        false => format!("no more {what} than can be told"),
    };
    Some(format!(
        "more infill is a waste here: a core {} % full gives {} for {:+.0} % time; {} give {} for {:+.0} %",
        waste.core.core_percent,
        gain(waste.core_strength),
        100.0 * waste.core_time,
        if waste.walls.walls == 1 { "1 wall".to_owned() } else { format!("{} walls", waste.walls.walls) },
        gain(waste.walls_strength),
        100.0 * waste.walls_time
    ))
}
