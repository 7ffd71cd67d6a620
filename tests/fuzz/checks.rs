//! What must hold for any bytes at all: the fuzz targets and `tests/hostile.rs` both ask it.
//!
//! Each check panics when something does not hold; anything else that panics in it is a fault as well.
#![allow(dead_code)] // Each target asks one of them.

use beadwise::audit::{AuditContext, audit_print};
use beadwise::embed::{Look, Place, StopRequest, Wish, Workpiece, prove, undo};
use beadwise::gcode::{Block, BlockKind, Edits, Ending, Numbering, lines as lines_of, strict, tidy};
use beadwise::measure::{PrintMeasures, Setup, draw_layers, measure_print};
use beadwise::motion::{Step, Steps};
use beadwise::profile::{
    Annotations, Insert, LoadCases, Machine, Material, Shop, StrengthProfile, check_profile, read_profile,
};
use beadwise::report::{
    AuditPage, AuditedFile, Figures, Paint, audit_json, audit_line, audit_page, audit_text, layers_to_draw,
};
use beadwise::source::read_stream;
use beadwise::strength::check_cases;
use std::sync::OnceLock;

/// Lines joined are the bytes; words lie inside their line; a line made tidy says the same.
pub fn lines(bytes: &[u8]) {
    let mut joined = Vec::with_capacity(bytes.len());
    let mut block = Block::default();
    for line in lines_of(bytes) {
        assert_eq!(line.start, joined.len() as u64, "lines follow one another");
        block.read(&line);
        for word in &block.words {
            assert!(word.value.is_none_or(f64::is_finite), "line {}: {word:?}", line.number);
            let span = word.start as usize..word.end as usize;
            assert!(line.bytes.get(span).is_some(), "line {}: {word:?} lies outside", line.number);
        }
        for dialect in [strict::Dialect::Published, strict::Dialect::Printing] {
            let told = strict::check(&line, &block, dialect);
            assert!(told.iter().all(|diagnostic| diagnostic.line == Some(line.number)), "{told:?}");
        }
        let tidied = tidy(&block, line.body());
        let mut again = Block::default();
        if let Some(line) = lines_of(&tidied).next() {
            again.read(&line);
            assert!(block.kind == BlockKind::Bad || said(&again) == said(&block), "{line:?} is {block:?}");
        }
        joined.extend_from_slice(line.bytes);
    }
    assert!(joined == bytes, "lines joined are the file");
    let ending = Ending::of(bytes).bytes();
    assert!(bytes.windows(ending.len()).any(|window| window == ending) || Ending::of(bytes) == Ending::Lf);
    assert!(Edits::default().apply(bytes) == bytes, "no edit, no change");
    if let Some(numbering) = Numbering::of(bytes) {
        let mut edits = Edits::default();
        edits.insert_after(1, "M0");
        let stopped = edits.apply_renumbered(bytes, &numbering);
        assert_eq!(lines_of(&stopped).count(), lines_of(bytes).count() + 1, "a line more");
    }
}

fn said(block: &Block) -> Vec<(u8, Option<f64>)> {
    block.words.iter().map(|word| (word.letter, word.value)).collect()
}

/// Every move is finite and takes a finite time that is not negative; asked twice, the answer is the same.
pub fn motion(bytes: &[u8]) {
    for setup in setups() {
        let mut steps = Steps::new(bytes, setup.motion());
        let mut total_s = 0.0;
        for step in &mut steps {
            if let Step::Move(step) = &step {
                assert!(step.time_s >= 0.0 && step.time_s.is_finite(), "line {}: {} s", step.line, step.time_s);
                assert!(step.to.iter().chain(&step.from).all(|c| c.is_finite()), "line {}", step.line);
                total_s += step.time_s;
            }
        }
        assert!(total_s.is_finite());
        assert!(steps.summary().dwell_s.is_finite());
    }
}

/// An audit ends in a verdict, reports that can be written, JSON that can be read, and totals that are sums.
pub fn audit(bytes: &[u8]) {
    let setup = setup();
    let Ok(measures) = measure_print(bytes, setup, &mut |_| ()) else { return };
    check_totals(&measures);
    let (strength, cases) = asked();
    let Ok(results) = check_cases(bytes, setup, &measures, cases, 3.0) else { return };
    let context = AuditContext { measures: &measures, setup, strength: Some(strength), cases: &results };
    let audit = audit_print(&context);
    let file = AuditedFile {
        name: "hostile.gcode".to_owned(),
        machine: setup.machine.name.clone(),
        strength_profile: Some(strength.name.clone()),
        cases: results,
        measures,
        audit,
    };
    check_reports(bytes, setup, strength, &file);
}

fn check_totals(measures: &PrintMeasures) {
    let totals = &measures.totals;
    let volume: f64 = measures.tools.iter().map(|tool| tool.volume_mm3).sum();
    let close = |one: f64, other: f64| (one - other).abs() <= 1e-6 * one.abs().max(other.abs()).max(1.0);
    assert!(close(volume, totals.volume_mm3), "tools {volume} mm3, all {} mm3", totals.volume_mm3);
    assert!(totals.volume_mm3.is_finite() && totals.time.moving_s().is_finite());
    for layer in &measures.layers {
        assert!(layer.height_mm > 0.0 && layer.height_mm.is_finite(), "a layer of height {}", layer.height_mm);
    }
}

fn check_reports(bytes: &[u8], setup: &Setup, strength: &StrengthProfile, file: &AuditedFile) {
    let figures = Figures::METRIC;
    for detail in [false, true] {
        let json = audit_json(file, detail);
        assert!(serde_json::from_str::<serde::de::IgnoredAny>(&json).is_ok(), "JSON can be read");
    }
    let paint = Paint::new(false);
    assert!(!audit_text(file, figures, paint, true).is_empty() && !audit_line(file, figures, paint).is_empty());
    let wanted = layers_to_draw(file, figures);
    let drawings = draw_layers(bytes, setup, &wanted.iter().map(|w| w.index).collect());
    let page = audit_page(&AuditPage {
        file,
        setup,
        strength: Some(strength),
        wanted: &wanted,
        drawings: &drawings,
        stop_notes: &[],
        figures,
    });
    assert!(!page.contains("NaN") && page.ends_with("</html>"), "a page is whole");
}

/// Stops that were written are proven, and taken out leave the file as it was; taking out never makes up bytes.
pub fn embed(bytes: &[u8]) {
    let setup = setup();
    if let Ok(undone) = undo(bytes) {
        assert!(undone.bytes.len() <= bytes.len(), "taking out adds nothing");
        assert!(undone.stops > 0 || undone.bytes == bytes, "nothing to take out, nothing changed");
    }
    let Ok(piece) = Workpiece::read(bytes, setup, Look::Pockets) else { return };
    let _ = piece.seat(&Wish::default(), None);
    let layers = piece.layers().all.len();
    for after in [0, layers / 2, layers.saturating_sub(1)] {
        let request = StopRequest { place: Place::AfterLayer(after), notes: vec!["magnet in, dot up".to_owned()] };
        let Ok(stopped) = piece.put_stops(&[request]) else { continue };
        let without = undo(bytes).expect("a workpiece was read").bytes;
        assert_eq!(undo(&stopped.bytes).expect("what was written can be taken out").bytes, without);
        prove(&without, &stopped.bytes, &setup.motion()).expect("what was written is proven");
    }
}

/// A profile is right, or wrong with a place; never a crash, whatever kind it is taken for.
pub fn profiles(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let _ = check_profile(text, "hostile.toml");
    let _ = Shop::parse(text, "hostile.toml");
    let _ = Annotations::parse(text);
    let _ = read_profile::<Machine>(text, "hostile.toml").map(|machine| check_machine(&machine));
    let _ = read_profile::<Material>(text, "hostile.toml");
    let _ = read_profile::<StrengthProfile>(text, "hostile.toml");
    let _ = read_profile::<LoadCases>(text, "hostile.toml");
    let _ = Insert::load(text);
    if !text.contains(['/', '\\']) {
        let _ = LoadCases::load(text);
    }
}

/// A machine that was read can run a file.
fn check_machine(machine: &Machine) {
    let setup = setup_of(machine.clone());
    let moves = b"G28\nM82\nT0\nM104 S200\nG1 X10 Y10 Z.2 F3000\nG1 X20 E1\nG1 X20 Y20 E2\nM0\n";
    for step in Steps::new(moves, setup.motion()) {
        if let Step::Move(step) = step {
            assert!(step.time_s >= 0.0 && step.time_s.is_finite(), "{} s", step.time_s);
        }
    }
}

/// A package can be read or is refused; new bytes put into it are read back.
pub fn package(bytes: &[u8]) {
    let Ok(source) = read_stream("hostile", &mut &*bytes, None) else { return };
    if !source.is_packed() {
        assert!(source.bytes() == bytes);
        return;
    }
    let new = b"G1 X1 E1\n";
    let Ok(packed) = source.packed(new) else { return };
    let again = read_stream("hostile", &mut &*packed, None).expect("what was packed can be read");
    assert!(again.bytes() == new, "what was put in is read back");
}

fn setup_of(machine: Machine) -> Setup {
    Setup { material: Some(Material::load("PETG").expect("a built-in material")), detail: true, ..Setup::of(machine) }
}

/// Two machines that differ in every rule.
fn setups() -> &'static [Setup; 2] {
    static SETUPS: OnceLock<[Setup; 2]> = OnceLock::new();
    SETUPS.get_or_init(|| {
        ["open-small", "enclosed-twin"].map(|name| setup_of(Machine::load(name).expect("a built-in machine")))
    })
}

fn setup() -> &'static Setup {
    &setups()[0]
}

/// What is asked of every audit.
fn asked() -> &'static (StrengthProfile, LoadCases) {
    static ASKED: OnceLock<(StrengthProfile, LoadCases)> = OnceLock::new();
    ASKED.get_or_init(|| {
        let press = LoadCases::load("press; force = 3 kN; face = top").expect("a right load case");
        (StrengthProfile::load("press-tool").expect("a built-in profile"), press)
    })
}
