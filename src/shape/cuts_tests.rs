//! Slices and slabs by hand and by properties.

#![allow(clippy::unwrap_used)]
use super::super::part_beads::tests::{hatch, layer};
use super::*;
use crate::geom::signed_area;
use approx::assert_relative_eq as near;
use proptest::prelude::*;

const SIZE: Point = Point::new(30.0, 8.0);

fn block(layers: usize, lines: impl Fn(usize) -> Vec<(Role, bool, f64, Vec<Point>)>, axis: Axis) -> Cuts {
    let mut cuts = Cuts::new(axis);
    for index in 0..layers {
        let (layer, roles) = layer(index, 0.2, &lines(index));
        cuts.push(&layer, &roles);
    }
    cuts
}

fn solid(index: usize) -> Vec<(Role, bool, f64, Vec<Point>)> {
    hatch(Role::SolidInfill, 0.4, 0.4, if index.is_multiple_of(2) { 0.0 } else { 90.0 }, SIZE)
}

// A solid bar 8 wide, 2 high: area b d, moments b d³/12 about the middle (first principles).
#[test]
fn a_solid_bar_has_its_section_in_every_slab() {
    let cuts = block(10, solid, Axis::X).slabs(2.0);
    assert!(cuts.len() > 50, "{}", cuts.len());
    for cut in &cuts {
        let m = cut.total();
        near!(m.area_mm2, 16.0, max_relative = 0.03);
        near!(m.centroid.x, 4.0, epsilon = 0.02);
        near!(m.centroid.y, 1.0, epsilon = 0.02);
        near!(m.ixx_mm4, 8.0 * 8.0 / 12.0, max_relative = 0.03);
        near!(cut.box_mm()[0].x, 0.0, epsilon = 0.01);
        near!(cut.box_mm()[1].x, 8.0, epsilon = 0.01);
        near!(cut.width_and_height_mm().1, 2.0, epsilon = 1e-9);
        near!(m.iyy_mm4, 2.0 * 512.0 / 12.0, max_relative = 0.03);
    }
    assert!(cuts.windows(2).all(|w| (w[1].at_mm - w[0].at_mm - SLICE_MM).abs() < 1e-9));
    let along_y = block(10, solid, Axis::Y).slabs(2.0);
    near!(along_y[4].total().area_mm2, 60.0, max_relative = 0.03);
    near!(along_y[4].total().centroid.x, 15.0, epsilon = 0.05);
}

#[test]
fn beads_are_counted_at_their_angle() {
    let lines = |_| hatch(Role::SparseInfill, 0.4, 2.0, 30.0, SIZE);
    let cuts = block(3, lines, Axis::X).slabs(6.0);
    let middle = &cuts[cuts.len() / 2];
    assert_eq!(middle.groups.len(), 1);
    let group = middle.groups[0];
    assert_eq!(group.kind, BeadKind::Sparse);
    near!(group.angle_deg, 30.0, epsilon = 1e-6);
    let low = middle.weighted(|_, t| t.to_radians().cos().powi(4)).area_mm2;
    near!(low / middle.total().area_mm2, 0.5625, max_relative = 1e-9);
    let across = block(3, lines, Axis::Y).slabs(2.0);
    near!(across[3].groups[0].angle_deg, 60.0, epsilon = 1e-6);
}

#[test]
fn support_is_left_out_and_a_short_part_is_one_slab() {
    let mut lines = vec![(Role::OuterWall, false, 0.4, vec![Point::new(5.2, 1.0), Point::new(6.1, 1.0)])];
    lines.push((Role::Support, false, 0.4, vec![Point::new(20.0, 0.0), Point::new(29.0, 0.0)]));
    let cuts = block(1, |_| lines.clone(), Axis::X).slabs(2.0);
    assert_eq!(cuts.len(), 1);
    near!(cuts[0].at_mm, 5.65, epsilon = 1e-9);
    near!(cuts[0].total().area_mm2, 0.08, max_relative = 1e-9);
}

fn line(role: Role, width_mm: f64, from: (f64, f64), to: (f64, f64)) -> (Role, bool, f64, Vec<Point>) {
    (role, false, width_mm, vec![Point::new(from.0, from.1), Point::new(to.0, to.1)])
}

// Four strips 0.4 wide and 0.2 high, each 1 mm further aside: about their common middle the places aside are -1.5, -0.5,
// 0.5, 1.5 and those upwards -0.3, -0.1, 0.1, 0.3 mm, so the sums over 0.08 mm² each are 0.08 x (5, 0.2, 1), and each
// strip's own b h³/12 comes on top (parallel-axis theorem).
#[test]
fn strips_that_climb_sideways_have_a_product_of_inertia() {
    let climb = |index: usize| vec![line(Role::OuterWall, 0.4, (0.0, 3.0 + index as f64), (30.0, 3.0 + index as f64))];
    let cuts = block(4, climb, Axis::X).slabs(2.0);
    assert_eq!(cuts.len(), 57);
    for cut in &cuts {
        let m = cut.total();
        near!(m.area_mm2, 0.32, max_relative = 1e-9);
        near!(m.centroid.x, 4.5, epsilon = 1e-9);
        near!(m.centroid.y, 0.4, epsilon = 1e-9);
        near!(m.iyy_mm4, 0.08 * 5.0 + 0.32 * 0.16 / 12.0, max_relative = 1e-9);
        near!(m.ixx_mm4, 0.08 * 0.2 + 0.32 * 0.04 / 12.0, max_relative = 1e-9);
        near!(m.ixy_mm4, 0.08, max_relative = 1e-9);
        assert_eq!(cut.groups.iter().map(|g| g.kind).collect::<Vec<_>>(), [BeadKind::Wall]);
        near!(cut.box_mm()[0].x, 2.8, epsilon = 1e-9);
        near!(cut.box_mm()[1].x, 6.2, epsilon = 1e-9);
    }
}

#[test]
fn families_at_two_angles_are_told_apart() {
    let lines = |index: usize| hatch(Role::SparseInfill, 0.4, 1.0, [30.0, -60.0][index % 2], SIZE);
    let cuts = block(4, lines, Axis::X).slabs(3.0);
    let angles: Vec<f64> = cuts[cuts.len() / 2].groups.iter().map(|g| g.angle_deg).collect();
    assert_eq!(angles.len(), 2);
    near!(angles[0], 30.0, epsilon = 1e-6);
    near!(angles[1], 60.0, epsilon = 1e-6);
}

// From (6, 1) to (26, 11): in a slab of 2 mm it climbs 1 mm, about half of where the slab stands less 2 mm; b h³/12 of the slant on
// top of its own width's, turned by the angle whose cosine is 2/√5.
#[test]
fn a_slanting_bead_lies_where_it_lies_in_every_slab() {
    for (from, to) in [((6.0, 1.0), (26.0, 11.0)), ((26.0, 11.0), (6.0, 1.0))] {
        let cuts = block(1, |_| vec![line(Role::OuterWall, 0.4, from, to)], Axis::X).slabs(2.0);
        assert!(cuts.len() > 30);
        for cut in &cuts {
            let m = cut.total();
            near!(m.area_mm2, 0.08 * 5f64.sqrt() / 2.0, max_relative = 1e-9);
            near!(m.centroid.x, 0.5 * cut.at_mm - 2.0, epsilon = 1e-9);
            near!(m.iyy_mm4, m.area_mm2 * (1.0 / 12.0 + 0.16 / 12.0 * 0.8), max_relative = 1e-6);
            near!(cut.box_mm()[0].x, 0.5 * cut.at_mm - 2.5 - 0.2 * 2.0 / 5f64.sqrt(), epsilon = 1e-9);
        }
    }
}

#[test]
fn a_steep_bead_counts_the_same_laid_backwards() {
    let steep = |from, to| block(1, |_| vec![line(Role::OuterWall, 1.2, from, to)], Axis::X);
    let (there, back) = (steep((4.3, 1.0), (5.6, 7.0)), steep((5.6, 7.0), (4.3, 1.0)));
    let volumes =
        |cuts: &Cuts| -> Vec<f64> { cuts.slices.iter().map(|s| s.piles.iter().map(|p| p.1.volume).sum()).collect() };
    let (there, back) = (volumes(&there), volumes(&back));
    assert_eq!(there.len(), back.len());
    for (one, other) in there.iter().zip(&back) {
        near!(*one, *other, max_relative = 1e-9);
    }
}

/// What an earlier layer gave, added further up, is what the layer gives itself.
#[test]
fn a_layer_added_again_counts_as_if_it_were_laid_again() {
    for axis in [Axis::X, Axis::Y] {
        let first = layer(0, 0.2, &[line(Role::OuterWall, 0.4, (3.0, 6.5), (25.0, 2.0))]);
        let again = |index| layer(index, 0.2, &hatch(Role::SparseInfill, 0.4, 2.0, 30.0, SIZE));
        let (mut laid, mut told, mut one) = (Cuts::new(axis), Cuts::new(axis), Cuts::new(axis));
        laid.push(&first.0, &first.1);
        told.push(&first.0, &first.1);
        let (layer, roles) = again(1);
        one.push(&layer, &roles);
        for index in 1..5 {
            let (layer, roles) = again(index);
            laid.push(&layer, &roles);
            told.add(&one, 0.2 * (index - 1) as f64);
        }
        // Nothing adds nothing, and to nothing anything can be added.
        told.add(&Cuts::new(axis), 1.0);
        let mut alone = Cuts::new(axis);
        alone.add(&one, 0.0);
        assert_eq!(alone.slabs(3.0).len(), one.slabs(3.0).len());
        let (laid, told) = (laid.slabs(3.0), told.slabs(3.0));
        assert_eq!(laid.len(), told.len());
        for (laid, told) in laid.iter().zip(&told) {
            assert_eq!((laid.at_mm, laid.groups.len()), (told.at_mm, told.groups.len()));
            for (laid, told) in laid.box_mm().iter().zip(told.box_mm()) {
                near!(laid.distance(told), 0.0, epsilon = 1e-9);
            }
            for (laid, told) in laid.groups.iter().zip(&told.groups) {
                near!(laid.angle_deg, told.angle_deg, epsilon = 1e-6);
                let (laid, told) = (laid.moments, told.moments);
                near!(laid.area_mm2, told.area_mm2, max_relative = 1e-9);
                near!(laid.centroid.distance(told.centroid), 0.0, epsilon = 1e-9);
                near!(laid.ixx_mm4, told.ixx_mm4, max_relative = 1e-6);
                near!(laid.iyy_mm4, told.iyy_mm4, max_relative = 1e-6);
                near!(laid.ixy_mm4, told.ixy_mm4, epsilon = 1e-6);
            }
        }
    }
}

// A sole 8 mm wide and 1 mm high with a wall 1 mm wide on it, 20 mm high in all: its hull runs aslant from the edge of the
// sole to the top of the wall, and in that direction nothing reaches further than either.
#[test]
fn an_angle_reaches_to_its_hull_and_not_to_its_box() {
    let strip = |right: f64| {
        let mut cuts = Cuts::new(Axis::X);
        let (layer, roles) = layer(0, 0.2, &[line(Role::OuterWall, right, (0.0, 0.5 * right), (30.0, 0.5 * right))]);
        cuts.push(&layer, &roles);
        cuts
    };
    let (sole, wall) = (strip(8.0), strip(1.0));
    let rises = |from: usize, to: usize| (from..to).map(|index| 0.2 * index as f64);
    let mut upwards = Cuts::new(Axis::X);
    rises(0, 5).for_each(|up_mm| upwards.add(&sole, up_mm));
    rises(5, 100).for_each(|up_mm| upwards.add(&wall, up_mm));
    // One object after another: heights come again in another order.
    let mut mixed = Cuts::new(Axis::X);
    rises(5, 100).rev().for_each(|up_mm| mixed.add(&wall, up_mm));
    rises(0, 5).for_each(|up_mm| mixed.add(&sole, up_mm));
    for cuts in [upwards, mixed] {
        let slabs = cuts.slabs(2.0);
        assert!(slabs.len() > 50);
        for cut in slabs {
            let (width, height) = cut.width_and_height_mm();
            near!(width, 8.0, epsilon = 1e-9);
            near!(height, 20.0, epsilon = 1e-9);
            let aslant = Point::new(19.0, 7.0);
            let reach = cut.reach.unwrap();
            near!(reach.furthest(aslant, Point::new(8.0, 1.0)), 0.0, epsilon = 1e-9);
            near!(reach.furthest(aslant, Point::new(1.0, 20.0)), 0.0, epsilon = 1e-9);
        }
    }
}

// 1 mm wide about x = 5.125: as four strips at 4.75, 5, 5.25 and 5.5, of which a slice of 0.5 mm holds 1, 2 and 1.
#[test]
fn a_bead_across_fills_the_slices_it_covers() {
    let cuts = block(1, |_| vec![line(Role::OuterWall, 1.0, (5.125, 1.0), (5.125, 7.0))], Axis::X);
    let volumes: Vec<f64> = cuts.slices.iter().map(|s| s.piles.iter().map(|p| p.1.volume).sum()).collect();
    assert_eq!((cuts.first, volumes.len()), (9, 3));
    for (volume, share) in volumes.iter().zip([0.25, 0.5, 0.25]) {
        near!(*volume, 1.2 * share, max_relative = 1e-9);
    }
}

// Slabs of 2 mm every 0.5 mm, the first as far in as the part begins, the last where it ends.
#[test]
fn slabs_reach_from_end_to_end_of_the_part() {
    for (x, angle) in [(0.0, 0.0), (0.0, 90.0), (40.0, 90.0), (-17.0, 0.0)] {
        let lines = |_| {
            let mut lines = hatch(Role::SolidInfill, 0.5, 0.5, angle, SIZE);
            lines.iter_mut().flat_map(|l| l.3.iter_mut()).for_each(|p| p.x += x);
            lines
        };
        let cuts = block(2, lines, Axis::X).slabs(2.0);
        assert_eq!(cuts.len(), 57, "{x} {angle}");
        near!(cuts[0].at_mm, x + 1.0, epsilon = 1e-9);
        near!(cuts[56].at_mm, x + 29.0, epsilon = 1e-9);
    }
}

#[test]
fn a_part_of_one_millimetre_is_one_slab_of_one_millimetre() {
    let cuts = block(1, |_| vec![line(Role::OuterWall, 0.4, (5.0, 1.0), (6.0, 1.0))], Axis::X).slabs(2.0);
    assert_eq!(cuts.len(), 1);
    near!(cuts[0].thickness_mm, 1.0, epsilon = 1e-9);
    near!(cuts[0].total().area_mm2, 0.08, max_relative = 1e-9);
}

#[test]
fn nothing_gives_no_slab() {
    assert!(Cuts::new(Axis::Y).slabs(2.0).is_empty());
}

proptest! {
    /// A layer added further up is the layer pushed where it lies: every slab has the same moments.
    #[test]
    fn a_layer_added_further_up_is_the_layer_there(angle in 0.0..180.0f64, raised in 1..40usize) {
        let lines = hatch(Role::SparseInfill, 0.4, 1.5, angle, SIZE);
        let ((low, roles), (high, _)) = (layer(0, 0.2, &lines), layer(raised, 0.2, &lines));
        for axis in [Axis::X, Axis::Y] {
            let (mut pushed, mut added, mut once) = (Cuts::new(axis), Cuts::new(axis), Cuts::new(axis));
            [&low, &high].into_iter().for_each(|layer| pushed.push(layer, &roles));
            once.push(&low, &roles);
            [0.0, high.z_mm - low.z_mm].into_iter().for_each(|up_mm| added.add(&once, up_mm));
            let (pushed, added) = (pushed.slabs(2.0), added.slabs(2.0));
            prop_assert_eq!(pushed.len(), added.len());
            for (a, b) in pushed.iter().zip(&added) {
                let (m, n) = (a.total(), b.total());
                for (x, y) in [(m.area_mm2, n.area_mm2), (m.ixx_mm4, n.ixx_mm4), (m.iyy_mm4, n.iyy_mm4), (m.centroid.y, n.centroid.y)] {
                    prop_assert!((x - y).abs() <= 1e-7 * x.abs().max(1.0), "{x} {y}");
                }
                prop_assert!((a.box_mm()[1].y - b.box_mm()[1].y).abs() < 1e-9);
                prop_assert!((a.box_mm()[0].x - b.box_mm()[0].x).abs() < 1e-12);
            }
        }
    }

    /// Slices share out every bead: their volumes add up to the part's.
    #[test]
    fn slices_add_up_to_the_volume(angle in 0.0..180.0f64, pitch in 0.5..3.0f64) {
        let lines = hatch(Role::SparseInfill, 0.4, pitch, angle, SIZE);
        let (layer, roles) = layer(0, 0.2, &lines);
        for axis in [Axis::X, Axis::Y] {
            let mut cuts = Cuts::new(axis);
            cuts.push(&layer, &roles);
            let volume: f64 = cuts.slices.iter().flat_map(|s| s.piles.iter()).map(|p| p.1.volume).sum();
            prop_assert!((volume - layer.volume_mm3()).abs() < 1e-9 * volume);
        }
    }
}

proptest! {
    /// Corners left out because they stand on the layer below change no hull, whether layers follow on each other, leave
    /// a gap or come to stand beside what was there before.
    #[test]
    fn the_hull_of_a_slice_is_that_of_all_its_layers(
        layers in prop::collection::vec((-9.0..9.0f64, 0.0..12.0f64, prop_oneof![3 => Just(0.0), 1 => -2.0..2.0f64]), 1..90),
    ) {
        let (mut slice, mut all, mut z) = (Slice::empty(), Vec::new(), 0.0);
        for (left, width, gap) in layers {
            z += gap;
            let layer = Slice { side_mm: [left, left + width], z_mm: [0.0, 0.2], ..Slice::empty() };
            slice.add_corners(&layer, z);
            all.extend([z, z + 0.2].into_iter().flat_map(|z| [left, left + width].map(|side| Point::new(side, z))));
            z += 0.2;
        }
        let area = |points: &[Point]| signed_area(&convex_hull(points)).abs();
        let (of_slice, of_all) = (area(&slice.all_corners().collect::<Vec<_>>()), area(&all));
        prop_assert!((of_slice - of_all).abs() < 1e-4, "{of_slice} {of_all}");
    }
}

// One strip 0.4 mm wide and 0.2 high along x, the sixth layer up and 3 mm aside.
#[test]
fn a_cut_has_its_middle_and_size_wherever_it_lies() {
    let mut cuts = Cuts::new(Axis::X);
    let (layer, roles) = layer(5, 0.2, &[line(Role::OuterWall, 0.4, (0.0, 3.0), (30.0, 3.0))]);
    cuts.push(&layer, &roles);
    for cut in cuts.slabs(2.0) {
        near!(cut.middle_side_mm(), 3.0, epsilon = 1e-9);
        near!(cut.width_and_height_mm().0, 0.4, epsilon = 1e-9);
        near!(cut.width_and_height_mm().1, 0.2, epsilon = 1e-9);
    }
}
