#![allow(clippy::unwrap_used)]

use super::super::fixture::Laid;
use super::*;
use approx::assert_relative_eq;
use std::f64::consts::FRAC_PI_4;

/// A layer of straight lines along x, and what each is for.
struct Lines {
    laid: Laid,
    roles: Vec<Role>,
}

impl Lines {
    /// Lines with a usual section of `pitch_mm` times `height_mm`.
    fn new(pitch_mm: f64, height_mm: f64) -> Self {
        Self { laid: Laid::new(pitch_mm + height_mm * (1.0 - FRAC_PI_4), height_mm), roles: Vec::new() }
    }

    /// Beads 0.4 mm wide where they are flat, 0.2 mm high.
    fn plain() -> Self {
        Self::new(0.4, 0.2)
    }

    fn strand(&mut self, points: &[(f64, f64)], shares: &[f64], role: Role) -> &mut Self {
        let points: Vec<Point> = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
        self.laid.strand(&points, false);
        let layer = &mut self.laid.layer;
        let beads = layer.strands.last().unwrap().beads.clone();
        layer.beads[beads].iter_mut().zip(shares).for_each(|(bead, share)| bead.area_mm2 *= share);
        self.roles.push(role);
        self
    }

    /// A line of a sparse core with this share of its section all along.
    fn line(&mut self, y: f64, from_x: f64, to_x: f64, share: f64) -> &mut Self {
        self.strand(&[(from_x, y), (to_x, y)], &[share], Role::SparseInfill)
    }

    /// A bead beside others whose own flow is not looked at.
    fn filler(&mut self, y: f64, share: f64) -> &mut Self {
        self.strand(&[(20.0, y), (40.0, y)], &[share], Role::GapFill)
    }

    /// A line 60 mm long whose piece from `from_x` to `to_x` has this share of its section.
    fn odd_piece(&mut self, y: f64, from_x: f64, to_x: f64, share: f64, role: Role) -> &mut Self {
        self.strand(&[(0.0, y), (from_x, y), (to_x, y), (60.0, y)], &[1.0, share, 1.0], role)
    }

    fn ghost(&mut self) -> &mut Self {
        self.laid.layer.strands.last_mut().unwrap().ghost = true;
        self
    }

    fn places(&self) -> Vec<FlowPlace> {
        flow_places(&self.laid.layer, &self.roles)
    }
}

/// Where the lines of [`place_with`] lie.
const ROWS: [f64; 4] = [50.0, 53.0, 56.0, 59.0];

/// Four lines 3 mm apart that have this share of their section along 10.5 mm in the middle.
fn place_with(share: f64, role: Role) -> Lines {
    let mut lines = Lines::plain();
    for y in ROWS {
        lines.odd_piece(y, 25.0, 35.5, share, role);
    }
    lines
}

/// The one place of [`place_with`].
fn assert_in_the_middle(places: &[FlowPlace], share: f64) {
    assert_eq!(places.len(), 1, "share {share}: {places:?}");
    assert_relative_eq!(places[0].at.x, 30.25, epsilon = 1e-9);
    assert_relative_eq!(places[0].at.y, 54.5, epsilon = 1e-9);
    assert_relative_eq!(places[0].share, share, epsilon = 1e-9);
    // Looked at in 11 steps: their variance along x, and that of four rows 3 mm apart.
    let spread = (10.5f64.powi(2) - (10.5f64 / 11.0).powi(2)) / 12.0 + 11.25;
    assert_relative_eq!(places[0].radius_mm, (2.0 * spread).sqrt(), epsilon = 1e-9);
}

#[test]
fn a_place_is_starved_or_swollen_when_its_beads_are_well_off_the_usual_section() {
    for share in [0.26, 0.6, 0.84, 1.21, 1.6] {
        assert_in_the_middle(&place_with(share, Role::SparseInfill).places(), share);
    }
    // Hardly less or more than usual; or so little that nothing is laid there.
    for share in [1.0, 0.86, 1.19, 0.24, 0.0] {
        assert_eq!(place_with(share, Role::SparseInfill).places(), [], "share {share}");
    }
}

#[test]
fn the_section_of_broad_beads_is_compared_with_their_own() {
    // 1.09 mm² each: the section of the starved ones, 0.82 mm², is not far from the usual share of 1.
    let mut lines = Lines::new(1.09 / 0.7, 0.7);
    for y in ROWS {
        lines.odd_piece(y, 25.0, 35.5, 0.75, Role::SparseInfill);
    }
    assert_in_the_middle(&lines.places(), 0.75);
}

#[test]
fn walls_and_fill_have_a_usual_section_and_nothing_else_has() {
    for role in [Role::OuterWall, Role::InnerWall, Role::SparseInfill, Role::SolidInfill] {
        assert_in_the_middle(&place_with(0.6, role).places(), 0.6);
    }
    for role in [Role::GapFill, Role::Bridge, Role::Support, Role::Adhesion, Role::Purge] {
        assert_eq!(place_with(0.6, role).places(), [], "{role:?}");
    }
    // Walls that are all laid broader than the core are as usual for walls.
    let mut lines = place_with(1.0, Role::SparseInfill);
    for y in [70.0, 73.0, 76.0] {
        lines.strand(&[(0.0, y), (30.0, y)], &[1.4], Role::OuterWall);
    }
    assert_eq!(lines.places(), []);
}

#[test]
fn a_lap_that_lies_on_another_bead_tells_nothing_about_flow() {
    // Half a metre of laps would be what is usual.
    let mut lines = place_with(0.6, Role::SparseInfill);
    lines.line(90.0, 0.0, 500.0, 0.61).ghost();
    assert_in_the_middle(&lines.places(), 0.6);
    // Two strands are no place, and a lap beside them makes no third.
    let mut lines = Lines::plain();
    lines.line(80.0, 0.0, 60.0, 1.0).line(50.0, 0.0, 12.0, 0.6).line(53.0, 0.0, 12.0, 0.6).line(56.0, 0.0, 12.0, 0.6);
    assert_eq!(lines.places().len(), 1);
    lines.ghost();
    assert_eq!(lines.places(), []);
}

#[test]
fn a_place_needs_three_strands_and_eight_millimetres() {
    // One strand that is starved along 30 mm is none, however long.
    let found = |rows: &[f64], length_mm: f64| {
        let mut lines = Lines::plain();
        lines.odd_piece(500.0, 10.0, 40.0, 0.6, Role::SparseInfill);
        for &y in rows {
            lines.odd_piece(y, 25.0, 25.0 + length_mm, 0.6, Role::SparseInfill);
        }
        lines.places().len()
    };
    assert_eq!(found(&[], 0.0), 0);
    assert_eq!(found(&ROWS[..2], 20.0), 0);
    assert_eq!(found(&ROWS[..3], 20.0), 1);
    // 7.8 mm and 8.1 mm in all, in rows as near as the place is long.
    let near = [51.0, 52.0, 53.0];
    assert_eq!(found(&near, 2.6), 0);
    assert_eq!(found(&near, 2.7), 1);
}

#[test]
fn nearly_all_beads_at_a_place_are_off() {
    let with = |others: &[f64]| {
        let mut lines = place_with(0.6, Role::SparseInfill);
        for &y in others {
            lines.line(y, 0.0, 60.0, 1.0);
        }
        lines.places().len()
    };
    // Lines beside the place, one through it near its edge, and one through it after each that is starved.
    assert_eq!(with(&[47.0, 62.0]), 1);
    assert_eq!(with(&[60.0]), 1);
    assert_eq!(with(&[51.5, 54.5, 57.5, 60.5]), 0);
}

#[test]
fn beads_within_six_millimetres_of_each_other_belong_to_one_place() {
    // Lines of 8 mm are looked at up to half a millimetre from their ends.
    let found = |gap_mm: f64| {
        let mut lines = Lines::plain();
        lines.line(150.0, 0.0, 60.0, 1.0);
        for y in &ROWS[..3] {
            lines.line(*y, 0.0, 8.0, 0.6).line(*y, 8.0 + gap_mm, 16.0 + gap_mm, 0.6);
        }
        lines.places().iter().map(|place| place.at.x).collect::<Vec<f64>>()
    };
    let one = found(4.8);
    assert_eq!(one.len(), 1);
    assert_relative_eq!(one[0], 8.0 + 2.4, epsilon = 1e-9);
    let two = found(5.2);
    assert_eq!(two.len(), 2);
    assert_relative_eq!(two[0], 4.0, epsilon = 1e-9);
    assert_relative_eq!(two[1], 4.0 + 8.0 + 5.2, epsilon = 1e-9);
}

#[test]
fn starved_places_come_first_even_where_hardly_a_bead_is_as_usual() {
    let mut lines = Lines::plain();
    for y in ROWS {
        lines.line(y + 50.0, 0.0, 10.0, 1.4);
    }
    lines.line(200.0, 0.0, 10.0, 1.0);
    for y in ROWS {
        lines.line(y, 0.0, 10.0, 0.6);
    }
    let places: Vec<(f64, f64)> = lines.places().iter().map(|place| (place.at.y, place.share)).collect();
    assert_eq!(places.len(), 2);
    assert_relative_eq!(places[0].0, 54.5, epsilon = 1e-9);
    assert_relative_eq!(places[0].1, 0.6, epsilon = 1e-9);
    assert_relative_eq!(places[1].0, 104.5, epsilon = 1e-9);
    assert_relative_eq!(places[1].1, 1.4, epsilon = 1e-9);
}

/// The place of [`place_with`], and what else lies by each of its lines.
fn starved_beside(beside: impl Fn(&mut Lines, f64)) -> usize {
    let mut lines = place_with(0.6, Role::SolidInfill);
    ROWS.iter().for_each(|&y| beside(&mut lines, y));
    lines.places().len()
}

#[test]
fn a_bead_that_is_narrow_because_its_lane_is_narrow_is_no_fault() {
    // With a bead of the usual section beside it, a bead of 0.6 is meant to lie at (0.6 + 1) / 2 * 0.4 = 0.32 mm. It fills
    // its lane from 0.9 to 1.14 of that flow: 0.281 to 0.356 mm.
    for (off, places) in [(0.32, 0), (0.285, 0), (0.35, 0), (0.275, 1), (0.36, 1)] {
        assert_eq!(
            starved_beside(|lines, y| {
                lines.filler(y + off, 1.0);
            }),
            places,
            "{off} mm off"
        );
        assert_eq!(
            starved_beside(|lines, y| {
                lines.filler(y - off, 1.0);
            }),
            places,
            "{off} mm off"
        );
    }
    // Two beads with 0.4 of their section side by side in a lane of 0.16 mm each.
    let mut lines = place_with(0.4, Role::SolidInfill);
    for y in ROWS {
        lines.filler(y + 0.16, 0.4);
    }
    assert_eq!(lines.places(), []);
}

#[test]
fn the_nearest_bead_beside_counts_and_one_laid_on_top_is_not_beside() {
    // Each as how far off it lies and its share: one just as it should, one with a gap before it, a second lap.
    let (next, further, lap) = ((0.32, 1.0), (-0.6, 1.0), (0.05, 0.6));
    let starved = |beside: &[(f64, f64)]| {
        starved_beside(|lines, y| {
            for &(off, share) in beside {
                lines.filler(y + off, share);
            }
        })
    };
    for other in [further, lap] {
        assert_eq!(starved(&[other]), 1);
        // In whichever order they are laid.
        assert_eq!([starved(&[next, other]), starved(&[other, next])], [0, 0]);
    }
}

#[test]
fn what_is_no_bead_of_the_part_or_does_not_run_along_fills_no_lane() {
    let support = |lines: &mut Lines, y: f64| {
        lines.strand(&[(20.0, y + 0.32), (40.0, y + 0.32)], &[1.0], Role::Support);
    };
    assert_eq!(starved_beside(support), 1);
    assert_eq!(
        starved_beside(|lines, y| {
            lines.filler(y + 0.32, 1.0).ghost();
        }),
        1
    );
    // The teeth of a comb end where a bead beside would lie, at every place that is looked at.
    let comb = |lines: &mut Lines, y: f64| {
        for k in 0..11 {
            let x = 25.0 + (f64::from(k) + 0.5) * 10.5 / 11.0;
            lines.strand(&[(x, y + 0.32), (x, y + 1.0)], &[1.0], Role::GapFill);
        }
    };
    assert_eq!(starved_beside(comb), 1);
}
