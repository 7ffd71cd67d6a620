//! The motion room seen from outside: text in, steps out.

mod arcs;
mod dialects;
mod filament;
mod random;
mod standard;
mod time;

use beadwise::motion::{Event, EventKind, Motion, Move, Step, Summary, steps};
use beadwise::profile::{Annotations, Machine};
use std::sync::OnceLock;

/// A machine whose profile has these lines beside its name.
fn machine(keys: &str) -> Machine {
    toml::from_str(&format!("name = 'bench'\n{keys}")).expect("a machine profile")
}

/// Everything that `text` makes a machine do.
fn run_on(machine: &Machine, text: &str) -> (Vec<Step>, Summary, Motion) {
    // Read once: the words are many regular expressions.
    static WORDS: OnceLock<Annotations> = OnceLock::new();
    let mut run = steps(text.as_bytes(), machine, WORDS.get_or_init(Annotations::built_in));
    let all: Vec<Step> = run.by_ref().collect();
    (all, run.summary().clone(), run.motion().clone())
}

fn run(text: &str) -> (Vec<Step>, Summary, Motion) {
    run_on(&machine(""), text)
}

/// The moves alone.
fn moves(text: &str) -> Vec<Move> {
    only_moves(&run(text).0)
}

fn only_moves(steps: &[Step]) -> Vec<Move> {
    steps.iter().filter_map(|step| if let Step::Move(step) = step { Some(*step) } else { None }).collect()
}

fn events(steps: &[Step]) -> Vec<Event> {
    steps.iter().filter_map(|step| if let Step::Event(event) = step { Some(event.clone()) } else { None }).collect()
}

fn stops(text: &str) -> usize {
    events(&run(text).0).iter().filter(|event| event.kind == EventKind::Stop).count()
}

/// Where the nozzle ends.
fn end(text: &str) -> [f64; 3] {
    run(text).2.state().nozzle_mm()
}

fn seconds(steps: &[Step]) -> f64 {
    steps
        .iter()
        .map(|step| match step {
            Step::Move(step) => step.time_s,
            Step::Event(event) => event.time_s,
        })
        .sum()
}

#[track_caller]
fn assert_near(got: &[f64], want: &[f64]) {
    let near = got.len() == want.len() && got.iter().zip(want).all(|(got, want)| (got - want).abs() <= 1e-9);
    assert!(near, "got {got:?}, want {want:?}");
}
