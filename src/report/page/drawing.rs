//! Ink drawings of layers: every bead with its width, walls darkest, and the trouble ringed or hatched.

use super::AuditPage;
use super::choose::{LayerToDraw, fewer_walls_than};
use super::path::{PER_MM, PathText};
use crate::geom::{Point, Segment, box_of, simplified};
use crate::measure::{DrawnStrand, LayerDrawing};
use crate::profile::Role;
use maud::{Markup, html};
use std::collections::BTreeMap;

/// Lines of a drawing stay this close to the beads, mm.
const WITHIN_MM: f64 = 0.02;
/// Points of one drawing at most; finer drawings are drawn coarser until they fit.
const MOST_POINTS: usize = 12_000;
/// Beads are drawn this much narrower than they are, so that each can be told from the next.
const DRAWN_NARROWER: f64 = 0.8;
/// Drawings for which there is room beside the job sheet on paper.
const ON_PAPER: usize = 6;
/// What the magnifier shows of each side, mm.
const MAGNIFIED_MM: f64 = 9.0;
/// Parts from this size on need a magnifier, mm.
const NEEDS_MAGNIFIER_MM: f64 = 20.0;

pub(super) fn drawings(page: &AuditPage<'_>) -> Markup {
    let drawn = page.wanted.iter().enumerate().filter_map(|(i, wanted)| {
        let drawing = page.drawings.layers.iter().find(|d| d.index == wanted.index)?;
        figure(page, wanted, drawing, i < ON_PAPER)
    });
    let drawn: Vec<Markup> = drawn.collect();
    html! {
        @if !drawn.is_empty() {
            section.drawings {
                h2 { "Layers that matter" }
                p.small { "Seen from above. Black: outer wall; dark: inner walls; grey: infill." }
                div.figures { @for figure in &drawn { (figure) } }
            }
        }
    }
}

fn figure(page: &AuditPage<'_>, wanted: &LayerToDraw, drawing: &LayerDrawing, on_paper: bool) -> Option<Markup> {
    let frame = Frame::around(drawing)?;
    let figures = page.figures;
    let class = if on_paper { "layer" } else { "layer screen-only" };
    let id = format!("layer{}", drawing.index);
    let fewer = fewer_walls_than(page.file, page.strength.and_then(|s| s.min_walls));
    let at = wanted.reasons.iter().find_map(|r| r.at);
    let large = frame.width_mm.max(frame.height_mm) > NEEDS_MAGNIFIER_MM;
    let magnified = at.filter(|at| large && shows_beads(drawing, *at));
    let bar_mm = figures.round_bar_mm(frame.width_mm * 0.25);
    let label =
        format!("layer {} from above: {}", drawing.index, wanted.reasons.first().map_or("", |r| r.title.as_str()));
    Some(html! {
        figure.(class) data-layer=(drawing.index) {
            div.(if magnified.is_some() { "views two" } else { "views" }) {
                svg.plan viewBox=(frame.view_box()) role="img" aria-label=(label) {
                    g id=(id) {
                        (beads(drawing, &frame))
                        @for opening in wanted.reasons.iter().flat_map(|r| &r.openings) {
                            path.opening d=(ring_path(&frame, &opening.outer)) {}
                        }
                        @if let Some(fewer) = fewer { (thin_edge(drawing, &frame, fewer)) }
                    }
                    @for at in wanted.reasons.iter().filter_map(|r| r.at).filter(|at| frame.holds(*at)) { (ring(&frame, at)) }
                    path.bar d=(bar(&frame, bar_mm)) {}
                }
                @if let Some(at) = magnified {
                    svg.magnifier viewBox=(frame.around_point(at)) role="img" aria-label="the ringed place, enlarged" {
                        use href=(format!("#{id}")) {}
                    }
                }
            }
            figcaption {
                b { "Layer " (drawing.index) } ", z " (figures.length(drawing.z_mm))
                span.small { "; bar " (figures.short_length(bar_mm)) " " (figures.length_unit()) }
                ul { @for reason in &wanted.reasons { li { b { (reason.title) } ": " (reason.text) } } }
            }
        }
    })
}

/// Whether a magnifier at a place shows any bead, and not the inside of a hole.
fn shows_beads(drawing: &LayerDrawing, at: Point) -> bool {
    let seen_mm = 0.35 * MAGNIFIED_MM;
    let near = |line: &[Point]| {
        line.iter().zip(line.iter().skip(1)).any(|(a, b)| Segment::new(*a, *b).nearest(at).0.distance(at) < seen_mm)
    };
    drawing.strands.iter().any(|strand| near(&strand.path))
}

/// The paper a layer is drawn on.
struct Frame {
    /// Left and upper end, mm.
    origin: Point,
    width_mm: f64,
    height_mm: f64,
    /// Paper around what is drawn, mm.
    margin_mm: f64,
}

impl Frame {
    fn around(drawing: &LayerDrawing) -> Option<Self> {
        let outline = drawing.outline.iter().flat_map(|p| p.outer.iter().copied());
        let paths = drawing.strands.iter().flat_map(|s| s.path.iter().copied());
        let points: Vec<Point> = outline.chain(paths).collect();
        let (low, high) = box_of(&points)?;
        let margin = 0.05 * (high.x - low.x).max(high.y - low.y) + 0.6;
        // The scale bar stands below the part.
        let foot = 0.04 * (high.x - low.x).max(high.y - low.y);
        Some(Self {
            origin: Point::new(low.x - margin, high.y + margin),
            width_mm: high.x - low.x + 2.0 * margin,
            height_mm: high.y - low.y + 2.0 * margin + foot,
            margin_mm: margin,
        })
    }

    /// Whether a place lies on what is drawn, or within half the margin of it: what is so in a band of layers may be
    /// shown in one that is narrower than the layer where the place is.
    fn holds(&self, p: Point) -> bool {
        let (right, down, edge) = (p.x - self.origin.x, self.origin.y - p.y, 0.5 * self.margin_mm);
        (edge..=self.width_mm - edge).contains(&right) && (edge..=self.height_mm - edge).contains(&down)
    }

    fn view_box(&self) -> String {
        format!("0 0 {:.0} {:.0}", self.width_mm * PER_MM, self.height_mm * PER_MM)
    }

    fn place(&self, p: Point) -> (i64, i64) {
        PathText::new(self.origin).place(p)
    }

    fn around_point(&self, p: Point) -> String {
        let (x, y) = self.place(p);
        let half = (MAGNIFIED_MM * PER_MM / 2.0) as i64;
        format!("{} {} {} {}", x - half, y - half, 2 * half, 2 * half)
    }
}

/// Beads of one role and width share a path.
fn beads(drawing: &LayerDrawing, frame: &Frame) -> Markup {
    let within_mm = coarseness(&drawing.strands);
    let mut outline = PathText::new(frame.origin);
    for ring in drawing.outline.iter().flat_map(|p| p.rings()) {
        outline.line(&simplified(ring, within_mm), true);
    }
    let mut groups: BTreeMap<(u8, i64), PathText> = BTreeMap::new();
    for strand in &drawing.strands {
        let width = (strand.width_mm * 20.0).round() as i64;
        let path = groups.entry((shade(strand.role), width)).or_insert_with(|| PathText::new(frame.origin));
        path.line(&simplified(&strand.path, within_mm), false);
    }
    html! {
        path.outline d=(outline.finish()) {}
        @for ((shade, width), path) in groups {
            path.(format!("bead shade{shade}")) stroke-width=(format!("{:.0}", width as f64 * 5.0 * DRAWN_NARROWER)) d=(path.finish()) {}
        }
    }
}

/// How far lines may leave the beads so that the drawing stays small.
fn coarseness(strands: &[DrawnStrand]) -> f64 {
    let mut within_mm = WITHIN_MM;
    while within_mm < 2.0 {
        let points: usize = strands.iter().map(|s| simplified(&s.path, within_mm).len()).sum();
        if points <= MOST_POINTS {
            break;
        }
        within_mm *= 2.0;
    }
    within_mm
}

/// Lighter shades are drawn first, so that walls lie on top.
const fn shade(role: Role) -> u8 {
    match role {
        Role::OuterWall => 3,
        Role::InnerWall | Role::GapFill => 2,
        Role::SolidInfill | Role::Bridge => 0,
        _ => 1,
    }
}

fn ring_path(frame: &Frame, ring: &[Point]) -> String {
    let mut path = PathText::new(frame.origin);
    path.line(&simplified(ring, WITHIN_MM), true);
    path.finish()
}

/// A ring about a place, with a line to it, as on a drawing that a person corrects.
fn ring(frame: &Frame, at: Point) -> Markup {
    let (x, y) = frame.place(at);
    let radius = frame.width_mm.max(frame.height_mm) * PER_MM * 0.035;
    html! { circle.ring cx=(x) cy=(y) r=(format!("{radius:.0}")) {} }
}

/// Where the edge has fewer walls than wanted: a heavy line along it.
fn thin_edge(drawing: &LayerDrawing, frame: &Frame, fewer_than: u32) -> Markup {
    let mut path = PathText::new(frame.origin);
    let mut run: Vec<Point> = Vec::new();
    for sample in &drawing.wall_samples {
        let thin = sample.count < fewer_than && !sample.through;
        let near = run.last().is_none_or(|last| last.distance(sample.at) < 2.5);
        if !(thin && near) {
            path.line(&simplified(&run, 0.05), false);
            run.clear();
        }
        if thin {
            run.push(sample.at);
        }
    }
    path.line(&simplified(&run, 0.05), false);
    html! { path.thin d=(path.finish()) {} }
}

/// A scale bar with ticks at its ends, below the part.
fn bar(frame: &Frame, length_mm: f64) -> String {
    let y = ((frame.height_mm * 0.985) * PER_MM).round();
    let x = (0.03 * frame.width_mm * PER_MM).round();
    let tick = (0.02 * frame.height_mm * PER_MM).round();
    format!("M{x} {}v{tick}h{}v-{tick}", y - tick, (length_mm * PER_MM).round())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Polygon;

    /// A place on the edge of a wider layer below is not ringed beside a narrower one.
    #[test]
    fn a_place_beside_what_is_drawn_is_not_ringed() {
        let corners = [(90.0, 50.0), (120.0, 50.0), (120.0, 70.0), (90.0, 70.0)];
        let outer = corners.map(|(x, y)| Point::new(x, y)).to_vec();
        let outline = vec![Polygon { outer, holes: Vec::new() }];
        let drawing =
            LayerDrawing { index: 20, z_mm: 5.25, height_mm: 0.25, outline, strands: vec![], wall_samples: vec![] };
        let frame = Frame::around(&drawing);
        let holds = |x: f64, y: f64| frame.as_ref().is_some_and(|frame| frame.holds(Point::new(x, y)));
        assert!(holds(105.0, 60.0) && holds(90.0, 60.0) && holds(120.0, 70.0) && holds(105.0, 50.0));
        assert!(!holds(87.0, 60.0) && !holds(123.0, 60.0) && !holds(105.0, 73.0));
    }
}
