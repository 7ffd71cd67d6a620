//! Walls of plain shapes, counted by hand.

#![allow(clippy::unwrap_used)]
use super::*;

/// Beads 0.45 mm wide lie 0.4 mm apart; up to 0.54 mm they are taken to be fused.
const WIDTH: f64 = 0.45;
const PITCH: f64 = 0.4;
const REACH: f64 = 0.54;

/// What so many walls are thick: half a bead out, half a bead in, and what is between their middles.
fn thick(walls: u32) -> f64 {
    WIDTH + PITCH * f64::from(walls - 1)
}

fn piece(from: (f64, f64), to: (f64, f64)) -> WallPiece {
    let segment = Segment::new(Point::new(from.0, from.1), Point::new(to.0, to.1));
    WallPiece { segment, width_mm: WIDTH, reach_mm: REACH }
}

fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Point> {
    [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|(x, y)| Point::new(x, y)).to_vec()
}

/// The sides of a rectangle's walls, the first half a bead within it, each of the next a pitch further (outwards, for
/// a hole).
fn loops([x0, y0, x1, y1]: [f64; 4], walls: u32, inwards: f64) -> Vec<WallPiece> {
    let one = |k: u32| {
        let off = inwards * (0.5 * WIDTH + PITCH * f64::from(k));
        let ring = rectangle(x0 + off, y0 + off, x1 - off, y1 - off);
        edges_of(&ring).map(|s| piece((s.from.x, s.from.y), (s.to.x, s.to.y))).collect::<Vec<_>>()
    };
    (0..walls).flat_map(one).collect()
}

fn plate(holes: Vec<Vec<Point>>) -> Vec<Polygon> {
    vec![Polygon { outer: rectangle(10.0, 20.0, 34.0, 38.0), holes }]
}

const PLATE: [f64; 4] = [10.0, 20.0, 34.0, 38.0];

/// Turned about the origin, so that nothing runs along an axis.
fn turned(pieces: &[WallPiece], outline: &[Polygon], degrees: f64) -> (Vec<WallPiece>, Vec<Polygon>) {
    let (s, c) = degrees.to_radians().sin_cos();
    let at = |p: Point| Point::new(p.x * c - p.y * s, p.x * s + p.y * c);
    let pieces = pieces.iter().map(|p| WallPiece { segment: Segment::new(at(p.segment.from), at(p.segment.to)), ..*p });
    let ring = |ring: &[Point]| ring.iter().map(|&p| at(p)).collect::<Vec<Point>>();
    let outline = outline
        .iter()
        .map(|polygon| Polygon {
            outer: ring(&polygon.outer),
            holes: polygon.holes.iter().map(|hole| ring(hole)).collect(),
        })
        .collect();
    (pieces.collect(), outline)
}

#[track_caller]
fn assert_counted(sample: &WallSample, count: u32, thickness_mm: f64, through: bool) {
    assert_eq!((sample.count, sample.through), (count, through), "{sample:?}");
    assert!((sample.thickness_mm - thickness_mm).abs() < 1e-6, "{sample:?} is not {thickness_mm} thick");
}

#[test]
fn walls_of_a_plate_are_counted_at_its_corners_too() {
    for walls in [1, 2, 3, 6, 12] {
        for degrees in [0.0, 33.0] {
            let (pieces, outline) = turned(&loops(PLATE, walls, 1.0), &plate(vec![]), degrees);
            let rings = WallProbe::new(&pieces, &outline).samples(&outline);
            // A point about every millimetre of 84.
            assert_eq!((rings.len(), rings[0].len()), (1, 84));
            for sample in &rings[0] {
                // Round a corner the way leads from wall to wall: a hair of the thickness may be cut off.
                assert_eq!((sample.count, sample.through), (walls, false), "{sample:?}");
                let off = sample.thickness_mm - thick(walls);
                assert!(off < 1e-6 && off > if sample.corner { -0.08 } else { -1e-6 }, "{sample:?}: {off}");
            }
            let summed = summed_up(&rings);
            assert_eq!((summed.min.map(|m| m.0), summed.p05, summed.median), (Some(walls), Some(walls), Some(walls)));
            // Near a corner means within the walls' thickness and a bead of it: 0.5 mm and every further millimetre up to there.
            let near = (thick(walls) + WIDTH - 0.5).floor() as usize + 1;
            assert_eq!(rings[0].iter().filter(|s| s.corner).count(), 8 * near, "{walls}");
        }
    }
}

#[test]
fn a_hole_is_counted_outwards_from_its_edge() {
    let hole = [18.0, 26.0, 26.0, 32.0];
    let mut ring = rectangle(hole[0], hole[1], hole[2], hole[3]);
    ring.reverse();
    let outline = plate(vec![ring]);
    let pieces = [loops(PLATE, 3, 1.0), loops(hole, 2, -1.0)].concat();
    let rings = WallProbe::new(&pieces, &outline).samples(&outline);
    assert_eq!((rings.len(), rings[1].len()), (2, 28));
    rings[0].iter().for_each(|sample| assert_counted(sample, 3, thick(3), false));
    rings[1].iter().for_each(|sample| assert_counted(sample, 2, thick(2), false));
}

/// The plate with round corners of this radius, drawn so far within its edge; where nothing of the radius is left they are
/// sharp.
fn rounded(radius: f64, off: f64) -> Vec<Point> {
    let [x0, y0, x1, y1] = PLATE;
    let (left, low, right, high) = (x0 + radius, y0 + radius, x1 - radius, y1 - radius);
    let corners = [(right, low, -90.0), (right, high, 0.0), (left, high, 90.0), (left, low, 180.0)];
    let corner = |(x, y, from): (f64, f64, f64)| -> Vec<Point> {
        let at = |degrees: f64, far: f64| {
            let (s, c) = f64::to_radians(from + degrees).sin_cos();
            Point::new(x + far * c, y + far * s)
        };
        let left_of_it = radius - off;
        if left_of_it > 0.0 {
            (0..=9).map(|i| at(10.0 * f64::from(i), left_of_it)).collect()
        } else {
            vec![at(45.0, left_of_it * 2f64.sqrt())]
        }
    };
    corners.into_iter().flat_map(corner).collect()
}

#[test]
fn round_corners_are_counted_however_tight_they_are() {
    for (radius, walls) in [(0.5, 3), (1.0, 6), (1.5, 6), (4.0, 4), (1.2, 12)] {
        let outline = vec![Polygon { outer: rounded(radius, 0.0), holes: vec![] }];
        let pieces: Vec<WallPiece> = (0..walls)
            .flat_map(|k| {
                let ring = rounded(radius, 0.5 * WIDTH + PITCH * f64::from(k));
                edges_of(&ring).map(|s| piece((s.from.x, s.from.y), (s.to.x, s.to.y))).collect::<Vec<_>>()
            })
            .collect();
        let rings = WallProbe::new(&pieces, &outline).samples(&outline);
        for sample in &rings[0] {
            assert_eq!((sample.count, sample.through), (walls, false), "radius {radius}: {sample:?}");
            // Where inner walls come to a sharp corner the way from wall to wall cuts it: up to a seventh is left out.
            let least = if sample.corner { 0.86 * thick(walls) } else { thick(walls) - 0.02 };
            assert!((least..thick(walls) + 0.1).contains(&sample.thickness_mm), "radius {radius}: {sample:?}");
        }
    }
}

#[test]
fn only_what_lies_against_the_wall_before_counts() {
    let outline = plate(vec![]);
    let middle = |pieces: &[WallPiece]| {
        let probe = WallProbe::new(pieces, &outline);
        probe.count(Point::new(22.0, 20.0), Point::new(0.0, 1.0))
    };
    let along = |y: f64| piece((10.0, 20.0 + y), (34.0, 20.0 + y));
    let counted = |got: Counted| (got.count, (got.thickness_mm * 1e6).round() / 1e6, got.through);
    // Two walls and a third beyond the reach of 0.54 mm; the same within it; and within it, but too far for one face's walls.
    assert_eq!(counted(middle(&[along(0.225), along(0.625), along(1.17)])), (2, 0.85, false));
    assert_eq!(counted(middle(&[along(0.225), along(0.625), along(1.06)])), (3, 1.285, false));
    let gap = PITCH + 0.5 * (WIDE_GAP * REACH - PITCH + REACH - PITCH);
    assert_eq!(counted(middle(&[along(0.225), along(0.625), along(0.625 + gap)])), (2, 0.85, false));
    // One bead laid twice (nearer than 0.3 widths) is one bead.
    assert_eq!(counted(middle(&[along(0.225), along(0.3), along(0.625)])), (2, 0.85, false));
    assert_eq!(counted(middle(&[along(0.225), along(0.365), along(0.625)])), (3, 0.85, false));
    // A first bead too far in is no wall of this edge, nor is one that crosses at 25°; at 15° it is.
    assert_eq!(counted(middle(&[along(0.4)])), (0, 0.0, false));
    assert_eq!(counted(middle(&[along(0.31)])), (1, 0.535, false));
    let slanted = |degrees: f64| {
        let (s, c) = degrees.to_radians().sin_cos();
        piece((22.0 - 3.0 * c, 20.625 - 3.0 * s), (22.0 + 3.0 * c, 20.625 + 3.0 * s))
    };
    assert_eq!(middle(&[along(0.225), slanted(25.0)]).count, 1);
    assert_eq!(middle(&[along(0.225), slanted(15.0)]).count, 2);
    assert_eq!(counted(middle(&[])), (0, 0.0, false));
}

/// What is counted on the long sides of a rib 24 mm long whose beads lie at these places across it, half a bead of plastic
/// outside of the first and the last.
fn rib(across: &[f64]) -> Vec<WallSample> {
    let width = across[across.len() - 1] + 0.5 * WIDTH;
    // Another rib stands 0.3 mm behind it; whichever comes first, the nearer face counts.
    let behind = Polygon { outer: rectangle(10.0, 20.3 + width, 34.0, 21.5 + width), holes: vec![] };
    let outline = [behind, Polygon { outer: rectangle(10.0, 20.0, 34.0, 20.0 + width), holes: vec![] }];
    let pieces: Vec<WallPiece> = across.iter().map(|y| piece((10.225, 20.0 + y), (33.775, 20.0 + y))).collect();
    let rings = WallProbe::new(&pieces, &outline).samples(&outline);
    let long_side = |s: &&WallSample| s.at.x > 10.3 && s.at.x < 33.7 && (s.at.y < 20.01 || s.at.y > 19.99 + width);
    rings[1].iter().filter(long_side).copied().collect()
}

#[test]
fn a_rib_counts_through_to_its_far_face() {
    let all = |across: &[f64], count, thickness_mm, through| {
        let met = rib(across);
        assert!(met.len() > 40);
        met.iter().for_each(|sample| assert_counted(sample, count, thickness_mm, through));
    };
    // As wide as three beads: three walls on either side, and its own width of 1.25 mm, near its ends as well.
    all(&[0.225, 0.625, 1.025], 3, 1.25, true);
    // Where two faces meet their walls may lie a little further apart, once or on both sides of a bead in the middle.
    all(&[0.225, 0.625, 1.135, 1.535], 4, 1.76, true);
    all(&[0.225, 0.735, 1.245], 3, 1.47, true);
    // Of three loops that fill a bar the walls of both faces count, right up to where its ends begin.
    let bar = [10.0, 20.0, 34.0, 20.0 + thick(6)];
    let outline = vec![Polygon { outer: rectangle(bar[0], bar[1], bar[2], bar[3]), holes: vec![] }];
    let pieces = loops(bar, 3, 1.0);
    let rings = WallProbe::new(&pieces, &outline).samples(&outline);
    let inner: Vec<&WallSample> = rings[0].iter().filter(|s| s.at.x > 11.3 && s.at.x < 32.7).collect();
    assert!(inner.iter().any(|s| s.corner) && inner.iter().any(|s| !s.corner));
    inner.into_iter().for_each(|sample| assert_counted(sample, 6, thick(6), true));
    // Three such gaps are no two faces that meet: one wall each.
    for sample in rib(&[0.225, 0.735, 1.245, 1.755]).iter().filter(|s| !s.corner) {
        assert_counted(sample, 1, thick(1), false);
    }
    // With 0.35 mm of nothing in the middle each face has one wall of its own.
    for sample in rib(&[0.225, 1.025]).iter().filter(|s| !s.corner) {
        assert_counted(sample, 1, thick(1), false);
    }
}

fn sample(count: u32, corner: bool) -> WallSample {
    let thickness_mm = if count == 0 { 0.0 } else { thick(count) };
    WallSample { at: Point::new(f64::from(count), 7.0), count, thickness_mm, through: false, corner }
}

#[test]
fn the_least_is_a_stretch_and_not_a_lone_point() {
    let ring = |counts: &[u32]| counts.iter().map(|&count| sample(count, false)).collect::<Vec<_>>();
    let min = |rings: &[Vec<WallSample>]| summed_up(rings).min.map(|m| m.0);
    assert_eq!(min(&[ring(&[4, 4, 1, 4, 4, 1, 1, 4, 4, 4])]), Some(4));
    assert_eq!(min(&[ring(&[4, 4, 1, 2, 1, 4, 4])]), Some(2));
    // A ring has no end, and the least of all rings counts.
    assert_eq!(min(&[ring(&[3, 5, 5, 5, 5, 2, 3])]), Some(3));
    assert_eq!(min(&[ring(&[4, 4, 1, 4, 4, 1, 1, 4])]), Some(4));
    assert_eq!(min(&[ring(&[5, 5, 5, 5]), ring(&[3, 3, 3, 3])]), Some(3));
    let summed = summed_up(&[ring(&[4, 4, 1, 2, 1, 4, 4])]);
    assert_eq!(summed.min, Some((2, Point::new(2.0, 7.0))));
    assert_eq!(summed.thickness_min, Some((thick(2), Point::new(2.0, 7.0))));
    assert_eq!(summed_up(&[]), Walls::default());
}

#[test]
fn percentiles_are_of_straight_points_and_medians_of_all() {
    // 40 straight points of which one has 1 wall, one 2 and the rest 5; and 50 at corners with 3: the 5th percentile is the
    // third of 40, the median the 46th of 90.
    let mut ring = vec![sample(1, false), sample(2, false)];
    ring.extend((0..38).map(|_| sample(5, false)));
    ring.extend((0..50).map(|_| sample(3, true)));
    let summed = summed_up(&[ring.clone()]);
    assert_eq!((summed.p05, summed.median), (Some(5), Some(3)));
    assert_eq!(summed.thickness_p05_mm, Some(thick(5)));
    assert_eq!(summed.thickness_median_mm, Some(thick(3)));
    // With one more of the thin ones it is the third.
    ring.push(sample(2, false));
    let summed = summed_up(&[ring]);
    assert_eq!((summed.p05, summed.thickness_p05_mm), (Some(2), Some(thick(2))));
}

#[test]
fn the_way_from_wall_to_wall_takes_what_lies_against_the_one_before() {
    let walk = |outline: &[Polygon], across: &[f64]| {
        let pieces: Vec<WallPiece> = across.iter().map(|y| piece((10.0, 20.0 + y), (34.0, 20.0 + y))).collect();
        let counted = WallProbe::new(&pieces, outline).walk(Point::new(22.0, 20.0), Point::new(0.0, 1.0));
        counted.map(|c| (c.count, (c.thickness_mm * 1e6).round() / 1e6, c.through))
    };
    let (plate, rib) =
        (plate(vec![]), |width: f64| vec![Polygon { outer: rectangle(10.0, 20.0, 34.0, 20.0 + width), holes: vec![] }]);
    // Half a bead beyond the last wall, or to the far face where that lies within three quarters of one (0.3375 mm).
    assert_eq!(walk(&plate, &[0.225, 0.625, 1.025]), Some((3, 1.25, false)));
    assert_eq!(walk(&rib(1.27), &[0.225, 0.625, 1.025]), Some((3, 1.27, true)));
    assert_eq!(walk(&rib(1.35), &[0.225, 0.625, 1.025]), Some((3, 1.35, true)));
    assert_eq!(walk(&rib(1.4), &[0.225, 0.625, 1.025]), Some((3, 1.25, false)));
    // Within the reach of 0.54 mm and beyond it; the first wall within 0.315 mm of the edge and beyond that.
    assert_eq!(walk(&plate, &[0.225, 0.755]), Some((2, 0.98, false)));
    assert_eq!(walk(&plate, &[0.225, 0.775]), Some((1, 0.45, false)));
    assert_eq!(walk(&plate, &[0.31]), Some((1, 0.535, false)));
    assert_eq!(walk(&plate, &[0.32]), None);
}

#[test]
fn a_ray_crosses_a_rib_whose_far_face_runs_along_the_near_one() {
    let crosses = |outer: &[(f64, f64)], thickness_mm: f64| {
        let outer = outer.iter().map(|&(x, y)| Point::new(x, y)).collect();
        let outline = [Polygon { outer, holes: vec![] }];
        let pieces = [piece((10.0, 20.225), (34.0, 20.225))];
        WallProbe::new(&pieces, &outline).crosses_rib(Point::new(20.0, 20.0), Point::new(0.0, 1.0), thickness_mm)
    };
    // Straight across; across a wedge of 15 degrees and of 21 (20 are allowed), both 4 mm thick there.
    assert!(crosses(&[(10.0, 20.0), (34.0, 20.0), (34.0, 24.0), (10.0, 24.0)], 4.0));
    let wedge = |degrees: f64| {
        let rise = 10.0 * degrees.to_radians().tan();
        [(10.0, 20.0), (30.0, 20.0), (30.0, 24.0 + rise), (10.0, 24.0 - rise)]
    };
    assert!(crosses(&wedge(15.0), 4.0));
    assert!(!crosses(&wedge(21.0), 4.0));
}

/// Which points of a ring, one a millimetre, are near a corner, with one wall along it.
fn corners(ring: &[Point]) -> Vec<WallSample> {
    // The wall's middle lies half a bead within each side; its ends do not matter here.
    let pieces: Vec<WallPiece> = edges_of(&ring.to_vec())
        .map(|side| {
            let off = side.direction().unwrap().left() * (0.5 * WIDTH);
            WallPiece { segment: Segment::new(side.from + off, side.to + off), width_mm: WIDTH, reach_mm: REACH }
        })
        .collect();
    let outline = [Polygon { outer: ring.to_vec(), holes: vec![] }];
    let samples = WallProbe::new(&pieces, &outline).samples(&outline).remove(0);
    assert!(samples.iter().all(|s| s.count == 1), "{samples:?}");
    samples.into_iter().filter(|s| s.corner).collect()
}

#[test]
fn a_corner_turns_sharply_one_way_or_the_other() {
    // With one wall of 0.45 mm whatever lies within 0.9 mm of a corner is near it: one point on either side.
    let step = [(0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (12.0, 10.0), (12.0, 22.0), (0.0, 22.0)];
    let step = step.map(|(x, y)| Point::new(50.0 + x, 70.0 + y));
    assert_eq!(corners(&step).len(), 2 * 6);
    // Where the ring begins does not matter, nor a point in the middle of a side.
    let begun = [&[Point::new(65.0, 70.0)], &step[1..], &step[..1]].concat();
    let near = corners(&begun);
    assert_eq!(near.len(), 2 * 6);
    assert!(near.iter().all(|s| step.iter().any(|corner| corner.distance(s.at) < 0.9)), "{near:?}");
    // Regular rings with sides of 10 mm: eight corners of 45 degrees; of 20 degrees none is a corner.
    let regular = |count: u32| {
        let radius = 5.0 / (std::f64::consts::PI / f64::from(count)).sin();
        let at = |i: u32| (std::f64::consts::TAU * f64::from(i) / f64::from(count)).sin_cos();
        (0..count).map(|i| Point::new(90.0 + radius * at(i).1, 60.0 + radius * at(i).0)).collect::<Vec<Point>>()
    };
    assert_eq!(corners(&regular(8)).len(), 2 * 8);
    assert_eq!(corners(&regular(18)).len(), 0);
    // Rounded by 1.5 mm, with a point every 10 degrees, it turns by 20 degrees in a bead's width.
    assert_eq!(corners(&rounded(1.5, 0.0)).len(), 0);
}

#[test]
fn round_a_short_ring_only_a_sharp_turn_is_a_corner() {
    // 6.2 mm round, so that a zone of 4 mm to both sides is all of it, and more than once.
    let ring = |count: u32| {
        let at = |i: u32| (std::f64::consts::TAU * f64::from(i) / f64::from(count)).sin_cos();
        (0..count).map(|i| Point::new(7.0 + at(i).1, -3.0 + at(i).0)).collect::<Vec<Point>>()
    };
    let is_corner = |count: u32| {
        let ring = ring(count);
        Track::new(&ring).bends_near(1.0, 4.0, 3.0, |turn| turn.abs() > CORNER_TURN)
    };
    // 36 degrees at each point, and 22.5: as many as there are make up a whole turn within the zone.
    assert!(is_corner(10));
    assert!(!is_corner(16));
}

#[test]
fn a_wall_whose_nearest_end_is_far_off_is_not_the_next() {
    // Seen from the origin it runs straight away, so only its distance counts: four widths, 1.8 mm, are looked at.
    let begins_at = |distance: f64| {
        let away = Point::new(0.6, 0.8);
        let (from, to) = (away * distance, away * (distance + 2.0));
        let pieces = [piece((from.x, from.y), (to.x, to.y))];
        WallProbe::new(&pieces, &[]).next_wall(Point::default(), Point::new(0.0, 1.0), None, 0.0).is_some()
    };
    assert!(begins_at(1.75));
    assert!(!begins_at(1.85));
}

#[test]
fn an_edge_of_kilometres_is_looked_at_a_hundred_thousand_times() {
    let spots = |side: f64| Track::new(&rectangle(0.0, 0.0, side, side)).spots();
    assert_eq!((spots(10.0).len(), spots(0.1).len(), spots(1e6).len()), (40, 4, 100_000));
    assert!((spots(1e6)[99_999] - (4e6 - 20.0)).abs() < 1e-6);
}

/// Seen from the origin both walls of a corner at (0.1, 0.3) mm begin equally far off; the upright one lies 0.1 mm aside.
#[test]
fn of_two_walls_that_meet_in_a_corner_the_one_ahead_is_the_next() {
    let (ahead, aside) = (piece((0.1, 0.3), (3.0, 0.3)), piece((0.1, 3.0), (0.1, 0.3)));
    for pieces in [[ahead, aside], [aside, ahead]] {
        let next = WallProbe::new(&pieces, &[]).next_wall(Point::default(), Point::new(0.0, 1.0), None, 0.0);
        let (_, found, off_mm) = next.unwrap();
        assert_eq!(found, ahead);
        assert!((off_mm - 0.3).abs() < 1e-9, "{off_mm}");
    }
}
