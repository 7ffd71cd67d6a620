//! Lines with no more points than they need.

use super::Point;

/// The points that a line needs to stay within `within_mm` of itself (Douglas and Peucker, 1973).
#[must_use]
pub fn simplified(points: &[Point], within_mm: f64) -> Vec<Point> {
    let mut keep = vec![false; points.len()];
    let mut open = vec![(0, points.len().saturating_sub(1))];
    for end in [0, points.len().saturating_sub(1)] {
        if let Some(kept) = keep.get_mut(end) {
            *kept = true;
        }
    }
    while let Some((from, to)) = open.pop() {
        let (Some(&a), Some(&b)) = (points.get(from), points.get(to)) else { continue };
        let farthest = (from + 1..to)
            .filter_map(|i| points.get(i).map(|p| (i, distance_mm(*p, a, b))))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((at, distance)) = farthest
            && distance > within_mm
        {
            if let Some(kept) = keep.get_mut(at) {
                *kept = true;
            }
            open.extend([(from, at), (at, to)]);
        }
    }
    points.iter().zip(keep).filter_map(|(p, kept)| kept.then_some(*p)).collect()
}

/// From a point to the piece between `a` and `b`, mm.
fn distance_mm(p: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let length2 = along.dot(along);
    let t = if length2 > 0.0 { ((p - a).dot(along) / length2).clamp(0.0, 1.0) } else { 0.0 };
    a.lerp(b, t).distance(p)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_on_a_straight_line_are_not_needed() {
        let bent = [(0.0, 0.0), (1.0, 0.004), (2.0, 0.0), (2.0, 3.0)].map(|(x, y)| Point::new(x, y));
        let kept = simplified(&bent, 0.01);
        assert_eq!(kept, [bent[0], bent[2], bent[3]]);
        assert!(simplified(&[], 0.01).is_empty());
        assert_eq!(simplified(&bent[..1], 0.01), &bent[..1]);
    }
}
