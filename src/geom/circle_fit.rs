//! Circles through points, and the widest circle that fits in a polygon.

use super::{Point, Polygon, box_of};
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// A circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circle {
    /// Centre, mm.
    pub centre: Point,
    /// Radius, mm.
    pub radius_mm: f64,
}

/// A circle fitted to points, and how well it fits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CircleFit {
    /// The circle of least squared distance.
    pub circle: Circle,
    /// Largest distance of a point from it, mm.
    pub worst_mm: f64,
}

/// The circle of least squared distance to the points; `None` for fewer than three or for points on a line.
///
/// Starts from the algebraic fit (Kåsa 1976: linear least squares for x² + y² = 2 a x + 2 b y + c),
/// which is exact for exact points but shrinks short noisy arcs, and mends that by Gauss-Newton steps
/// on the true distances (N. Chernov, Circular and Linear Regression, 2010, ch. 4-5; from memory).
#[must_use]
pub fn fit_circle(points: &[Point]) -> Option<CircleFit> {
    let first = algebraic_fit(points)?;
    let mut circle = first;
    for _ in 0..8 {
        let Some(step) = newton_step(points, circle) else { break };
        circle.centre = circle.centre + step.0;
        circle.radius_mm += step.1;
        if step.0.length() + step.1.abs() < 1e-9 * first.radius_mm {
            break;
        }
    }
    let fit = [circle, first].map(|c| CircleFit { circle: c, worst_mm: worst_distance(points, c) });
    // Steps that ran away (points nearly on a line) leave the algebraic fit as the better one.
    let best = if fit[0].worst_mm <= 2.0 * fit[1].worst_mm { fit[0] } else { fit[1] };
    (best.worst_mm.is_finite() && best.circle.radius_mm > 0.0).then_some(best)
}

fn worst_distance(points: &[Point], circle: Circle) -> f64 {
    points
        .iter()
        .map(|p| (p.distance(circle.centre) - circle.radius_mm).abs())
        .fold(0.0, |worst, d| if d > worst || d.is_nan() { d } else { worst })
}

fn mean(points: &[Point]) -> Point {
    points.iter().fold(Point::default(), |sum, &p| sum + p) * (1.0 / points.len() as f64)
}

fn algebraic_fit(points: &[Point]) -> Option<Circle> {
    let n = points.len() as f64;
    let middle = mean(points);
    let (mut xx, mut yy, mut xy, mut xr, mut yr, mut r) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for p in points.iter().map(|&p| p - middle) {
        let square = p.dot(p);
        xx += p.x * p.x;
        yy += p.y * p.y;
        xy += p.x * p.y;
        xr += p.x * square;
        yr += p.y * square;
        r += square;
    }
    let det = xx * yy - xy * xy;
    // Points on a line have no spread across it, nor have two points or one.
    let spread = det > 1e-12 * (xx + yy) * (xx + yy);
    if !spread {
        return None;
    }
    let centre = Point::new((xr * yy - yr * xy) / (2.0 * det), (yr * xx - xr * xy) / (2.0 * det));
    let radius_mm = (centre.dot(centre) + r / n).sqrt();
    radius_mm.is_finite().then_some(Circle { centre: middle + centre, radius_mm })
}

/// One Gauss-Newton step of centre and radius.
fn newton_step(points: &[Point], circle: Circle) -> Option<(Point, f64)> {
    let n = points.len() as f64;
    let (mut u, mut uu, mut uv, mut vv) = (Point::default(), 0.0, 0.0, 0.0);
    let (mut residual, mut ur) = (0.0, Point::default());
    for &p in points {
        let out = (p - circle.centre).unit()?;
        let d = p.distance(circle.centre) - circle.radius_mm;
        u = u + out;
        uu += out.x * out.x;
        uv += out.x * out.y;
        vv += out.y * out.y;
        residual += d;
        ur = ur + out * d;
    }
    // Normal equations with the radius taken out: it shifts by the mean residual less the centre's part.
    let (a, b, c) = (uu - u.x * u.x / n, uv - u.x * u.y / n, vv - u.y * u.y / n);
    let (p, q) = (ur.x - u.x * residual / n, ur.y - u.y * residual / n);
    let det = a * c - b * b;
    let spread = det > 1e-12 * (a + c) * (a + c);
    if !spread {
        return None;
    }
    let move_by = Point::new((p * c - q * b) / det, (q * a - p * b) / det);
    Some((move_by, (residual - u.dot(move_by)) / n))
}

/// A square cell of the search, ordered by the widest circle that could have its centre in it.
#[derive(PartialEq)]
struct Cell {
    reach_mm: f64,
    centre: Point,
    half_mm: f64,
}

impl Cell {
    fn new(centre: Point, half_mm: f64, depth_mm: f64) -> Self {
        Self { reach_mm: depth_mm + half_mm * std::f64::consts::SQRT_2, centre, half_mm }
    }
}

impl Eq for Cell {}

impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Cell {
    fn cmp(&self, other: &Self) -> Ordering {
        self.reach_mm.total_cmp(&other.reach_mm)
    }
}

/// The widest circle that fits inside the polygon, to within `tolerance_mm` of its radius.
///
/// Cells of a square grid are split where they could still hold a wider circle than the best one
/// found, the most promising first (branch and bound: the distance to the edge changes by at most
/// the step taken).
#[must_use]
pub fn widest_circle(polygon: &Polygon, tolerance_mm: f64) -> Option<Circle> {
    widest_up_to(polygon, tolerance_mm, f64::INFINITY)
}

/// Whether a circle of the given radius fits inside the polygon; quicker than to find the widest.
#[must_use]
pub fn holds_circle(polygon: &Polygon, radius_mm: f64) -> bool {
    widest_up_to(polygon, 0.02 * radius_mm, radius_mm).is_some_and(|c| c.radius_mm >= radius_mm)
}

/// The search, which stops at the first circle of radius `enough_mm`.
fn widest_up_to(polygon: &Polygon, tolerance_mm: f64, enough_mm: f64) -> Option<Circle> {
    let (low, high) = box_of(&polygon.outer)?;
    let size = (high.x - low.x).min(high.y - low.y);
    if size <= 0.0 || !size.is_finite() {
        return None;
    }
    let half = size / 2.0;
    let mut best = Circle { centre: low, radius_mm: 0.0 };
    let mut cells = BinaryHeap::new();
    let mut look_at = |centre: Point, half: f64, cells: &mut BinaryHeap<Cell>| {
        let depth = depth_inside(polygon, centre);
        if depth > best.radius_mm {
            best = Circle { centre, radius_mm: depth };
        }
        if depth + half * std::f64::consts::SQRT_2 > best.radius_mm + tolerance_mm {
            cells.push(Cell::new(centre, half, depth));
        }
        best.radius_mm
    };
    let mut widest = 0.0;
    // A polygon 400 times longer than wide is a sliver; the cap keeps a spike from filling the memory.
    let count = |span: f64| ((span / size).ceil() as usize).clamp(1, 400);
    for i in 0..count(high.x - low.x) {
        for j in 0..count(high.y - low.y) {
            widest = look_at(low + Point::new(size * i as f64 + half, size * j as f64 + half), half, &mut cells);
        }
    }
    while let Some(cell) = cells.pop() {
        let hopeless = enough_mm.is_finite() && cell.reach_mm < enough_mm;
        if hopeless || widest >= enough_mm || cell.reach_mm <= widest + tolerance_mm {
            break;
        }
        let quarter = cell.half_mm / 2.0;
        for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
            widest = look_at(cell.centre + Point::new(x, y) * quarter, quarter, &mut cells);
        }
    }
    (best.radius_mm > 0.0).then_some(best)
}

/// Distance to the nearest edge, positive inside the polygon.
fn depth_inside(polygon: &Polygon, at: Point) -> f64 {
    let (mut nearest, mut inside) = (f64::INFINITY, false);
    for ring in polygon.rings() {
        for (i, &a) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()];
            if (a.y > at.y) != (b.y > at.y) && at.x < (b.x - a.x) * (at.y - a.y) / (b.y - a.y) + a.x {
                inside = !inside;
            }
            let along = b - a;
            let square = along.dot(along);
            let t = if square > 0.0 { ((at - a).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
            nearest = nearest.min(at.distance(a.lerp(b, t)));
        }
    }
    if inside { nearest } else { -nearest }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    fn arc(centre: Point, radius: f64, from_deg: f64, to_deg: f64, count: usize) -> Vec<Point> {
        (0..count)
            .map(|i| {
                let angle = (from_deg + (to_deg - from_deg) * i as f64 / (count - 1) as f64).to_radians();
                centre + Point::new(angle.cos(), angle.sin()) * radius
            })
            .collect()
    }

    #[test]
    fn points_on_a_line_or_too_few_have_no_circle() {
        let line: Vec<Point> = (0..9).map(|i| Point::new(f64::from(i) * 0.7, 3.0 - f64::from(i) * 0.2)).collect();
        assert!(fit_circle(&line).is_none());
        assert!((0..3).all(|few| fit_circle(&line[..few]).is_none()));
    }

    // A bow over a chord of eight has the radius (c²/4 + h²) / 2h, whatever its size; too flat a one is a line.
    #[test]
    fn a_flat_bow_is_a_circle_and_a_flatter_one_a_line_at_any_size() {
        for size in [1e-3, 1.0, 1e3] {
            let bow = |rise: f64| {
                let radius = (16.0 + rise * rise) / (2.0 * rise);
                let height = |x: f64| (rise - x * x / (radius + (radius * radius - x * x).sqrt())) * size;
                (-4..=4).map(|x| Point::new(f64::from(x) * size, height(f64::from(x)))).collect::<Vec<Point>>()
            };
            let flat = fit_circle(&bow(1e-3)).unwrap();
            assert!((flat.circle.radius_mm / (8e3 * size) - 1.0).abs() < 1e-3, "{size}: {flat:?}");
            assert!(flat.worst_mm < 1e-8 * size, "{size}: {flat:?}");
            assert_eq!(fit_circle(&bow(1e-7)), None, "{size}");
        }
    }

    #[test]
    fn a_short_noisy_arc_keeps_its_radius() {
        let centre = Point::new(40.0, -3.0);
        let points: Vec<Point> = arc(centre, 10.0, 10.0, 80.0, 41)
            .iter()
            .enumerate()
            .map(|(i, &p)| p + (p - centre) * (if i % 2 == 0 { 0.002 } else { -0.002 }))
            .collect();
        let fit = fit_circle(&points).unwrap();
        assert!((fit.circle.radius_mm - 10.0).abs() < 0.02, "{fit:?}");
        assert!((fit.worst_mm - 0.02).abs() < 0.005, "{fit:?}");
    }

    // Gander, Golub and Strebel, Least-squares fitting of circles and ellipses, BIT 34 (1994) 558: six points, least squared
    // distance (from memory: centre 4.7398, 2.9835, radius 4.7142, sum of squares 1.2276; the digits were searched again).
    #[test]
    fn six_published_points() {
        let points =
            [(1.0, 7.0), (2.0, 6.0), (5.0, 8.0), (7.0, 7.0), (9.0, 5.0), (3.0, 7.0)].map(|(x, y)| Point::new(x, y));
        let fit = fit_circle(&points).unwrap();
        assert!(fit.circle.centre.distance(Point::new(4.739_782, 2.983_533)) < 1e-5, "{fit:?}");
        assert!((fit.circle.radius_mm - 4.714_226).abs() < 1e-5, "{fit:?}");
        let squares: f64 = points.iter().map(|p| (p.distance(fit.circle.centre) - fit.circle.radius_mm).powi(2)).sum();
        assert!((squares - 1.227_599).abs() < 1e-6);
        assert!((fit.worst_mm - 0.773_759).abs() < 1e-5);
        // The linear fit alone is half a millimetre off (x² + y² = 2 a x + 2 b y + c, solved apart).
        let linear = algebraic_fit(&points).unwrap();
        assert!(linear.centre.distance(Point::new(4.742_331, 3.835_123)) < 1e-5, "{linear:?}");
        assert!((linear.radius_mm - 4.108_762).abs() < 1e-5);
    }

    // Of two circles the one with the lesser sum of squares is the answer, though its farthest point lies 1.4 times as far off.
    #[test]
    fn the_least_squares_count_and_not_the_farthest_point() {
        let points =
            [(0.0, 21.0), (10.0, -11.0), (20.0, 3.0), (30.0, 0.0), (40.0, -29.0)].map(|(x, y)| Point::new(x, y));
        let squares = |c: Circle| points.iter().map(|p| (p.distance(c.centre) - c.radius_mm).powi(2)).sum::<f64>();
        let (fit, linear) = (fit_circle(&points).unwrap(), algebraic_fit(&points).unwrap());
        assert!(fit.worst_mm > 1.3 * worst_distance(&points, linear), "{fit:?} {linear:?}");
        assert!(squares(fit.circle) < squares(linear), "{fit:?} {linear:?}");
    }

    #[test]
    fn the_linear_fit_is_exact_for_exact_points() {
        for (x, y, radius) in [(40.0, -3.0, 10.0), (-7.5, 220.0, 0.8)] {
            let centre = Point::new(x, y);
            let linear = algebraic_fit(&arc(centre, radius, 20.0, 200.0, 7)).unwrap();
            assert!(linear.centre.distance(centre) < 1e-9 && (linear.radius_mm - radius).abs() < 1e-9, "{linear:?}");
        }
    }

    #[test]
    fn widest_circle_of_a_rectangle_with_a_hole() {
        let ring = |x0: f64, y0: f64, x1: f64, y1: f64| {
            vec![Point::new(x0, y0), Point::new(x1, y0), Point::new(x1, y1), Point::new(x0, y1)]
        };
        let plain = Polygon { outer: ring(5.0, 1.0, 25.0, 7.0), holes: Vec::new() };
        assert!((widest_circle(&plain, 0.005).unwrap().radius_mm - 3.0).abs() < 0.006);
        let holed = Polygon { outer: plain.outer, holes: vec![ring(9.0, 1.5, 25.0, 6.5)] };
        assert!(holds_circle(&holed, 1.95) && !holds_circle(&holed, 2.05));
        // Left of the hole a 4 mm wide strip is left, so the circle touches three sides.
        let left = widest_circle(&holed, 0.005).unwrap();
        assert!((left.radius_mm - 2.0).abs() < 0.006, "{left:?}");
    }

    // The incircle of a 3-4-5 triangle has the radius 1, (a + b - c) / 2, and touches both legs; three or four times as large
    // and elsewhere it is as much larger.
    #[test]
    fn widest_circle_of_right_triangles() {
        for (x, y, size) in [(0.0, 0.0, 1.0), (-20.0, 35.0, 3.0), (140.0, -60.0, 4.0)] {
            // The right angle in each of the four corners of its box.
            for (along, up) in [(1.0, 1.0), (-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0)] {
                let at = |u: f64, v: f64| Point::new(x + along * size * u, y + up * size * v);
                let (outer, middle) = (vec![at(0.0, 0.0), at(4.0, 0.0), at(0.0, 3.0)], at(1.0, 1.0));
                let triangle = Polygon { outer, holes: Vec::new() };
                let widest = widest_circle(&triangle, 0.002 * size).unwrap();
                assert!((widest.radius_mm - size).abs() < 0.003 * size, "{widest:?}");
                assert!(widest.centre.distance(middle) < 0.1 * size, "{widest:?}");
                assert!(holds_circle(&triangle, 0.97 * size) && !holds_circle(&triangle, 1.03 * size));
            }
        }
    }

    // A corridor 2 mm wide and 60 mm long with a room of 6 x 6 mm at one end: the circle of 3 mm lies there, however it is turned.
    #[test]
    fn widest_circle_at_the_end_of_a_corridor() {
        let plan =
            [(0.0, 0.0), (60.0, 0.0), (60.0, -2.0), (66.0, -2.0), (66.0, 4.0), (60.0, 4.0), (60.0, 2.0), (0.0, 2.0)];
        for (x, degrees) in [(5.0, 0.0), (-300.0, 0.0), (5.0, 30.0), (5.0, 90.0), (5.0, 200.0)] {
            let (s, c) = f64::to_radians(degrees).sin_cos();
            let at = |(u, v): (f64, f64)| Point::new(x + u * c - v * s, -9.0 + u * s + v * c);
            let corridor = Polygon { outer: plan.map(at).to_vec(), holes: Vec::new() };
            let widest = widest_circle(&corridor, 0.005).unwrap();
            assert!((widest.radius_mm - 3.0).abs() < 0.006, "{degrees}: {widest:?}");
            // The mouth of the corridor lets it slip by 3 - √8 mm.
            assert!(widest.centre.distance(at((63.0, 1.0))) < 0.2, "{degrees}: {widest:?}");
            assert!(holds_circle(&corridor, 2.9) && !holds_circle(&corridor, 3.1));
        }
        let flat = vec![Point::new(1.0, 2.0), Point::new(9.0, 2.0), Point::new(4.0, 2.0)];
        assert_eq!(widest_circle(&Polygon { outer: flat, holes: Vec::new() }, 0.01), None);
    }

    // A square on its corner, 10 mm across: the way out from a place at the height of two corners meets one of them.
    #[test]
    fn a_place_at_the_height_of_a_corner_is_inside_or_outside() {
        for turned in [false, true] {
            let mut outer = [(-5.0, 0.0), (0.0, -5.0), (5.0, 0.0), (0.0, 5.0)].map(|(x, y)| Point::new(x, y)).to_vec();
            if turned {
                outer.reverse();
            }
            let square = Polygon { outer, holes: Vec::new() };
            for (x, depth) in [(0.0, 5.0 / 2f64.sqrt()), (3.0, 2f64.sqrt()), (-9.0, -4.0), (9.0, -4.0)] {
                let got = depth_inside(&square, Point::new(x, 0.0));
                assert!((got - depth).abs() < 1e-9, "{x}: {got}");
            }
        }
    }

    proptest! {
        #[test]
        fn an_exact_arc_gives_its_circle(x in -200.0..200.0f64, y in -200.0..200.0f64, r in 0.5..60.0f64, from in 0.0..360.0f64, span in 60.0..350.0f64) {
            let fit = fit_circle(&arc(Point::new(x, y), r, from, from + span, 24)).unwrap();
            prop_assert!(fit.circle.centre.distance(Point::new(x, y)) < 1e-6 * r.max(1.0));
            prop_assert!((fit.circle.radius_mm - r).abs() < 1e-6 * r.max(1.0));
            prop_assert!(fit.worst_mm < 1e-6);
        }

        /// Least squares: wherever the centre is nudged, the distances scatter more.
        #[test]
        fn no_circle_beside_it_fits_better(noise in prop::collection::vec(-0.05..0.05f64, 24), span in 90.0..350.0f64) {
            let scatter = |centre: Point, points: &[Point]| {
                let distances: Vec<f64> = points.iter().map(|p| p.distance(centre)).collect();
                let mean = distances.iter().sum::<f64>() / distances.len() as f64;
                (mean, distances.iter().map(|d| (d - mean).powi(2)).sum::<f64>())
            };
            let centre = Point::new(12.0, -7.0);
            let points: Vec<Point> = arc(centre, 6.0, 15.0, 15.0 + span, 24)
                .iter()
                .zip(&noise)
                .map(|(&p, &out)| p + (p - centre) * (out / 6.0))
                .collect();
            let fit = fit_circle(&points).unwrap();
            let (mean, least) = scatter(fit.circle.centre, &points);
            prop_assert!((mean - fit.circle.radius_mm).abs() < 1e-6);
            for (x, y) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
                prop_assert!(scatter(fit.circle.centre + Point::new(x, y) * 1e-3, &points).1 > least);
            }
        }
    }
}
