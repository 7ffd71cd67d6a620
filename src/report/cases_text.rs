//! Load cases as text: what the part bears, by which mode, and how that was reckoned.

use super::Paint;
use super::figures::Figures;
use super::translate::translate;
use super::words::wrap;
use crate::strength::load::CAUTIONS;
use crate::strength::{Capacity, CaseResult, Holds};
use crate::units::{Force, System, Torque, significant};
use std::fmt::Write;

/// Columns for the text of a line.
const WIDTH: usize = 76;

/// Writes every case: the answer, the governing mode with its working, the others in short, and the cautions.
pub(super) fn write_cases(
    text: &mut String,
    cases: &[CaseResult],
    figures: Figures,
    paint: Paint,
    verbose: bool,
) -> std::fmt::Result {
    if cases.is_empty() {
        return Ok(());
    }
    writeln!(text, "\n{}", paint.strong("What it will carry"))?;
    for case in cases {
        write_case(text, case, if figures.is_inch() { System::Inch } else { System::Metric }, paint, verbose)?;
    }
    for caution in CAUTIONS {
        for line in wrap(&format!("- {caution}"), WIDTH) {
            writeln!(text, "  {}", paint.faint(&line))?;
        }
    }
    Ok(())
}

/// A force or a torque in the shop's units.
fn show(case: &CaseResult, value: f64, system: System) -> String {
    if case.is_torque { Torque::from_n_mm(value).show(system) } else { Force::from_newtons(value).show(system) }
}

fn write_case(text: &mut String, case: &CaseResult, system: System, paint: Paint, verbose: bool) -> std::fmt::Result {
    let load = show(case, case.load, system);
    let figures = if system == System::Inch { Figures::INCH } else { Figures::METRIC };
    let say = |sentence: &str| translate(sentence, figures);
    let (Some(worst), Some(holds), Some(reserve)) = (case.governing(), case.holds(), case.reserve()) else {
        let why = case.undetermined.as_deref().unwrap_or("nothing of it carries this load");
        return lines(text, &format!("{}, {load}: {} {why}", case.name, paint.doubtful("cannot say:")), "");
    };
    let answer = match holds {
        Holds::Holds => paint.good("holds"),
        Holds::AtTheLimit => paint.bad("at the limit"),
        Holds::WillNotHold => paint.bad("will not hold"),
    };
    let typical = case.reserve_typical().map_or_else(String::new, |r| format!(", {} on typical", significant(r, 3)));
    writeln!(text, "  {}, {load}: {answer}", case.name)?;
    lines(
        text,
        &format!(
            "reserve {} on low values{typical}; {} wanted ({})",
            significant(reserve, 3),
            significant(case.wanted, 3),
            case.material
        ),
        "  ",
    )?;
    lines(text, &format!("{}: {}", worst.mode.word(), range(case, worst, system)), "  ")?;
    lines(text, &say(&worst.place.words), "    ")?;
    lines(text, &say(&worst.working), "    ")?;
    if holds != Holds::Holds {
        lines(text, &format!("to raise it: {}", worst.mode.what_helps()), "    ")?;
    }
    for other in case.capacities.iter().skip(1) {
        let how = if verbose { format!("; {}", say(&other.working)) } else { String::new() };
        lines(text, &format!("{}: {}{how}", other.mode.word(), range(case, other, system)), "  ")?;
    }
    for remark in &case.remarks {
        lines(text, &format!("note: {}", say(remark)), "  ")?;
    }
    Ok(())
}

fn range(case: &CaseResult, capacity: &Capacity, system: System) -> String {
    let of = |value: f64| show(case, value, system);
    let bears = capacity.bears;
    format!("bears {} (likely {}, at most {})", of(bears.low), of(bears.likely), of(bears.high))
}

fn lines(text: &mut String, sentence: &str, indent: &str) -> std::fmt::Result {
    for line in wrap(sentence, WIDTH - indent.len()) {
        writeln!(text, "  {indent}{line}")?;
    }
    Ok(())
}
