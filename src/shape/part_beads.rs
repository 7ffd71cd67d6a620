//! The strands of a layer that belong to the part, as strips of plastic.

use crate::deposit::{Bead, Layer, Strand, WIDEST_BEAD_MM};
use crate::geom::Point;
use crate::profile::Role;

/// One strand of the part with the role that geometry gave it.
#[derive(Debug, Clone, Copy)]
pub(super) struct PartStrand<'a> {
    pub strand: &'a Strand,
    pub role: Role,
    pub beads: &'a [Bead],
}

/// Every strand of the part; `roles` goes with [`Layer::strands`], and the strand's own role fills in where it is short.
pub(super) fn part_strands<'a>(layer: &'a Layer, roles: &'a [Role]) -> impl Iterator<Item = PartStrand<'a>> {
    layer.strands.iter().enumerate().filter_map(move |(i, strand)| {
        let role = roles.get(i).copied().unwrap_or(strand.role);
        let beads = layer.beads.get(strand.beads.clone())?;
        role.is_part().then_some(PartStrand { strand, role, beads })
    })
}

/// Width of a bead as a strip of the layer's full height, mm: A/h.
///
/// Neighbouring beads of a full layer stand at this pitch, so strips of it neither overlap nor leave gaps.
pub(super) fn strip_width_mm(bead: &Bead, height_mm: f64) -> f64 {
    if height_mm > 0.0 { (bead.area_mm2 / height_mm).min(WIDEST_BEAD_MM) } else { 0.0 }
}

/// A straight strip of plastic.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Strip {
    pub from: Point,
    pub to: Point,
    pub width_mm: f64,
}

impl Strip {
    /// The strip ready to be met by lines along x; `None` for a strip without length or with numbers out of range.
    pub fn scan(&self) -> Option<StripScan> {
        let along = (self.to - self.from).unit()?;
        let (half_length, half_width) = (0.5 * self.from.distance(self.to), 0.5 * self.width_mm);
        let side = half_width * along.x.abs();
        let (low_y, high_y) = (self.from.y.min(self.to.y) - side, self.from.y.max(self.to.y) + side);
        // Between the two ends, and between the two flanks.
        let bands = [Band::new(along, half_length), Band::new(along.left(), half_width)];
        let middle = self.from.lerp(self.to, 0.5);
        (low_y.is_finite() && high_y.is_finite()).then_some(StripScan { low_y, high_y, middle, bands })
    }
}

/// A strip ready to be met by lines along x.
#[derive(Debug, Clone, Copy)]
pub(super) struct StripScan {
    /// Lowest and highest y it reaches, mm.
    pub low_y: f64,
    pub high_y: f64,
    middle: Point,
    bands: [Band; 2],
}

/// All places nearer than some distance to a line through the strip's middle: at height `y` over the middle the x from
/// `slope * y - reach` to `slope * y + reach`.
#[derive(Debug, Clone, Copy)]
struct Band {
    slope: f64,
    reach: f64,
}

impl Band {
    fn new(across: Point, half_mm: f64) -> Self {
        if across.x.abs() < 1e-12 {
            // Along x: no limit but the strip's own lowest and highest y.
            return Self { slope: 0.0, reach: f64::INFINITY };
        }
        Self { slope: -across.y / across.x, reach: half_mm / across.x.abs() }
    }
}

impl StripScan {
    /// The piece of the line at height `y`, between lowest and highest, that lies inside the strip: two x.
    pub fn piece_at(&self, y: f64) -> Option<(f64, f64)> {
        let dy = y - self.middle.y;
        let [ends, flanks] = self.bands;
        let (a, b) = (ends.slope * dy, flanks.slope * dy);
        let (low, high) = ((a - ends.reach).max(b - flanks.reach), (a + ends.reach).min(b + flanks.reach));
        (low < high).then_some((self.middle.x + low, self.middle.x + high))
    }
}

impl PartStrand<'_> {
    /// The strand as strips that meet in mitres, so that a bent strand covers width times length.
    ///
    /// Each strip is drawn out at a bend by half its width times the tangent of half the turn: the
    /// outer corners then touch, and what is gained outside is what overlaps inside. Drawn out by
    /// half a width at most, as the round end of a bead would.
    pub fn strips(self, height_mm: f64) -> impl Iterator<Item = Strip> {
        let count = self.beads.len();
        (0..count).filter_map(move |i| {
            let bead = &self.beads[i];
            let width_mm = strip_width_mm(bead, height_mm);
            let along = (bead.to - bead.from).unit()?;
            let before = if i > 0 { Some(i - 1) } else { self.strand.closed.then_some(count - 1) };
            let after = if i + 1 < count { Some(i + 1) } else { self.strand.closed.then_some(0) };
            let draw_out = |other: Option<usize>| {
                let turn = other.and_then(|o| (self.beads[o].to - self.beads[o].from).unit());
                turn.map_or(0.0, |direction| 0.5 * width_mm * half_turn_tangent(along, direction))
            };
            (width_mm > 0.0).then(|| Strip {
                from: bead.from - along * draw_out(before),
                to: bead.to + along * draw_out(after),
                width_mm,
            })
        })
    }
}

/// Tangent of half the angle between two directions, at most 1.
fn half_turn_tangent(a: Point, b: Point) -> f64 {
    let (sine, cosine) = (a.cross(b).abs(), a.dot(b));
    if cosine <= 0.0 { 1.0 } else { sine / (1.0 + cosine) }
}

/// Hand-made layers for the tests of this room.
#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::deposit::by_hand;

    /// A layer of the given height whose strands run through the given points with strips of the given width.
    pub fn layer(index: usize, height_mm: f64, strands: &[(Role, bool, f64, Vec<Point>)]) -> (Layer, Vec<Role>) {
        let z_mm = height_mm * (index + 1) as f64;
        let (mut beads, mut laid, mut roles) = (Vec::new(), Vec::new(), Vec::new());
        for (role, closed, width_mm, points) in strands {
            let start = beads.len();
            let last = points.len() - usize::from(!closed);
            for i in 0..last {
                let (from, to) = (points[i], points[(i + 1) % points.len()]);
                let length_mm = from.distance(to);
                let area_mm2 = width_mm * height_mm;
                beads.push(Bead { from, to, z_mm, length_mm, area_mm2, width_mm: *width_mm, time_s: 0.0, line: 1 });
            }
            laid.push(Strand {
                beads: start..beads.len(),
                tool: 0,
                closed: *closed,
                label: None,
                role: *role,
                ghost: false,
            });
            roles.push(*role);
        }
        let layer = Layer { strands: laid, ..by_hand::layer(index, height_mm, beads) };
        (layer, roles)
    }

    /// Parallel open strands at an angle across a rectangle from the origin, cut at its edges.
    pub fn hatch(
        role: Role,
        width_mm: f64,
        pitch_mm: f64,
        angle_deg: f64,
        size: Point,
    ) -> Vec<(Role, bool, f64, Vec<Point>)> {
        let along = Point::new(angle_deg.to_radians().cos(), angle_deg.to_radians().sin());
        let side = along.left();
        let reach = size.length();
        let mut lines = Vec::new();
        let count = (2.0 * reach / pitch_mm) as i64;
        for k in -count..=count {
            let at = side * (pitch_mm * (k as f64 + 0.5));
            let (mut low, mut high) = (-reach * 2.0, reach * 2.0);
            for (start, step, end) in [(at.x, along.x, size.x), (at.y, along.y, size.y)] {
                if step.abs() < 1e-12 {
                    if start < 0.0 || start > end {
                        high = low;
                    }
                    continue;
                }
                let (a, b) = ((0.0 - start) / step, (end - start) / step);
                low = low.max(a.min(b));
                high = high.min(a.max(b));
            }
            if high > low + 1e-9 {
                lines.push((role, false, width_mm, vec![at + along * low, at + along * high]));
            }
        }
        lines
    }

    #[test]
    fn mitred_strips_of_a_loop_cover_width_times_length() {
        let corners = [(0.0, 0.0), (7.0, 0.0), (7.0, 3.0), (0.0, 3.0)].map(|(x, y)| Point::new(x, y));
        let (layer, roles) = layer(0, 0.2, &[(Role::OuterWall, true, 0.4, corners.to_vec())]);
        let strips: Vec<Strip> = part_strands(&layer, &roles).flat_map(|s| s.strips(0.2)).collect();
        assert_eq!(strips.len(), 4);
        // Each side reaches half a width beyond both corners: the four squares there overlap once.
        let drawn: f64 = strips.iter().map(|s| s.from.distance(s.to) * s.width_mm).sum();
        assert!((drawn - 4.0 * 0.4 * 0.4 - 20.0 * 0.4).abs() < 1e-9, "{drawn}");
    }

    #[test]
    fn support_is_no_part() {
        let line = vec![Point::new(0.0, 0.0), Point::new(5.0, 0.0)];
        let (layer, roles) = layer(0, 0.2, &[(Role::Support, false, 0.4, line)]);
        assert_eq!(part_strands(&layer, &roles).count(), 0);
    }
}
