//! Layers drawn by hand, and what is gathered from them.
#![allow(clippy::unwrap_used)]

use super::super::fixture::{after, brick, draw, labelled, moved, stack, thick_mm2};
use super::*;
use crate::deposit::LayerKind;
use crate::shape::SLAB_MM;
use crate::shape::fixture::{Laid, plate, ring};
use approx::assert_relative_eq as near;

fn collected(layers: Vec<Layer>) -> Collected {
    let mut collector = Collector::new(false);
    collector.add(layers);
    collector.finish()
}

/// A brick of 20 x 12 mm, full of plastic.
fn full(laid: &mut Laid) {
    draw(laid, &brick(), 1.0);
}

#[test]
fn a_stack_begins_where_a_layer_lies_on_the_bed_and_what_came_before_lies_no_lower() {
    let layer = |bottom_mm: f64| {
        let layer = &stack(1, |_, _| {})[0];
        raised(layer, bottom_mm)
    };
    assert!(begins_on_the_bed(&layer(0.0), 5.0));
    assert!(begins_on_the_bed(&layer(0.0), 0.2), "a second part on the same height");
    assert!(!begins_on_the_bed(&layer(0.0), 0.1), "it lies on what came before");
    // It may stand off the bed by less than half its height.
    assert!(begins_on_the_bed(&layer(0.09), 5.0) && !begins_on_the_bed(&layer(0.11), 5.0));
    assert!(!begins_on_the_bed(&layer(0.6), 5.0));
}

#[test]
fn a_layer_fuses_to_the_one_below_unless_it_begins_on_the_bed_or_hangs_in_the_air() {
    let bonds = |layers: Vec<Layer>| -> Vec<Option<f64>> {
        collected(layers).layers.iter().map(|layer| layer.bond_area_mm2).collect()
    };
    let layers = stack(3, |_, laid| full(laid));
    let whole = thick_mm2(&layers[0]);
    let found = bonds(layers.clone());
    assert_eq!(found[0], None);
    found[1..].iter().for_each(|bond| near!(bond.unwrap(), whole, max_relative = 0.01));
    // The last layer a little too high, and so high that one is missing.
    let lifted = |by_mm: f64| bonds(vec![layers[0].clone(), layers[1].clone(), raised(&layers[2], by_mm)])[2].unwrap();
    near!(lifted(0.08), whole, max_relative = 0.01);
    near!(lifted(0.12), 0.0);
    near!(lifted(0.2), 0.0);
    // A second part beside the first, begun when that is done.
    let beside: Vec<Layer> = layers.iter().map(|layer| moved(layer.clone(), 40.0)).collect();
    let found = bonds(layers.iter().cloned().chain(after(3, beside)).collect());
    assert_eq!(found[3], None);
    near!(found[4].unwrap(), whole, max_relative = 0.01);
}

#[test]
fn full_lines_over_a_hole_are_bridges_and_on_the_bed_they_are_not() {
    let hole = ring(&[(54.0, 53.0), (66.0, 53.0), (66.0, 59.0), (54.0, 59.0)]);
    let holed = plate(brick().outer, &[hole]);
    let layers = stack(2, |index, laid| match index {
        0 => draw(laid, &holed, 1.0),
        _ => full(laid),
    });
    let bridged = |layer: &LayerMeasure| layer.role_flow.iter().any(|flow| flow.role == Role::Bridge);
    let beside = moved(stack(1, |_, laid| full(laid)).remove(0), 40.0);
    let all = layers.iter().cloned().chain(after(2, vec![beside])).collect();
    assert_eq!(collected(all).layers.iter().map(bridged).collect::<Vec<_>>(), [false, true, false]);
    // Over a layer without a hole nothing is bridged.
    assert!(!collected(stack(2, |_, laid| full(laid))).layers.iter().any(bridged));
}

#[test]
fn plastic_path_and_time_are_told_by_role_in_the_words_of_comments_where_there_are_some() {
    let mut layer = labelled(stack(1, |_, laid| draw(laid, &brick(), 0.2)).remove(0));
    layer.blob_mm3 = 1.5;
    let lay = |strands: &[Strand]| {
        let beads = || strands.iter().flat_map(|strand| layer.strand_beads(strand));
        let sum = |of: fn(&crate::deposit::Bead) -> f64| beads().map(of).sum::<f64>();
        [sum(|b| b.volume_mm3()), sum(|b| b.length_mm), sum(|b| b.time_s)]
    };
    // The walls come from the innermost to the outermost; the inner one is not named by a comment.
    let (inner, outer, fill) = (lay(&layer.strands[..1]), lay(&layer.strands[1..2]), lay(&layer.strands[2..]));
    let found = collected(vec![layer.clone()]);
    let mut roles = found.roles_with_purge(0.5);
    let wanted = [
        (Role::OuterWall, RoleSource::Words, outer),
        (Role::InnerWall, RoleSource::Motion, inner),
        (Role::SolidInfill, RoleSource::Words, fill),
        (Role::Purge, RoleSource::Motion, [2.0, 0.0, 0.0]),
    ];
    for (role, source, sums) in wanted {
        let at = roles.iter().position(|r| (r.role, r.source) == (role, source)).unwrap();
        let told = roles.remove(at);
        for (told, sum) in [told.volume_mm3, told.length_mm, told.time_s].into_iter().zip(sums) {
            near!(told, sum, max_relative = 1e-9);
        }
    }
    assert_eq!(roles, []);
    // Comments call the loose fill full: they are right about the outer wall, and about what is no wall.
    near!(found.agreement.labelled_mm3, outer[0] + fill[0], max_relative = 1e-9);
    near!(found.agreement.agreeing_mm3, outer[0], max_relative = 1e-9);
    let measure = &found.layers[0];
    near!(measure.words_on_walls.labelled_mm3, outer[0] + fill[0], max_relative = 1e-9);
    assert_eq!(measure.words_on_walls.share(), Some(1.0));
    // By motion alone, layer by layer.
    let flow = |role: Role| measure.role_flow.iter().find(|flow| flow.role == role).unwrap();
    near!(flow(Role::SparseInfill).volume_mm3, fill[0], max_relative = 1e-9);
    near!(flow(Role::SparseInfill).length_mm, fill[1], max_relative = 1e-9);
    near!(measure.volume_mm3, inner[0] + outer[0] + fill[0], max_relative = 1e-9);
}

#[test]
fn without_plastic_that_has_no_path_there_is_no_purge() {
    let found = collected(stack(1, |_, laid| full(laid)));
    assert!(found.roles_with_purge(0.0).iter().all(|role| role.role != Role::Purge));
}

#[test]
fn a_skirt_and_a_raft_are_plastic_but_no_part() {
    let layer = stack(1, |_, laid| full(laid)).remove(0);
    let plain = collected(vec![layer.clone()]).layers.remove(0);
    let mut laid = Laid { layer, width_mm: 0.45, flow: 1.0 };
    laid.strand(&ring(&[(40.0, 40.0), (80.0, 40.0), (80.0, 72.0), (40.0, 72.0)]), true);
    laid.layer.strands.last_mut().unwrap().role = Role::Adhesion;
    let raft = Layer { kind: LayerKind::Raft, index: None, ..laid.layer.clone() };
    let skirt_mm3 = laid.layer.volume_mm3() - plain.volume_mm3;
    let found = collected(vec![raft, laid.layer]);
    assert_eq!(found.layers.len(), 1, "a raft is no layer of the part");
    near!(found.layers[0].volume_mm3, plain.volume_mm3, max_relative = 1e-9);
    near!(found.layers[0].outline_area_mm2.unwrap(), 240.0, max_relative = 1e-6);
    let adhesion: f64 = found.roles.values().filter(|r| r.role == Role::Adhesion).map(|r| r.volume_mm3).sum();
    near!(adhesion, 2.0 * skirt_mm3, max_relative = 1e-6);
}

/// One layer as it is worked out, for what is read off it.
fn one() -> (Layer, Worked) {
    let layer = stack(1, |_, laid| full(laid)).remove(0);
    let worked = Alike::default().work_out(vec![layer.clone()]).worked.remove(0).unwrap();
    (layer, worked)
}

fn read_off(change: impl Fn(&mut LayerShape)) -> LayerMeasure {
    let (layer, mut worked) = one();
    change(Arc::make_mut(&mut worked.shape));
    layer_measure(&layer, &worked, None, false)
}

#[test]
fn a_core_of_less_than_a_hundredth_of_the_outline_says_nothing_of_how_full_it_is() {
    let with = |area_mm2: f64| {
        let core = Core { area_mm2, density: Some(0.5), ..Core::default() };
        let measure = read_off(|shape| shape.core = Some(core.clone()));
        near!(measure.core_area_mm2, area_mm2);
        (measure.core_density, measure.solid, measure.is_all_walls())
    };
    assert_eq!(with(2.5), (Some(0.5), false, false));
    assert_eq!(with(2.3), (None, true, true));
    let none = read_off(|shape| shape.core = None);
    assert_eq!((none.core_density, none.core_area_mm2, none.solid), (None, 0.0, true));
}

#[test]
fn a_direction_counts_with_a_fifth_of_the_lines_of_a_core() {
    let families = |shares: &[f64]| {
        let directions: Vec<(f64, f64)> = shares.iter().map(|&share| (45.0, share)).collect();
        let core = Core { area_mm2: 100.0, directions, ..Core::default() };
        read_off(|shape| shape.core = Some(core.clone())).core_families
    };
    assert_eq!([families(&[]), families(&[1.0]), families(&[0.81, 0.19]), families(&[0.79, 0.21])], [0, 1, 1, 2]);
    assert_eq!(read_off(|shape| shape.core = None).core_families, 0);
}

#[test]
fn plastic_ends_a_hair_within_the_outline_since_beads_have_round_flanks() {
    let measure = read_off(|_| {});
    near!(measure.outline_area_mm2.unwrap(), 240.0, max_relative = 1e-6);
    // A bead 0.2 mm high is 0.2 (1 - π/4) mm wider than a strip with its plastic: half of that on each flank.
    let within_mm = 0.1 * (1.0 - FRAC_PI_4);
    let [low, high] = measure.reach.unwrap().box_mm();
    for (found, wanted) in [(low.x, 50.0 + within_mm), (low.y, 50.0 + within_mm), (high.x, 70.0 - within_mm)] {
        near!(found, wanted, epsilon = 1e-6);
    }
    near!(high.y, 62.0 - within_mm, epsilon = 1e-6);
    assert_eq!(read_off(|shape| shape.outline.clear()).outline_area_mm2, None, "no outline is not an empty one");
}

#[test]
fn places_along_the_walls_are_kept_only_where_they_are_asked_for() {
    let samples = |detail: bool| {
        let mut collector = Collector::new(detail);
        collector.add(stack(1, |_, laid| full(laid)));
        collector.finish().layers[0].wall_samples.len()
    };
    assert_eq!(samples(false), 0);
    // About one every millimetre.
    assert!(samples(true) > 50, "{}", samples(true));
}

// A bar of 20 x 12 x 1 mm, full but for the round flanks of its outermost beads: b h and b h³/12, first principles.
#[test]
fn cuts_go_through_all_layers_at_their_heights_whether_they_are_alike_or_not() {
    for number in [None, Some(1)] {
        let layers = stack(5, |_, laid| full(laid)).into_iter().map(|layer| Layer { number, ..layer });
        let found = collected(layers.collect());
        for (cuts, (wide_mm, middle_mm)) in found.cuts.iter().zip([(12.0, 56.0), (20.0, 60.0)]) {
            let slabs = cuts.slabs(SLAB_MM);
            let cut = slabs[slabs.len() / 2].total();
            near!(cut.area_mm2, wide_mm, max_relative = 0.02);
            // Lines of fill begin at one wall and end somewhere before the other.
            near!(cut.centroid.x, middle_mm, epsilon = 0.2);
            near!(cut.centroid.y, 0.5, epsilon = 1e-9);
            near!(cut.iyy_mm4 * 12.0, cut.area_mm2 * wide_mm * wide_mm, max_relative = 0.05);
            near!(cut.ixx_mm4 * 12.0, cut.area_mm2, max_relative = 1e-6);
        }
        let [low, high] = found.part.bbox_mm.unwrap();
        near!(high[2] - low[2], 1.0, max_relative = 1e-9);
        near!(high[2], 1.0, max_relative = 1e-9);
    }
}

#[test]
fn holes_that_later_layers_close_over_are_pockets() {
    let hole = ring(&[(56.0, 53.0), (64.0, 53.0), (64.0, 59.0), (56.0, 59.0)]);
    let holed = plate(brick().outer, &[hole]);
    let layers = stack(8, |index, laid| match index {
        2..=5 => draw(laid, &holed, 1.0),
        _ => full(laid),
    });
    let pockets = collected(layers).pockets;
    assert_eq!(pockets.len(), 1);
}
