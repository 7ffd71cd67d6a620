use super::*;

/// Beads of 0.4 mm pitch, if nothing else is said.
const PITCH: f64 = 0.4;

/// Strands of which the first ones are walls for certain.
#[derive(Default)]
struct Strands {
    pieces: Vec<Piece>,
    walls: usize,
    count: usize,
}

impl Strands {
    /// A path of beads that fill so wide a lane, as a body of the part makes its pieces.
    fn laid(&mut self, points: &[(f64, f64)], fills_mm: f64, woven_of_mm: Option<f64>) -> &mut Self {
        let at = |p: (f64, f64)| Point::new(p.0, p.1);
        let (reach_mm, same_mm, strand) = (1.5 * fills_mm, 0.3 * (fills_mm + 0.04), self.count);
        let segments = points.windows(2).map(|p| Segment::new(at(p[0]), at(p[1])));
        self.pieces.extend(segments.map(|segment| Piece { segment, strand, reach_mm, same_mm, fills_mm, woven_of_mm }));
        self.count += 1;
        self
    }

    fn wall(&mut self, points: &[(f64, f64)]) -> &mut Self {
        assert_eq!(self.walls, self.count, "walls come first");
        self.walls += 1;
        self.laid(points, PITCH, None)
    }

    fn open(&mut self, points: &[(f64, f64)]) -> &mut Self {
        self.laid(points, PITCH, None)
    }

    /// Which of the open strands are walls.
    fn found(&self) -> Vec<bool> {
        let mut accepted: Vec<bool> = (0..self.count).map(|strand| strand < self.walls).collect();
        find_open_walls(&self.pieces, &mut accepted);
        accepted.split_off(self.walls)
    }
}

/// Two walls 30 mm long whose middles lie so far from the x axis.
fn lane(below: f64, above: f64) -> Strands {
    let mut strands = Strands::default();
    strands.wall(&[(-5.0, -below), (25.0, -below)]).wall(&[(-5.0, above), (25.0, above)]);
    strands
}

#[test]
fn a_bead_between_two_walls_is_a_wall_when_it_fills_the_lane() {
    let along = [(0.0, 0.0), (20.0, 0.0)];
    // Half a bead of either wall lies in the lane; 0.4 mm are more than 0.87 of the rest up to 0.46 mm.
    for (below, above, is_wall) in
        [(0.4, 0.4, true), (0.3, 0.5, true), (0.42, 0.42, true), (0.425, 0.425, true), (0.435, 0.435, false)]
    {
        assert_eq!(lane(below, above).open(&along).found(), [is_wall], "{below} and {above} mm off");
    }
    assert_eq!(lane(0.5, 0.37).open(&along).found(), [false]);
    // One wall alone, or one beyond the reach of 0.6 mm, is no lane.
    assert_eq!(Strands::default().wall(&[(-5.0, 0.4), (25.0, 0.4)]).open(&along).found(), [false]);
    assert_eq!(lane(0.23, 0.62).open(&along).found(), [false]);
    assert_eq!(lane(0.26, 0.58).open(&along).found(), [true]);
}

#[test]
fn walls_beside_walls_are_found_one_after_the_other() {
    // Three straight beads between two walls: none of them has walls on both sides.
    let mut strands = lane(0.4, 2.0);
    let row = |y: f64| [(0.0, y), (20.0, y)];
    strands.open(&row(0.8)).open(&row(0.0)).open(&row(1.6));
    assert_eq!(strands.found(), [false; 3]);
    // Those that bend follow the wall that was found before.
    let corner = |off: f64| [(0.0, off), (20.0 - off, off), (20.0 - off, 20.0)];
    let mut strands = Strands::default();
    strands.wall(&corner(0.0));
    for k in (1..=5).rev() {
        strands.open(&corner(PITCH * f64::from(k)));
    }
    assert_eq!(strands.found(), [true; 5]);
}

#[test]
fn a_zigzag_fills_a_narrow_lane_with_less() {
    // 0.8 mm of plastic in lanes of 0.98 and 1.04 mm (0.82 and 0.77 of them), woven and laid straight.
    let along = [(0.0, 0.0), (20.0, 0.0)];
    let found = |half: f64, fills: f64, woven_of| lane(half, half).laid(&along, fills, woven_of).found()[0];
    assert!(found(0.69, 0.8, Some(PITCH)));
    assert!(!found(0.72, 0.8, Some(PITCH)));
    assert!(!found(0.69, 0.8, None));
    // A lane of 1.1 mm is wider than 2.7 pitches: it has to be filled as by any bead.
    assert!(!found(0.75, 0.93, Some(PITCH)));
    assert!(found(0.75, 0.97, Some(PITCH)));
}

#[test]
fn a_strand_has_walls_beside_it_along_four_fifths() {
    // Pitch 1/3 mm, so that a reach is half a millimetre and every millimetre of 10 is looked at once.
    let found = |stretches: &[(f64, f64)]| {
        let mut strands = Strands::default();
        let pitch = 1.0 / 3.0;
        for (from, to) in stretches {
            for y in [-pitch, pitch] {
                strands.laid(&[(*from, y), (*to, y)], pitch, None);
                strands.walls += 1;
            }
        }
        let mut piece = strands.laid(&[(0.0, 0.0), (10.0, 0.0)], pitch, None).pieces.pop();
        piece.iter_mut().for_each(|p| p.reach_mm = 0.5);
        strands.pieces.extend(piece);
        strands.found()[0]
    };
    assert!(found(&[(0.0, 10.0)]));
    // Four fifths to the hair are enough, wherever they are; a tenth less is not.
    assert!(found(&[(0.0, 8.0)]));
    assert!(found(&[(2.0, 10.0)]));
    assert!(!found(&[(0.0, 7.0)]));
    assert!(!found(&[(3.0, 10.0)]));
    assert!(!found(&[(0.0, 3.2), (6.8, 10.0)]));
    assert!(found(&[(0.0, 4.2), (5.8, 10.0)]));
}

#[test]
fn the_whole_strand_and_its_whole_length_count() {
    // Half of it lies in the lane, whichever comes first.
    let mut strands = lane(0.4, 0.4);
    strands.open(&[(10.0, 20.0), (10.0, 0.0), (25.0, 0.0)]).open(&[(0.0, 0.0), (15.0, 0.0), (15.0, 15.0)]);
    assert_eq!(strands.found(), [false; 2]);
    // The lane widens halfway: walls run beside it all along, but it does not fill the lane.
    let mut strands = Strands::default();
    strands.wall(&[(0.0, -0.4), (20.0, -0.4)]).wall(&[(0.0, 0.4), (10.0, 0.4)]).wall(&[(10.0, 0.55), (20.0, 0.55)]);
    assert_eq!(strands.open(&[(0.0, 0.0), (20.0, 0.0)]).found(), [false]);
}

#[test]
fn only_what_runs_along_at_its_side_is_beside() {
    // A short bead between two that cross its direction at 15 and at 25 degrees, 0.4 mm off its middle.
    let found = |degrees: f64| {
        let (s, c) = degrees.to_radians().sin_cos();
        let mut strands = Strands::default();
        for off in [-0.4, 0.4] {
            let middle = (-s * off, c * off);
            strands.wall(&[(middle.0 - 3.0 * c, middle.1 - 3.0 * s), (middle.0 + 3.0 * c, middle.1 + 3.0 * s)]);
        }
        strands.open(&[(-0.5, 0.0), (0.5, 0.0)]).found()[0]
    };
    assert!(found(15.0));
    assert!(!found(25.0));
    // A second lap 0.1 mm off is the same bead and no wall beside it.
    assert_eq!(lane(0.1, 0.4).open(&[(0.0, 0.0), (20.0, 0.0)]).found(), [false]);
    assert_eq!(lane(0.15, 0.4).open(&[(0.0, 0.0), (20.0, 0.0)]).found(), [true]);
    // Two walls that only begin where it ends: 0.3 mm ahead of its middle, and 0.2 mm to the side.
    let mut strands = Strands::default();
    strands.wall(&[(0.8, -0.2), (20.0, -0.2)]).wall(&[(0.8, 0.2), (20.0, 0.2)]);
    assert_eq!(strands.open(&[(0.0, 0.0), (1.0, 0.0)]).found(), [false]);
}

/// An L whose legs are this long, with its corner turned by this many degrees, moved to the right by `off`.
fn bent(leg_mm: f64, degrees: f64, off: f64) -> [(f64, f64); 3] {
    let turn = degrees.to_radians();
    let (s, c) = turn.sin_cos();
    let reach = off * (0.5 * turn).tan();
    [(0.0, -off), (leg_mm + reach, -off), (leg_mm + leg_mm * c + off * s, leg_mm * s - off * c)]
}

#[test]
fn a_strand_that_bends_with_one_wall_is_a_wall_if_it_is_long() {
    let follows = |leg: f64, degrees: f64, off: f64| {
        Strands::default().wall(&bent(leg, degrees, off)).open(&bent(leg, degrees, 0.0)).found()[0]
    };
    // With the wall on the right and on the left; straight ones might be fill; 25 degrees of a bend are asked for.
    for off in [0.4, -0.4] {
        assert!(follows(10.0, 90.0, off));
        assert!(follows(10.0, 30.0, off));
        assert!(!follows(10.0, 20.0, off));
        assert!(!follows(10.0, 0.0, off));
    }
    // Six reaches, 3.6 mm, is how long it has to be.
    assert!(follows(2.0, 90.0, 0.4));
    assert!(!follows(1.6, 90.0, 0.4));
    // A zigzag beside one wall fills up to what lies on its other side.
    let mut strands = Strands::default();
    strands.wall(&bent(10.0, 90.0, 0.4)).laid(&bent(10.0, 90.0, 0.0), PITCH, Some(PITCH));
    assert_eq!(strands.found(), [false]);
}

#[test]
fn a_strand_does_not_change_from_one_wall_to_another() {
    // The wall lies on its right along the first leg and on its left along the second.
    let mut strands = Strands::default();
    strands.wall(&[(0.0, -0.4), (10.0, -0.4)]).wall(&[(9.6, 0.0), (9.6, 10.0)]);
    assert_eq!(strands.open(&bent(10.0, 90.0, 0.0)).found(), [false]);
}

#[test]
fn a_curve_of_short_pieces_bends_and_the_jogs_of_a_straight_one_do_not() {
    // A quarter of a circle in pieces of 0.3 mm, half a reach.
    let arc = |radius: f64| -> Vec<(f64, f64)> {
        let at = |i: u32| (f64::from(i) / 26.0 * std::f64::consts::FRAC_PI_2).sin_cos();
        (0..=26).map(|i| (radius * at(i).1, radius * at(i).0)).collect()
    };
    assert_eq!(Strands::default().wall(&arc(5.4)).open(&arc(5.0)).found(), [true]);
    // A line with a step of 0.1 mm.
    let mut strands = Strands::default();
    strands.wall(&[(0.0, 0.4), (20.0, 0.4)]);
    assert_eq!(strands.open(&[(0.0, 0.0), (10.0, 0.0), (10.0, 0.1), (20.0, 0.1)]).found(), [false]);
}

#[test]
fn a_strand_that_turns_about_more_than_twice_is_a_zigzag() {
    // Laid to and fro round a corner, in a lane that it does not fill, with a wall on either side of every leg.
    let to_and_fro = |legs: usize| {
        let corner = |off: f64, length: f64| [(0.0, off), (10.0 - off, off), (10.0 - off, length)];
        let mut points = Vec::new();
        for off in &[-0.075, -0.025, 0.025, 0.075][..legs] {
            let mut leg = corner(*off, 10.0);
            if points.len() % 2 == 1 {
                leg.reverse();
            }
            points.extend(leg);
        }
        Strands::default().wall(&corner(-0.5, 11.0)).wall(&corner(0.5, 11.0)).open(&points).found()[0]
    };
    assert!(to_and_fro(1));
    assert!(to_and_fro(3));
    assert!(!to_and_fro(4));
    // Round the teeth of a comb, 1.5 mm wide, it goes as any wall does.
    let teeth = [(0.0, 0.0), (0.0, 8.0), (1.5, 8.0), (1.5, 0.0), (3.5, 0.0), (3.5, 8.0), (5.0, 8.0), (5.0, 0.0)];
    let round = [(-0.4, 0.0), (-0.4, 8.4), (1.9, 8.4), (1.9, 0.4), (3.1, 0.4), (3.1, 8.4), (5.4, 8.4), (5.4, 0.0)];
    assert_eq!(Strands::default().wall(&round).open(&teeth).found(), [true]);
}
