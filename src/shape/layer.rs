//! One layer of beads measured: outline, walls, core and roles.

use super::body::{Body, majority, spots_of};
use super::fill::{core_of, solid_strands};
use super::flow::{role_flow, thin_ribs, wall_gaps};
use super::flow_places::flow_places;
use super::joined_beads::joined_beads;
use super::layer_shape::{Core, LayerShape, WallSample};
use super::loops::loops_of;
use super::outline::Spacing;
use super::rounds::arcs_of;
use super::thin_places::thin_places;
use super::usual::Usual;
use super::walls::{WallPiece, WallProbe, summed_up};
use crate::deposit::{Layer, Strand};
use crate::geom::{Point, Polygon, Segment, closed, ring_contains};
use crate::profile::Role;

/// Measures one layer by itself; layers do not depend on each other's results.
///
/// `usual_pitch_mm` is the distance at which walls lie in this print ([`UsualPitch`](super::UsualPitch)), if known.
///
/// Where the print has skins or a core of loops [`measure_layer_among`] tells them from walls.
///
/// Strands that the deposit room knows as adhesion or purge (it sees what lies above them) are no part of the part.
#[must_use]
pub fn measure_layer(layer: &Layer, usual_pitch_mm: Option<f64>) -> LayerShape {
    measure_layer_among(&joined_beads(layer), Usual { pitch_mm: usual_pitch_mm, walls: None })
}

/// Measures one layer, bead by bead as they are given, with what is usual in its print: whoever asks for more of the
/// layer than its shape joins the beads on one line once for all of it ([`joined_beads`]).
#[must_use]
pub fn measure_layer_among(layer: &Layer, usual: Usual) -> LayerShape {
    measure_sorted(layer, usual, sorted(layer))
}

fn measure_sorted(layer: &Layer, usual: Usual, (mut roles, mut bodies): (Vec<Role>, Vec<Body>)) -> LayerShape {
    let mut shape = LayerShape {
        index: layer.index.unwrap_or(0),
        z_mm: layer.z_mm,
        height_mm: layer.height_mm,
        ..LayerShape::default()
    };
    let (mut walls, mut core_rooms, mut pieces) = (Vec::new(), Vec::new(), Vec::new());
    let mut spacing = Spacing::plain(layer.height_mm);
    for body in &mut bodies {
        body.settle(layer, usual);
        shape.deepest_walls = shape.deepest_walls.max(body.deepest_walls());
        body.find_open_walls(layer);
        let outline = body.outline(layer, &mut roles);
        walls.push(body.wall_pieces(layer, &roles));
        body.wall_roles(&mut roles);
        core_rooms.extend(body.core_rooms(layer));
        pieces.extend(body.fill_pieces(layer));
        spacing = body.spacing;
        shape.gaps.extend(wall_gaps(layer, &body.nest));
        shape.outline_by_tool.push((body.tool, outline));
    }
    shape.outline = together(&shape.outline_by_tool);
    shape.arcs = arcs_of(&shape.outline);
    // Where one large layer is left, no core has to wait for another.
    let (rings, (solid, core)) = rayon::join(
        || samples_of(&walls, &shape.outline_by_tool),
        || {
            let mut dense = vec![false; layer.strands.len()];
            bodies.iter().flat_map(|b| b.dense_strands(layer)).for_each(|strand| dense[strand] = true);
            let wall_lines: Vec<Segment> = walls.iter().flatten().map(|piece| piece.segment).collect();
            let solid = solid_strands(&pieces, &wall_lines, &dense, spacing);
            let core = core_of(&core_rooms, &pieces, &solid, spacing);
            (solid, core)
        },
    );
    let full = core.as_ref().is_some_and(Core::is_full);
    for piece in &pieces {
        roles[piece.strand] = if full || solid[piece.strand] { Role::SolidInfill } else { Role::SparseInfill };
    }
    shape.core = core;
    shape.ribs = thin_ribs(&rings);
    let walls = summed_up(&rings);
    shape.thin_places = thin_places(&rings, &walls, &shape.ribs);
    shape.walls = walls;
    leftover_roles(layer, &mut roles);
    shape.flow_places = flow_places(layer, &roles);
    shape.flow = role_flow(layer, &roles);
    shape.flow_ratio = spacing.measured.map(|distance| 1.0 / distance);
    shape.roles = roles;
    shape
}

/// Walls counted along every edge, ring by ring; `walls` are those of each outline.
fn samples_of(walls: &[Vec<WallPiece>], outlines: &[(u16, Vec<Polygon>)]) -> Vec<Vec<WallSample>> {
    let of = |(walls, (_, outline)): (&Vec<WallPiece>, &(u16, Vec<Polygon>))| {
        WallProbe::new(walls, outline).samples(outline)
    };
    walls.iter().zip(outlines).flat_map(of).collect()
}

/// Measures a layer once more that was measured with no usual number of walls; `None` where that number changes nothing.
#[must_use]
pub fn measure_layer_again(layer: &Layer, usual: Usual) -> Option<LayerShape> {
    let (roles, bodies) = sorted(layer);
    let matter = bodies.iter().cloned().any(|mut body| body.usual_walls_matter(layer, usual));
    matter.then(|| measure_sorted(layer, usual, (roles, bodies)))
}

/// The roles that are known from the start, and what each tool lays, sorted into loops and fill.
fn sorted(layer: &Layer) -> (Vec<Role>, Vec<Body>) {
    let beside = beside_the_part(layer);
    let roles: Vec<Role> =
        layer.strands.iter().zip(&beside).map(|(s, beside)| if *beside { s.role } else { Role::Unknown }).collect();
    let loops = loops_of(layer, &beside);
    let mut tools: Vec<u16> = loops.iter().map(|l| l.tool).collect();
    if tools.is_empty() {
        let own = layer.strands.iter().zip(&beside).filter(|(s, beside)| !**beside && !s.ghost);
        tools = own.map(|(s, _)| s.tool).collect();
    }
    tools.sort_unstable();
    tools.dedup();
    let mut bodies: Vec<Body> = tools.iter().map(|&t| Body::new(layer, t, &loops)).collect();
    place_fill(layer, &mut bodies, &roles);
    (roles, bodies)
}

/// Strands of skirt, brim and purge. Above the first layer none of them lies within the part's loops.
fn beside_the_part(layer: &Layer) -> Vec<bool> {
    let mut beside: Vec<bool> = layer.strands.iter().map(|s| matches!(s.role, Role::Adhesion | Role::Purge)).collect();
    if layer.index == Some(0) || !beside.contains(&true) {
        return beside;
    }
    let points = |s: &Strand| layer.strand_beads(s).iter().map(|b| b.from).collect::<Vec<Point>>();
    let own = layer.strands.iter().zip(&beside).filter(|(s, beside)| s.closed && !s.ghost && !**beside);
    let rings: Vec<Vec<Point>> = own.map(|(s, _)| points(s)).collect();
    for (strand, is_beside) in layer.strands.iter().zip(&mut beside) {
        let spot = layer.strand_beads(strand).first().map(|b| b.from.lerp(b.to, 0.5));
        *is_beside &= !spot.is_some_and(|spot| rings.iter().any(|ring| ring_contains(ring, spot)));
    }
    beside
}

fn together(by_tool: &[(u16, Vec<Polygon>)]) -> Vec<Polygon> {
    match by_tool {
        [] => Vec::new(),
        [(_, only)] => only.clone(),
        many => {
            let all: Vec<Polygon> = many.iter().flat_map(|t| t.1.iter().cloned()).collect();
            // Bodies that are drawn against each other must not leave a crack by rounding.
            closed(&all, 0.01)
        }
    }
}

/// What is left is no wall and no fill of the part.
fn leftover_roles(layer: &Layer, roles: &mut [Role]) {
    for (i, strand) in layer.strands.iter().enumerate() {
        if roles[i] == Role::Unknown {
            let before = i.checked_sub(1).map(|i| roles[i]);
            roles[i] = if strand.ghost {
                before.filter(|role| matches!(role, Role::SparseInfill | Role::SolidInfill)).unwrap_or(Role::InnerWall)
            } else if layer.index == Some(0) {
                Role::Purge
            } else {
                Role::Support
            };
        }
    }
}

/// Gives every open strand to the loop that it lies in, of its own tool if that has one there.
fn place_fill(layer: &Layer, bodies: &mut [Body], roles: &[Role]) {
    let mut in_loop = vec![false; layer.strands.len()];
    for &s in bodies.iter().flat_map(|b| &b.nest.loops).flat_map(|l| &l.strands) {
        in_loop[s] = true;
    }
    for (index, strand) in layer.strands.iter().enumerate() {
        if strand.ghost || roles[index] != Role::Unknown || in_loop[index] {
            continue;
        }
        let spots = spots_of(layer, strand);
        let found = (0..bodies.len())
            .filter_map(|b| majority(&bodies[b].nest, &spots).map(|place| (bodies[b].tool != strand.tool, b, place)))
            .min();
        if let Some((_, b, place)) = found {
            bodies[b].fill.push((index, place));
        } else {
            let own = bodies.iter().position(|b| b.tool == strand.tool).unwrap_or(0);
            if let Some(body) = bodies.get_mut(own) {
                body.outside.push(index);
            }
        }
    }
}
