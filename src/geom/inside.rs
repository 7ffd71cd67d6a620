//! Polygons sorted so that many points can be asked whether they lie inside.

use super::{Point, Polygon};

/// Polygons with their edges sorted into bands of y: a point asks only the edges of its own band.
///
/// ```
/// use beadwise::geom::{Inside, Point, Polygon};
/// let outer = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)].map(|(x, y)| Point::new(x, y)).to_vec();
/// let inside = Inside::of(&[Polygon { outer, holes: Vec::new() }]);
/// assert!(inside.contains(Point::new(1.0, 2.0)) && !inside.contains(Point::new(5.0, 2.0)));
/// ```
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Inside {
    low_y: f64,
    bands_per_mm: f64,
    /// Where the edges of each band begin in `edges`, and one more for the end.
    starts: Vec<usize>,
    edges: Vec<Edge>,
}

/// An edge of a ring.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Edge {
    from: Point,
    to: Point,
    polygon: u32,
    /// Counted within its polygon; 0 is the outer ring.
    ring: u32,
}

impl Edge {
    fn is_right_of(&self, point: Point) -> bool {
        let (a, b) = (self.from, self.to);
        (a.y > point.y) != (b.y > point.y) && point.x < a.x + (b.x - a.x) * (point.y - a.y) / (b.y - a.y)
    }
}

/// Bands that an edge lies in on the mean, at most.
const MEAN_BANDS: f64 = 4.0;

impl Inside {
    /// Sorts the edges of polygons.
    #[must_use]
    pub fn of(polygons: &[Polygon]) -> Self {
        let edges: Vec<Edge> =
            polygons.iter().zip(0..).flat_map(|(polygon, number)| numbered_edges(polygon, number)).collect();
        let (mut low_y, mut high_y, mut climbed_mm) = (f64::INFINITY, f64::NEG_INFINITY, 0.0);
        for edge in &edges {
            low_y = low_y.min(edge.from.y);
            high_y = high_y.max(edge.from.y);
            climbed_mm += (edge.to.y - edge.from.y).abs();
        }
        let count = edges.len() as f64;
        let band_mm = ((high_y - low_y) / count).max(climbed_mm / (MEAN_BANDS * count));
        if !(band_mm.is_finite() && band_mm > 0.0) {
            return Self::default();
        }
        let bands = ((high_y - low_y) / band_mm) as usize + 1;
        let mut inside = Self { low_y, bands_per_mm: 1.0 / band_mm, starts: vec![0; bands + 1], edges: Vec::new() };
        inside.sort(&edges);
        inside
    }

    fn sort(&mut self, edges: &[Edge]) {
        let last = self.starts.len() - 2;
        let of = |edge: &Edge| {
            let (a, b) = (self.band(edge.from.y).min(last), self.band(edge.to.y).min(last));
            a.min(b)..=a.max(b)
        };
        let spans: Vec<std::ops::RangeInclusive<usize>> = edges.iter().map(of).collect();
        for band in spans.iter().cloned().flatten() {
            self.starts[band + 1] += 1;
        }
        for band in 0..=last {
            self.starts[band + 1] += self.starts[band];
        }
        let mut next = self.starts.clone();
        self.edges = vec![Edge::default(); self.starts[last + 1]];
        for (edge, span) in edges.iter().zip(spans) {
            for band in span {
                self.edges[next[band]] = *edge;
                next[band] += 1;
            }
        }
    }

    /// Below all bands is the first by the cast, and so is what is no number.
    fn band(&self, y: f64) -> usize {
        ((y - self.low_y) * self.bands_per_mm) as usize
    }

    /// Whether `point` lies inside any of the polygons: the same as asking each of them.
    #[must_use]
    pub fn contains(&self, point: Point) -> bool {
        let band = self.band(point.y);
        let (Some(&from), Some(&to)) = (self.starts.get(band), self.starts.get(band + 1)) else { return false };
        // The polygon whose outer ring goes round the point, as long as no hole of it does.
        let mut around = None;
        for ring in self.edges[from..to].chunk_by(|a, b| (a.polygon, a.ring) == (b.polygon, b.ring)) {
            let Edge { polygon, ring: number, .. } = ring[0];
            if around.is_some_and(|found| found != polygon) {
                return true;
            }
            if ring.iter().filter(|edge| edge.is_right_of(point)).count() % 2 == 1 {
                around = (number == 0).then_some(polygon);
            }
        }
        around.is_some()
    }
}

fn numbered_edges(polygon: &Polygon, number: u32) -> impl Iterator<Item = Edge> {
    polygon.rings().zip(0..).flat_map(move |(ring, ring_number)| {
        let ends = ring.iter().zip(ring.iter().cycle().skip(1));
        ends.map(move |(&from, &to)| Edge { from, to, polygon: number, ring: ring_number })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nothing_and_flat_rings_hold_no_point() {
        assert!(!Inside::of(&[]).contains(Point::default()));
        let flat = Polygon { outer: vec![Point::new(0.0, 1.0), Point::new(5.0, 1.0)], holes: Vec::new() };
        assert!(!Inside::of(&[flat]).contains(Point::new(2.0, 1.0)));
    }

    proptest! {
        #[test]
        fn says_what_asking_every_polygon_says(
            rings in prop::collection::vec(prop::collection::vec((0_i8..9, 0_i8..9), 1..8), 1..6),
            points in prop::collection::vec((-1.0f64..10.0, -1.0f64..10.0), 40),
        ) {
            let corner = |c: &(i8, i8)| Point::new(f64::from(c.0), f64::from(c.1));
            let rings: Vec<Vec<Point>> = rings.iter().map(|ring| ring.iter().map(corner).collect()).collect();
            let polygons: Vec<Polygon> = rings
                .chunks(3)
                .map(|rings| Polygon { outer: rings[0].clone(), holes: rings[1..].to_vec() })
                .collect();
            let inside = Inside::of(&polygons);
            let on_corners = rings.iter().flatten().copied();
            for point in points.iter().map(|p| Point::new(p.0, p.1)).chain(on_corners) {
                prop_assert_eq!(inside.contains(point), polygons.iter().any(|p| p.contains(point)));
            }
        }
    }
}
