//! What an audit says hangs neither on shortcuts it takes nor on how a file happens to be written: layers that repeat are
//! taken over and give what they would have given themselves, and it does not matter where a line is cut into pieces.

use beadwise::geom::Moments;
use beadwise::measure::{LayerMeasure, PrintMeasures, Setup, measure_print};
use beadwise::profile::{Machine, Material};
use beadwise::shape::{Cuts, SLAB_MM};
use std::collections::BTreeMap;

fn measured(text: &str) -> PrintMeasures {
    let setup = Setup {
        material: Some(Material::load("PETG").expect("a built-in material")),
        ..Setup::of(Machine::load("open-small").expect("a built-in machine"))
    };
    measure_print(text.as_bytes(), &setup, &mut |_| ()).expect("a sample can be measured")
}

/// The same file with every layer set a thousandth of a millimetre aside from the one below, so that no two are alike.
fn set_aside(text: &str) -> String {
    let mut layer = 0_u32;
    let mut lines: Vec<String> = Vec::new();
    for line in text.lines() {
        let motion = line.starts_with("G0 ") || line.starts_with("G1 ");
        layer += u32::from(motion && line.contains(" Z"));
        let aside_mm = 0.001 * f64::from(layer);
        let moved = |word: &str| match word.strip_prefix('X').and_then(|x| x.parse::<f64>().ok()) {
            Some(x) => format!("X{:.3}", x + aside_mm),
            None => word.to_owned(),
        };
        let words: Vec<String> = line.split(' ').map(moved).collect();
        lines.push(if motion { words.join(" ") } else { line.to_owned() });
    }
    lines.join("\n")
}

/// The same file with every line that lays plastic cut into three.
fn cut_in_three(text: &str) -> String {
    let relative = text.lines().any(|line| line == "M83");
    let mut at = BTreeMap::from([('X', 0.0), ('Y', 0.0), ('E', 0.0)]);
    let mut lines: Vec<String> = Vec::new();
    for line in text.lines() {
        let words: Vec<(char, f64)> =
            line.split(' ').filter_map(|word| Some((word.chars().next()?, word.get(1..)?.parse().ok()?))).collect();
        let moves = matches!(words.first(), Some(('G', code)) if [0.0, 1.0, 92.0].contains(code));
        let value = |letter: char| words.iter().find(|word| moves && word.0 == letter).map(|word| word.1);
        let start = at.clone();
        for (letter, to) in &mut at {
            *to = value(*letter).unwrap_or(if relative && *letter == 'E' { 0.0 } else { *to });
        }
        let lays = line.starts_with("G1 ") && value('E').is_some() && (value('X').is_some() || value('Y').is_some());
        if !lays {
            lines.push(line.to_owned());
            continue;
        }
        let mut laid = if relative { 0.0 } else { start[&'E'] };
        for share in [0.3, 0.55, 1.0] {
            let place = |letter: char| start[&letter] + share * (at[&letter] - start[&letter]);
            let filament = if relative { share * at[&'E'] } else { place('E') };
            let word = if relative { filament - laid } else { filament };
            laid = filament;
            let others: String =
                words.iter().filter(|w| !"GXYE".contains(w.0)).map(|w| format!(" {}{}", w.0, w.1)).collect();
            lines.push(format!("G1 X{:.4} Y{:.4} E{word:.6}{others}", place('X'), place('Y')));
        }
    }
    lines.join("\n")
}

fn near(name: &str, layer: usize, one: Option<f64>, other: Option<f64>, share: f64) {
    match (one, other) {
        (Some(one), Some(other)) => {
            assert!((one - other).abs() <= share * one.abs().max(1e-3), "layer {layer}, {name}: {one} and {other}");
        }
        _ => assert_eq!(one, other, "layer {layer}, {name}"),
    }
}

fn alike(one: &LayerMeasure, other: &LayerMeasure) {
    let at = one.index;
    assert_eq!(
        (one.walls_median, one.walls_p05, one.solid),
        (other.walls_median, other.walls_p05, other.solid),
        "{at}"
    );
    near("plastic", at, Some(one.volume_mm3), Some(other.volume_mm3), 1e-6);
    near("outline", at, one.outline_area_mm2, other.outline_area_mm2, 2e-3);
    near("core", at, one.core_density, other.core_density, 0.01);
    near("bond", at, one.bond_area_mm2, other.bond_area_mm2, 5e-3);
    near("bead width", at, one.bead_width_mm, other.bead_width_mm, 5e-3);
    let stiffness = |layer: &LayerMeasure| layer.section.map(|section| section.ixx_mm4);
    near("section", at, stiffness(one), stiffness(other), 2e-3);
}

#[test]
fn where_a_line_is_cut_does_not_matter() {
    for sample in ["magnet-tray", "axle-vice-jaw"] {
        let text = std::fs::read_to_string(format!("sample-gcode/{sample}.gcode")).expect("a sample");
        let cut = cut_in_three(&text);
        assert!(cut.lines().count() > 2 * text.lines().count(), "{sample}");
        let (whole, cut) = (measured(&text), measured(&cut));
        assert_eq!(whole.layers.len(), cut.layers.len());
        whole.layers.iter().zip(&cut.layers).for_each(|(one, other)| alike(one, other));
        assert_eq!(whole.pockets.len(), cut.pockets.len(), "{sample}");
    }
}

#[test]
fn a_layer_taken_over_is_what_it_would_be_itself() {
    for sample in ["stand-bracket", "axle-vice-jaw"] {
        let text = std::fs::read_to_string(format!("sample-gcode/{sample}.gcode")).expect("a sample");
        let (whole, aside) = (measured(&text), measured(&set_aside(&text)));
        assert_eq!(whole.layers.len(), aside.layers.len());
        whole.layers.iter().zip(&aside.layers).for_each(|(one, other)| alike(one, other));
        // Cuts are added up from the layers' own, at their heights; means, since the slabs lie a little off each other.
        let moments = |cuts: &Cuts| {
            let slabs = cuts.slabs(SLAB_MM);
            let mean =
                |of: fn(&Moments) -> f64| slabs.iter().map(|cut| of(&cut.total())).sum::<f64>() / slabs.len() as f64;
            [mean(|m| m.area_mm2), mean(|m| m.ixx_mm4), mean(|m| m.iyy_mm4), mean(|m| m.centroid.y)]
        };
        for (one, other) in whole.cuts.iter().zip(&aside.cuts) {
            for (one, other) in moments(one).into_iter().zip(moments(other)) {
                near("cut", 0, Some(one), Some(other), 0.01);
            }
        }
        assert_eq!(whole.pockets.len(), aside.pockets.len(), "{sample}");
        let skins = |measures: &PrintMeasures| (measures.part.skins.top.layers, measures.part.skins.bottom.layers);
        assert_eq!(skins(&whole), skins(&aside), "{sample}");
    }
}
