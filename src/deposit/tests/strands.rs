//! Where strands begin and end, what is counted beside them, and when layers are handed over.

use super::super::pen::Pen;
use super::super::{Depositor, LayerKind, loop_width_mm};
use super::{assert_near, check};
use crate::motion::{EventKind, MoveKind, Step};
use crate::profile::Role;

/// How many beads each strand of a first layer has, if `middle` happens half way along a square loop.
fn cut_by(middle: impl Fn(&mut Pen)) -> Vec<usize> {
    let mut pen = Pen::new();
    pen.travel(10.0, 10.0);
    pen.line(30.0, 10.0);
    pen.line(30.0, 30.0);
    middle(&mut pen);
    pen.line(10.0, 30.0);
    pen.line(10.0, 10.0);
    pen.layers().0[0].strands.iter().map(|strand| strand.beads.len()).collect()
}

#[test]
fn travel_retraction_and_another_tool_end_a_strand() {
    let again = |pen: &mut Pen| pen.step(MoveKind::Travel, pen.at(), 0.0, 0.0, 120.0);
    assert_eq!(cut_by(|_| ()), [4]);
    assert_eq!(cut_by(again), [4], "a move to where the nozzle is already");
    assert_eq!(cut_by(Pen::prime), [4]);
    assert_eq!(cut_by(Pen::retract), [2, 2]);
    let away_and_back = |pen: &mut Pen| {
        pen.travel(50.0, 30.0);
        pen.travel(30.0, 30.0);
    };
    assert_eq!(cut_by(away_and_back), [2, 2]);
    let up_and_down = |pen: &mut Pen| {
        pen.step(MoveKind::Travel, [30.0, 30.0, 0.6], 0.0, 0.0, 10.0);
        pen.step(MoveKind::Travel, [30.0, 30.0, 0.2], 0.0, 0.0, 10.0);
    };
    assert_eq!(cut_by(up_and_down), [2, 2]);
    assert_eq!(cut_by(|pen| pen.tool = 1), [2, 2]);
    assert_eq!(cut_by(|pen| pen.event(EventKind::Tool { to: 1 }, 0.0)), [2, 2]);
    assert_eq!(cut_by(|pen| pen.event(EventKind::Dwell, 1.0)), [4]);
}

/// Says that `mm3` of plastic came out in the last move with no path to lie on.
fn drip(pen: &mut Pen, mm3: f64) {
    if let Some(Step::Move(step)) = pen.steps.last_mut() {
        step.blob_mm3 = mm3;
    }
}

#[test]
fn plastic_without_a_path_is_counted_where_it_comes_out() {
    let mut pen = Pen::new();
    for mm3 in [0.5, 0.25] {
        pen.prime();
        drip(&mut pen, mm3);
    }
    for k in 1..=3 {
        pen.z = 0.2 * f64::from(k);
        pen.block(50.0, 60.0, 0.41);
        // Half way through the layer: primed, laid on the spot, and laid straight up and down.
        pen.prime();
        drip(&mut pen, 0.125);
        let [x, y, z] = pen.at();
        pen.step(MoveKind::Deposit, [x, y, z], 0.0625, 0.026, 40.0);
        pen.step(MoveKind::Deposit, [x, y, z + 0.1], 0.03125, 0.013, 40.0);
        pen.step(MoveKind::Travel, [x, y, z], 0.0, 0.0, 40.0);
        pen.block(90.0, 60.0, 0.41);
    }
    pen.prime();
    drip(&mut pen, 2.0);
    let (layers, totals) = pen.layers();
    assert_near(totals.blob_before_mm3, 0.75, 1e-12);
    assert_near(totals.blob_after_mm3, 2.0, 1e-12);
    assert_eq!(layers.len(), 3);
    for layer in &layers {
        assert_near(layer.blob_mm3, 0.21875, 1e-12);
        assert!(layer.beads.iter().all(|bead| bead.length_mm > 0.0 && bead.from != bead.to));
    }
    let laid: f64 = layers.iter().map(|layer| layer.volume_mm3() + layer.blob_mm3).sum();
    assert_near(laid, pen.laid_mm3 + 3.0 * 0.125, 1e-9);
}

#[test]
fn waiting_before_the_first_bead_belongs_to_no_layer() {
    let mut pen = Pen::new();
    let heat = || EventKind::Bed { celsius: 60.0, wait: true };
    pen.event(EventKind::Home, 5.0);
    pen.event(heat(), 60.0);
    for k in 1..=3 {
        pen.z = 0.2 * f64::from(k);
        pen.block(50.0, 60.0, 0.41);
        if k == 2 {
            pen.event(heat(), 10.0);
        }
    }
    let (layers, totals) = check(&pen);
    assert_near(totals.before_first_s, 65.0, 1e-9);
    // The wait comes before the third layer's first bead.
    assert_near(layers[2].time_s - layers[1].time_s, 10.0, 1e-9);
}

#[test]
fn layers_are_handed_over_once_enough_lies_over_them() {
    // The first when 25 runs are complete; then all that have six over them. The last run is not known to be complete.
    for (count, handed) in [(25, 0), (26, 1), (27, 20), (40, 33)] {
        let mut pen = Pen::new();
        for k in 1..=count {
            pen.z = 0.2 * f64::from(k);
            pen.block(50.0, 60.0, 0.82);
        }
        let (mut depositor, mut layers) = (Depositor::new(), Vec::new());
        pen.steps.iter().for_each(|step| depositor.push(step, &mut |layer| layers.push(layer)));
        assert_eq!(layers.len(), handed, "of {count}");
        assert!(layers.iter().flat_map(|l| &l.strands).all(|s| s.role == Role::Unknown), "nobody asked for roles");
        depositor.finish(&mut |layer| layers.push(layer));
        assert_eq!(layers.len(), count as usize);
    }
}

#[test]
fn a_raft_of_nine_runs_is_a_raft() {
    let mut pen = Pen::new();
    (pen.height, pen.width) = (0.3, 0.9);
    for k in 1..=9 {
        pen.z = 0.1 + 0.2 * f64::from(k);
        pen.zigzag(45.0, 55.0, 75.0, 78.0, 0.8, 100.0);
        (pen.height, pen.width) = (0.2, 0.45);
    }
    for k in 1..=20 {
        pen.z = 2.0 + 0.2 + 0.2 * f64::from(k - 1);
        pen.block(50.0, 60.0, 0.41);
    }
    let (layers, _) = check(&pen);
    assert_eq!(layers.iter().filter(|l| l.kind == LayerKind::Raft).count(), 9);
}

#[test]
fn only_the_first_layer_begins_with_purge_lines() {
    for at in [1, 3] {
        let mut pen = Pen::new();
        for k in 1..=8 {
            pen.z = 0.2 * f64::from(k);
            if k == at {
                pen.travel(3.0, 5.0);
                pen.line(3.0, 90.0);
            }
            pen.block(50.0, 60.0, 0.41);
        }
        let purges = check(&pen).0.iter().filter(|l| l.kind == LayerKind::Purge).count();
        assert_eq!(purges, usize::from(at == 1));
    }
}

#[test]
fn fill_a_millimetre_apart_is_sparse_in_every_layer() {
    let mut pen = Pen::new();
    for k in 1..=6 {
        pen.z = 0.2 * f64::from(k);
        pen.block(50.0, 60.0, 1.0);
    }
    for layer in check(&pen).0 {
        let roles: Vec<Role> = layer.strands.iter().map(|strand| strand.role).collect();
        assert_eq!(roles, [Role::InnerWall, Role::OuterWall, Role::SparseInfill]);
    }
}

#[test]
fn a_lap_that_stops_short_far_from_other_loops_stays_open() {
    let mut pen = Pen::new();
    pen.rectangle(10.0, 10.0, 50.0, 50.0, 100.0);
    pen.travel(20.0, 20.0);
    // A quarter of a millimetre short: more than half a bead.
    for (x, y) in [(30.0, 20.0), (30.0, 30.0), (20.0, 30.0), (20.0, 20.25)] {
        pen.line(x, y);
    }
    let closed: Vec<bool> = check(&pen).0[0].strands.iter().map(|strand| strand.closed).collect();
    assert_eq!(closed, [true, false]);
}

#[test]
fn a_bead_laid_out_and_back_is_cut_half_way_however_it_is_cut_into_pieces() {
    for (out, back) in [(2, 5), (5, 2), (1, 4), (4, 1), (3, 3)] {
        let mut pen = Pen::new();
        pen.travel(10.0, 10.0);
        pen.divided((10.0, 10.0), (30.0, 10.0), 20.0 / f64::from(out) + 1e-9);
        pen.divided((30.0, 10.0), (10.0, 10.0), 20.0 / f64::from(back) + 1e-9);
        let strands = check(&pen).0[0].strands.clone();
        let cut: Vec<(usize, bool)> = strands.iter().map(|strand| (strand.beads.len(), strand.ghost)).collect();
        assert_eq!(cut, [(out as usize, false), (back as usize, true)]);
    }
}

#[test]
fn a_strand_is_named_as_most_of_its_length_is() {
    let label_of = |labels: &[(f64, Option<Role>)]| {
        let mut pen = Pen::new();
        pen.travel(10.0, 10.0);
        let mut x = 10.0;
        for (mm, label) in labels {
            (x, pen.label) = (x + mm, *label);
            pen.line(x, 10.0);
        }
        check(&pen).0[0].strands[0].label
    };
    let (outer, inner) = (Some(Role::OuterWall), Some(Role::InnerWall));
    assert_eq!(label_of(&[(5.0, outer), (9.0, outer)]), outer);
    assert_eq!(label_of(&[(4.0, inner), (4.0, inner), (9.0, outer)]), outer);
    assert_eq!(label_of(&[(9.0, outer), (4.0, inner), (4.0, inner)]), outer);
    assert_eq!(label_of(&[(6.0, inner), (9.0, outer), (6.0, inner)]), inner);
    assert_eq!(label_of(&[(6.0, inner), (9.0, None), (6.0, outer)]), None);
}

#[test]
fn the_width_of_loops_is_that_of_beads_that_close_and_are_laid_once() {
    let mut pen = Pen::new();
    pen.rectangle(10.0, 10.0, 30.0, 30.0, 100.0);
    pen.width = 0.6;
    // Over it twice more, and fill.
    pen.rectangle(10.0, 10.0, 30.0, 30.0, 100.0);
    pen.rectangle(10.0, 10.0, 30.0, 30.0, 100.0);
    pen.zigzag(11.0, 11.0, 29.0, 29.0, 0.5, 100.0);
    let (layers, _) = check(&pen);
    let ghosts: Vec<bool> = layers[0].strands.iter().map(|strand| strand.ghost).collect();
    assert_eq!(ghosts, [false, true, true, false]);
    assert_near(loop_width_mm(&layers[0]).unwrap(), 0.45, 1e-9);
    let mut open = Pen::new();
    open.zigzag(11.0, 11.0, 29.0, 29.0, 0.5, 100.0);
    assert_eq!(loop_width_mm(&open.layers().0[0]), None);
}
