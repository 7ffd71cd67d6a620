//! A file read for what it takes to lay it again: its outlines, layer by layer, and the settings it was laid with.
//!
//! Everything is measured; comments are never asked. Settings are what most of the part was laid with; bands of
//! layers with fewer walls or another flow are kept apart as faults.

use super::core_look::{Lines, core_of};
use super::faults::{faults, slices};
use super::fullness::{first_layer_flow, solid_flow};
use super::habits::{Habits, Weighed};
use super::line_look::{CoreSamples, Lattice};
use super::seen::{Seen, look};
use crate::deposit::{Depositor, Layer, LayerKind};
use crate::geom::Point;
use crate::measure::{PrintMeasures, Setup};
use crate::motion::{MoveKind, Step, Steps};
use crate::profile::{Limits, Role};
use crate::rebead::{CoreFill, FillOrder, Seam, Settings, Slice, Speeds, Turn, WallOrder, middle};
use crate::shape::{LayerShape, UsualPitch, measure_layer};
use rayon::prelude::*;
use std::collections::{BTreeMap, VecDeque};

/// Layers measured together.
const BATCH: usize = 32;
/// More solid layers at an end of the part are no skin.
const MOST_SKINS: usize = 15;
/// Loops that begin further apart than this from layer to layer, in shares of the part's size, begin anywhere.
const SCATTERED: f64 = 0.2;

/// What it takes to lay a file again.
#[derive(Debug, Clone)]
pub struct Survey {
    /// Outlines of every layer of the part.
    pub slices: Vec<Slice>,
    /// Settings it was laid with, its faults among them.
    pub settings: Settings,
    /// The machine's limits over most of the path.
    pub limits: Limits,
    /// What stays as it is whatever the settings.
    pub carried: Carried,
    /// The core by how far apart its lines lie; `None` where they do not lie evenly.
    pub(super) lattice: Option<Lattice>,
}

/// Plastic and time that do not depend on the settings: skirts, support, rafts, priming, waiting.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Carried {
    /// Plastic, by tool, mm³.
    pub volume_mm3: BTreeMap<u16, f64>,
    /// Time, s.
    pub time_s: f64,
}

/// Reads the file again; `measures` is what was measured in it.
#[must_use]
pub fn survey(bytes: &[u8], setup: &Setup, measures: &PrintMeasures) -> Survey {
    let mut surveyor = Surveyor::default();
    let mut depositor = Depositor::new();
    let mut layers = Vec::new();
    let mut steps = Steps::new(bytes, setup.motion());
    while let Some(step) = steps.next() {
        surveyor.step(&step);
        surveyor.habits.step(&step, steps.motion());
        depositor.push(&step, &mut |layer| layers.push(layer));
        if layers.len() >= BATCH {
            surveyor.layers(std::mem::take(&mut layers));
        }
    }
    depositor.finish(&mut |layer| layers.push(layer));
    surveyor.layers(layers);
    surveyor.finish(setup, measures)
}

#[derive(Debug, Default)]
struct Surveyor {
    habits: Habits,
    /// Speed asked for at every line that lays a bead, mm/s, until its layer comes.
    feeds: VecDeque<(u64, f64)>,
    speeds: BTreeMap<(Role, bool), Weighed>,
    usual: UsualPitch,
    seen: Vec<Seen>,
    cores: CoreSamples,
    part_mm3: BTreeMap<u16, f64>,
    /// Time of strands and layers that are not of the part, s.
    other_s: f64,
}

impl Surveyor {
    fn step(&mut self, step: &Step) {
        if let Step::Move(step) = step
            && step.kind == MoveKind::Deposit
        {
            self.feeds.push_back((step.line, step.feed_mm_s));
        }
    }

    fn layers(&mut self, layers: Vec<Layer>) {
        layers.iter().for_each(|layer| self.usual.push(layer));
        let pitch = self.usual.pitch_mm();
        let shapes: Vec<Option<LayerShape>> = layers
            .par_iter()
            .map(|layer| (layer.kind == LayerKind::Part).then(|| measure_layer(layer, pitch)))
            .collect();
        for (layer, shape) in layers.iter().zip(shapes) {
            match shape {
                Some(shape) => self.part_layer(layer, shape),
                None => self.other_s += layer.time_s,
            }
        }
    }

    fn part_layer(&mut self, layer: &Layer, shape: LayerShape) {
        let first = self.seen.is_empty();
        let feeds = self.feeds_of(layer);
        for (strand, &role) in layer.strands.iter().zip(&shape.roles) {
            let beads = layer.strand_beads(strand);
            if !role.is_part() {
                self.other_s += beads.iter().map(|b| b.time_s).sum::<f64>();
                continue;
            }
            *self.part_mm3.entry(strand.tool).or_default() += beads.iter().map(|b| b.volume_mm3()).sum::<f64>();
            let speed = self.speeds.entry((speed_role(role), first)).or_default();
            for bead in beads {
                if let Some(feed) = feeds.get(&bead.line) {
                    speed.add(*feed, bead.length_mm);
                }
            }
        }
        let mut seen = look(layer, shape);
        let core_beads = std::mem::take(&mut seen.core_beads);
        if !seen.full {
            self.cores.take(self.seen.len(), core_beads);
        }
        self.seen.push(seen);
    }

    /// Speeds asked for in the lines of a layer.
    fn feeds_of(&mut self, layer: &Layer) -> BTreeMap<u64, f64> {
        let (first, last) = layer.lines;
        let mut feeds = BTreeMap::new();
        while let Some(&(line, feed)) = self.feeds.front() {
            if line > last {
                break;
            }
            if line >= first {
                feeds.insert(line, feed);
            }
            self.feeds.pop_front();
        }
        feeds
    }

    fn finish(mut self, setup: &Setup, measures: &PrintMeasures) -> Survey {
        let time = measures.totals.time;
        let mut volume_mm3: BTreeMap<u16, f64> = measures.tools.iter().map(|t| (t.tool, t.volume_mm3)).collect();
        for (tool, part) in &self.part_mm3 {
            if let Some(all) = volume_mm3.get_mut(tool) {
                *all = (*all - part).max(0.0);
            }
        }
        let carried = Carried { volume_mm3, time_s: time.dwell_s + time.waiting_s + self.other_s };
        let settings = self.settings(setup, measures);
        let slices = slices(&self.seen, &settings);
        let height_mm = measures.part.layer_height_mm.unwrap_or(0.2);
        let lattice = self.cores.lattice(&settings.core, settings.pitch_mm(height_mm), middle(&slices));
        Survey { slices, settings, limits: self.habits.limits(&setup.machine.limits), carried, lattice }
    }

    fn settings(&mut self, setup: &Setup, measures: &PrintMeasures) -> Settings {
        let part = &measures.part;
        let usual = Settings::default();
        let walls = usual_walls(&self.seen).or_else(|| part.walls.map(|w| w.median as u32)).unwrap_or(usual.walls);
        let tools = measures.tools.iter().map(|t| t.tool).max().unwrap_or(0);
        let solid_flow = solid_flow(&measures.layers);
        let mut settings = Settings {
            bead_width_mm: part.bead_width_mm.unwrap_or(usual.bead_width_mm),
            walls: walls.max(1),
            bottom_skins: part
                .skins
                .bottom
                .layers
                .filter(|n| *n > 0)
                .unwrap_or_else(|| leading_skins(self.seen.iter())),
            top_skins: part
                .skins
                .top
                .layers
                .filter(|n| *n > 0)
                .unwrap_or_else(|| leading_skins(self.seen.iter().rev())),
            fill_order: if mostly(self.seen.iter().filter_map(|s| s.nearest_first)) {
                FillOrder::Nearest
            } else {
                FillOrder::InTurn
            },
            skin_angle_deg: self.skin_angle_deg().unwrap_or(usual.skin_angle_deg),
            core: self.core(measures),
            solid_flow,
            first_layer_flow: first_layer_flow(&measures.layers, solid_flow),
            wall_order: if mostly(self.seen.iter().filter_map(|s| s.outer_first)) {
                WallOrder::OuterFirst
            } else {
                WallOrder::InnerFirst
            },
            turn: if mostly(self.seen.iter().filter_map(|s| s.counter)) {
                Turn::CounterClockwise
            } else {
                Turn::Clockwise
            },
            seam: seam(&self.seen).unwrap_or(usual.seam),
            speeds: self.speeds(),
            retraction: self.habits.retraction(),
            filament_mm: (0..=tools).map(|tool| setup.filament_mm(tool)).collect(),
            ..usual
        };
        settings.flaws = faults(&self.seen, &settings);
        settings
    }

    /// The core: told from its lines; a part without one has the density of what fills it instead.
    fn core(&self, measures: &PrintMeasures) -> CoreFill {
        let of = |odd: usize| {
            let layers = self.seen.iter().skip(odd).step_by(2);
            layers.fold(Lines::default(), |sum, seen| sum.plus(&seen.core))
        };
        let full = self.seen.iter().filter(|s| s.solid && !s.solid_lines.is_empty()).count();
        let density = match measures.part.core_density {
            Some(density) if measures.layers.iter().any(|l| !l.solid) => density,
            _ if 2 * full > self.seen.len() => 1.0,
            _ => 0.0,
        };
        let (even, odd) = (of(0), of(1));
        if even.is_empty() && odd.is_empty() {
            return CoreFill { density, ..CoreFill::default() };
        }
        core_of(&even, &odd, density)
    }

    fn skin_angle_deg(&self) -> Option<f64> {
        let of = |odd: usize| {
            let layers = self.seen.iter().skip(odd).step_by(2);
            layers.fold(Lines::default(), |sum, seen| sum.plus(&seen.solid_lines))
        };
        of(0).parallel_deg().or_else(|| of(1).parallel_deg().map(|deg| deg - 90.0))
    }

    fn speeds(&self) -> Speeds {
        let usual = Speeds::default();
        let of = |role| self.speeds.get(&(role, false)).and_then(Weighed::median);
        let outer = of(Role::OuterWall);
        let any = outer.or_else(|| of(Role::InnerWall)).or_else(|| of(Role::SolidInfill));
        let first = [Role::OuterWall, Role::InnerWall, Role::SolidInfill];
        let first = first.iter().find_map(|role| self.speeds.get(&(*role, true)).and_then(Weighed::median));
        let inner = of(Role::InnerWall).or(any).unwrap_or(usual.inner_wall);
        let solid = of(Role::SolidInfill).or(of(Role::SparseInfill)).unwrap_or(inner);
        let (travel, lift) = self.habits.travel_and_lift();
        Speeds {
            outer_wall: outer.or(any).unwrap_or(usual.outer_wall),
            inner_wall: inner,
            sparse: of(Role::SparseInfill).unwrap_or(solid),
            solid,
            slow: of(Role::Bridge).or_else(|| of(Role::GapFill)).unwrap_or(outer.or(any).unwrap_or(usual.slow)),
            first_layer: first.or(any).unwrap_or(usual.first_layer),
            travel: travel.unwrap_or(usual.travel),
            lift: lift.unwrap_or(usual.lift),
        }
    }
}

/// The role under which a bead's speed is kept.
fn speed_role(role: Role) -> Role {
    match role {
        Role::Unknown => Role::SparseInfill,
        other => other,
    }
}

/// Full layers at an end of the part; where no core lies under a roof they are the skin.
fn leading_skins<'a>(from_the_end: impl Iterator<Item = &'a Seen>) -> u32 {
    let skin = |s: &&Seen| s.full && !s.solid_lines.is_empty();
    from_the_end.take_while(skin).count().min(MOST_SKINS) as u32
}

fn mostly(seen: impl Iterator<Item = bool>) -> bool {
    let (yes, all) = seen.fold((0, 0), |(yes, all), is| (yes + usize::from(is), all + 1));
    2 * yes > all
}

/// Wall count of most layers that are not skin; of all where every layer is.
fn usual_walls(seen: &[Seen]) -> Option<u32> {
    let median = |layers: Vec<&Seen>| {
        let mut counts: Vec<u32> = layers.iter().filter_map(|s| s.walls).collect();
        counts.sort_unstable();
        counts.get(counts.len() / 2).copied()
    };
    median(seen.iter().skip(1).filter(|s| !s.solid).collect()).or_else(|| median(seen.iter().skip(1).collect()))
}

/// Where most layers begin their outer wall: near one place, or anywhere.
fn seam(seen: &[Seen]) -> Option<Seam> {
    let starts: Vec<Point> = seen.iter().filter_map(|s| s.seam).collect();
    let count = starts.len() as f64;
    let middle = starts.iter().fold(Point::default(), |sum, p| sum + *p) * (1.0 / count);
    let spread = starts.iter().map(|p| p.distance(middle)).sum::<f64>() / count;
    let corners = || seen.iter().flat_map(|s| &s.bodies).flat_map(|b| &b.1).flat_map(|p| &p.outer);
    let size = corners().map(|p| p.distance(middle)).fold(0.0, f64::max);
    let seam = if spread > SCATTERED * size { Seam::Scattered(1) } else { Seam::Near(middle) };
    (count > 0.0).then_some(seam)
}
