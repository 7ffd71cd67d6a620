//! Layers that repeat are measured once and taken over: what is said of them is what they would have given themselves.

use beadwise::geom::Moments;
use beadwise::measure::{LayerMeasure, PrintMeasures, Setup, measure_print};
use beadwise::profile::{Machine, Material};
use beadwise::shape::{Cuts, SLAB_MM};

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
    near("plastic", at, Some(one.volume_mm3), Some(other.volume_mm3), 1e-9);
    near("outline", at, one.outline_area_mm2, other.outline_area_mm2, 2e-3);
    near("core", at, one.core_density, other.core_density, 0.01);
    near("bond", at, one.bond_area_mm2, other.bond_area_mm2, 5e-3);
    near("bead width", at, one.bead_width_mm, other.bead_width_mm, 5e-3);
    let stiffness = |layer: &LayerMeasure| layer.section.map(|section| section.ixx_mm4);
    near("section", at, stiffness(one), stiffness(other), 2e-3);
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
