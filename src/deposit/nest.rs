//! Loops and which lies within which.

use super::Bead;
use super::layer::segment_distance_mm;
use crate::geom::Point;
use rstar::{AABB, RTree, RTreeObject};

/// A closed strand as a ring of points.
#[derive(Debug, Clone, PartialEq)]
pub struct Loop {
    /// Which strand of the layer it is.
    pub strand: usize,
    /// Corners, first not repeated.
    pub ring: Vec<Point>,
    /// Area inside its centreline, mm²; positive when it runs counter-clockwise.
    pub area_mm2: f64,
    /// Length of the centreline, mm.
    pub length_mm: f64,
    /// Least and greatest x and y, mm.
    pub bounds: [Point; 2],
}

impl Loop {
    /// The loop that the beads of strand number `strand` make.
    #[must_use]
    pub fn new(strand: usize, beads: &[Bead]) -> Self {
        let ring: Vec<Point> = beads.iter().map(|b| b.from).collect();
        let mut bounds = [Point::new(f64::INFINITY, f64::INFINITY), Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY)];
        for p in &ring {
            bounds[0] = Point::new(bounds[0].x.min(p.x), bounds[0].y.min(p.y));
            bounds[1] = Point::new(bounds[1].x.max(p.x), bounds[1].y.max(p.y));
        }
        let origin = ring.first().copied().unwrap_or_default();
        let doubled: f64 =
            ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| (*a - origin).cross(*b - origin)).sum();
        let length_mm = beads.iter().map(|b| b.length_mm).sum();
        Self { strand, ring, area_mm2: 0.5 * doubled, length_mm, bounds }
    }

    /// Distance from its centreline to `p`, mm.
    #[must_use]
    pub fn distance_mm(&self, p: Point) -> f64 {
        let sides = self.ring.iter().zip(self.ring.iter().cycle().skip(1));
        sides.map(|(a, b)| segment_distance_mm(*a, *b, p)).fold(f64::INFINITY, f64::min)
    }

    /// Whether `p` lies inside (crossing count along a ray; a point on the line may go either way).
    #[must_use]
    pub fn contains(&self, p: Point) -> bool {
        if p.x < self.bounds[0].x || p.y < self.bounds[0].y || p.x > self.bounds[1].x || p.y > self.bounds[1].y {
            return false;
        }
        let mut inside = false;
        for (a, b) in self.ring.iter().zip(self.ring.iter().cycle().skip(1)) {
            if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x) {
                inside = !inside;
            }
        }
        inside
    }
}

struct Bounds {
    which: usize,
    corners: [[f64; 2]; 2],
}

impl RTreeObject for Bounds {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners(self.corners[0], self.corners[1])
    }
}

/// Loops that can be asked what lies around a point.
pub struct Nest {
    /// The loops given.
    pub loops: Vec<Loop>,
    /// For each loop the smallest loop around it.
    pub parents: Vec<Option<usize>>,
    tree: RTree<Bounds>,
}

impl Nest {
    /// Finds for each loop the smallest one around it.
    #[must_use]
    pub fn new(loops: Vec<Loop>) -> Self {
        let bounds = loops
            .iter()
            .enumerate()
            .filter(|(_, l)| !l.ring.is_empty())
            .map(|(which, l)| Bounds { which, corners: l.bounds.map(|p| [p.x, p.y]) });
        let tree = RTree::bulk_load(bounds.collect());
        let mut nest = Self { parents: Vec::new(), loops, tree };
        nest.parents = (0..nest.loops.len()).map(|i| nest.parent(i)).collect();
        nest
    }

    fn parent(&self, child: usize) -> Option<usize> {
        let lap = &self.loops[child];
        let p = *lap.ring.first()?;
        self.smallest_around(p, |other| other != child && self.loops[other].area_mm2.abs() > lap.area_mm2.abs())
    }

    /// The loops around a loop, from the next one to the outermost.
    pub fn around(&self, lap: usize) -> impl Iterator<Item = usize> {
        std::iter::successors(self.parents.get(lap).copied().flatten(), |l| self.parents.get(*l).copied().flatten())
    }

    /// The smallest loop around `p` among those that `take` accepts.
    #[must_use]
    pub fn smallest_around(&self, p: Point, take: impl Fn(usize) -> bool) -> Option<usize> {
        self.tree
            .locate_in_envelope_intersecting(AABB::from_point([p.x, p.y]))
            .map(|b| b.which)
            .filter(|i| take(*i) && self.loops[*i].contains(p))
            .min_by(|a, b| self.loops[*a].area_mm2.abs().total_cmp(&self.loops[*b].area_mm2.abs()))
    }
}
