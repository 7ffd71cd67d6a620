//! A small shop: a machine, a material, parts, and how advice is asked for.

use beadwise::advise::{Advice, Asked, Goal, Relaid, Request, advise, lay_again};
use beadwise::measure::{PrintMeasures, Setup, measure_print};
use beadwise::profile::{Limits, LoadCases, Machine, Material};
use beadwise::rebead::{Dialect, Settings, Slice, lay, write};
use beadwise::strength::{CaseResult, check_cases};

pub fn setup(material: &str) -> Setup {
    let machine = Machine { tools: 2, ..Machine::load("open-small").expect("a built-in class") };
    Setup { material: Some(Material::load(material).expect("a built-in card")), ..Setup::of(machine) }
}

pub fn file(slices: &[Slice], settings: &Settings) -> String {
    write(&lay(slices, settings), &Dialect::default(), &Limits::default())
}

pub fn loads(lines: &[&str]) -> LoadCases {
    let case = lines.iter().flat_map(|line| LoadCases::load(line).expect("a load case").case).collect();
    LoadCases { case }
}

pub fn measured(bytes: &[u8], setup: &Setup, cases: &LoadCases, reserve: f64) -> (PrintMeasures, Vec<CaseResult>) {
    let measures = measure_print(bytes, setup, &mut |_| {}).expect("it lays plastic");
    let found = check_cases(bytes, setup, &measures, cases, reserve).expect("it was read before");
    (measures, found)
}

pub fn laid_again(bytes: &[u8], setup: &Setup, cases: &LoadCases) -> Relaid {
    let (measures, found) = measured(bytes, setup, cases, 2.0);
    let asked = Asked { strength: None, cases, reserve: 2.0 };
    lay_again(bytes, setup, asked, &measures, &found).expect("it was read before")
}

pub fn advised(text: &str, setup: &Setup, cases: &LoadCases, reserve: f64, goal: Goal, tries: usize) -> Advice {
    advised_on(text, setup, Asked { strength: None, cases, reserve }, goal, tries)
}

/// The same for whatever is asked of the part.
pub fn advised_on(text: &str, setup: &Setup, asked: Asked<'_>, goal: Goal, tries: usize) -> Advice {
    let (measures, found) = measured(text.as_bytes(), setup, asked.cases, asked.reserve);
    let request = Request { asked, goal, other_materials: &[], most_tries: Some(tries) };
    advise(text.as_bytes(), setup, request, &measures, &found, &mut |_, _| {}).expect("it was read before")
}

/// The least reserve of all cases.
pub fn least_reserve(cases: &[CaseResult]) -> f64 {
    cases.iter().map(|c| c.reserve().expect("a reserve")).fold(f64::INFINITY, f64::min)
}
