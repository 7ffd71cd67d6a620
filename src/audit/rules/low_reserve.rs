//! A load that the part does not bear with the wanted reserve, or that cannot be judged.

use super::Rule;
use crate::audit::{AuditContext, Finding, Weight};
use crate::strength::{CaseResult, Holds};
use crate::units::{Force, System, Torque, significant};

/// The part bears every load case with the wanted reserve.
pub struct LowReserve;

impl Rule for LowReserve {
    fn about(&self) -> &'static str {
        "every load that was asked for is borne with the wanted reserve, on low values"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["low-reserve"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        context.cases.iter().filter_map(finding).collect()
    }
}

fn finding(case: &CaseResult) -> Option<Finding> {
    let new = |weight, message: String, remedy: String| Finding::new("low-reserve", weight, message, remedy);
    if let Some(reason) = &case.undetermined {
        let message = format!("{}: cannot be judged: {reason}", case.name);
        return Some(new(Weight::Undetermined, message, "mend the load case, or name what is missing".to_owned()));
    }
    let (holds, worst, reserve) = (case.holds()?, case.governing()?, case.reserve()?);
    let say = match holds {
        Holds::Holds => return None,
        Holds::AtTheLimit => "at the limit: expect marks and wear",
        Holds::WillNotHold => "will not hold",
    };
    let show = |value: f64| {
        if case.is_torque {
            Torque::from_n_mm(value).show(System::Metric)
        } else {
            Force::from_newtons(value).show(System::Metric)
        }
    };
    let message = format!(
        "{}: {say}: {} bears {} of {} (reserve {}, {} wanted): {}",
        case.name,
        worst.mode.word(),
        show(worst.bears.low),
        show(case.load),
        significant(reserve, 3),
        significant(case.wanted, 3),
        worst.place.words
    );
    let mut found = new(Weight::Fail, message, worst.mode.what_helps().to_owned()).at(worst.place.at);
    found.layers = worst.place.layer.map(|layer| (layer, layer));
    found.z_mm = worst.place.z_mm.map(|z| (z, z));
    Some(found)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::profile::Spread;
    use crate::strength::{Capacity, Mode, Place};

    fn case(bears: f64) -> CaseResult {
        let place = Place { words: "under the patch".to_owned(), layer: Some(7), z_mm: Some(1.4), at: None };
        let working = String::new();
        CaseResult {
            name: "flange".to_owned(),
            load: 6800.0,
            is_torque: false,
            wanted: 1.25,
            material: "PETG-CF".to_owned(),
            capacities: vec![Capacity { mode: Mode::PressedFace, place, bears: Spread::exactly(bears), working }],
            remarks: Vec::new(),
            undetermined: None,
        }
    }

    #[test]
    fn the_limit_is_named_with_its_place() {
        assert_eq!(finding(&case(9000.0)), None);
        let found = finding(&case(7480.0)).unwrap();
        assert_eq!((found.weight, found.layers), (Weight::Fail, Some((7, 7))));
        assert!(found.message.contains("at the limit") && found.message.contains("reserve 1.1"), "{}", found.message);
        assert!(finding(&case(3400.0)).unwrap().message.contains("will not hold"));
    }

    #[test]
    fn what_cannot_be_judged_does_not_pass() {
        let unknown = CaseResult { undetermined: Some("no material is named".to_owned()), ..case(9000.0) };
        assert_eq!(finding(&unknown).unwrap().weight, Weight::Undetermined);
    }
}
