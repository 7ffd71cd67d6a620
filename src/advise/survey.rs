//! A file read for what it takes to lay it again: its outlines, layer by layer, and the settings it was laid with.
//!
//! Everything is measured; comments are never asked. Settings are what most of the part was laid with; bands of
//! layers with fewer walls or another flow are kept apart as faults.

use super::core_look::{Lines, core_of};
use super::habits::{Habits, Weighed};
use crate::deposit::{Depositor, Layer, LayerKind, Strand};
use crate::geom::{Point, Polygon, offset, signed_area};
use crate::measure::{PrintMeasures, Setup};
use crate::motion::{MoveKind, Step, Steps};
use crate::profile::{Limits, Role};
use crate::rebead::{CoreFill, FillOrder, Flaw, Seam, Settings, Slice, Speeds, Turn, WallOrder};
use crate::shape::{LayerShape, UsualPitch, measure_layer};
use rayon::prelude::*;
use std::collections::{BTreeMap, VecDeque};

/// Layers measured together.
const BATCH: usize = 32;
/// Flow off the usual by more than this is a fault of its band.
const FLOW_OFF: f64 = 0.07;
/// A skin is at least so full.
const FULL: f64 = 0.9;
/// More solid layers at an end of the part are no skin.
const MOST_SKINS: usize = 15;
/// Layers with more strands of core are not looked at for their order.
const MOST_ENDS: usize = 400;
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

/// What is kept of one layer.
#[derive(Debug, Clone)]
struct Seen {
    z_mm: f64,
    height_mm: f64,
    bodies: Vec<(u16, Vec<Polygon>)>,
    /// Walls at most places that are not thin ribs.
    walls: Option<u32>,
    /// Section that half of the length of its walls stays under, mm².
    wall_area_mm2: Option<f64>,
    solid: bool,
    /// Nothing in it is sparse: its core is as full as skins are.
    full: bool,
    core: Lines,
    solid_lines: Lines,
    /// Where its first outer wall begins.
    seam: Option<Point>,
    outer_first: Option<bool>,
    /// Its core is laid by going to the nearest end every time.
    nearest_first: Option<bool>,
    counter: Option<bool>,
}

#[derive(Debug, Default)]
struct Surveyor {
    habits: Habits,
    /// Speed asked for at every line that lays a bead, mm/s, until its layer comes.
    feeds: VecDeque<(u64, f64)>,
    speeds: BTreeMap<(Role, bool), Weighed>,
    usual: UsualPitch,
    seen: Vec<Seen>,
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
        self.seen.push(look(layer, shape));
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
        Survey { slices, settings, limits: self.habits.limits(&setup.machine.limits), carried }
    }

    fn settings(&mut self, setup: &Setup, measures: &PrintMeasures) -> Settings {
        let part = &measures.part;
        let usual = Settings::default();
        let walls = usual_walls(&self.seen).or_else(|| part.walls.map(|w| w.median as u32)).unwrap_or(usual.walls);
        let tools = measures.tools.iter().map(|t| t.tool).max().unwrap_or(0);
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

fn look(layer: &Layer, shape: LayerShape) -> Seen {
    let straight = shape.walls.samples.iter().filter(|s| !s.through && !s.corner && s.count > 0);
    let mut counts: Vec<u32> = straight.map(|s| s.count).collect();
    counts.sort_unstable();
    let (mut core, mut solid_lines, mut walls) = (Lines::default(), Lines::default(), Weighed::default());
    let mut order: Vec<Role> = Vec::new();
    let mut ends = Vec::new();
    let (mut seam, mut counter) = (None, None);
    for (strand, &role) in layer.strands.iter().zip(&shape.roles) {
        let beads = layer.strand_beads(strand);
        match role {
            Role::SparseInfill => {
                core.add(beads, strand.closed);
                ends.extend(beads.first().zip(beads.last()).map(|(first, last)| (first.from, last.to)));
            }
            Role::SolidInfill if !strand.closed => solid_lines.add(beads, false),
            Role::OuterWall | Role::InnerWall => {
                // Sections in thousandths, so that the steps of the scale are fine enough.
                beads.iter().for_each(|b| walls.add(1000.0 * b.area_mm2, b.length_mm));
                order.push(role);
            }
            _ => {}
        }
        if role == Role::OuterWall && seam.is_none() && strand.closed {
            seam = beads.first().map(|b| b.from);
            counter = Some(runs_counter(layer, strand));
        }
    }
    let two = |i: usize| Some((order.get(i)?, order.get(i + 1)?));
    let outer_first = (0..order.len()).filter_map(two).find_map(|pair| match pair {
        (Role::OuterWall, Role::InnerWall) => Some(true),
        (Role::InnerWall, Role::OuterWall) => Some(false),
        _ => None,
    });
    let bodies = if shape.outline_by_tool.is_empty() {
        vec![(layer.strands.first().map_or(0, |s| s.tool), shape.outline)]
    } else {
        shape.outline_by_tool
    };
    Seen {
        z_mm: layer.z_mm,
        height_mm: layer.height_mm,
        bodies,
        walls: counts.get(counts.len() / 2).copied(),
        wall_area_mm2: walls.median().map(|a| a / 1000.0),
        solid: shape.core.as_ref().is_none_or(|c| c.solid),
        full: shape.core.as_ref().is_none_or(|c| c.density.is_none_or(|d| d > FULL)),
        core,
        solid_lines,
        seam,
        outer_first,
        nearest_first: nearest_first(&ends),
        counter,
    }
}

/// Whether a fill goes on at the nearest end nearly every time; strands by their ends, in print order.
fn nearest_first(ends: &[(Point, Point)]) -> Option<bool> {
    if !(4..=MOST_ENDS).contains(&ends.len()) {
        return None;
    }
    let nearest = |i: usize| {
        let at = ends[i].1;
        let taken = at.distance(ends[i + 1].0);
        let others = ends[i + 1..].iter().flat_map(|(a, b)| [a, b]);
        taken <= others.map(|p| p.distance(at)).fold(f64::INFINITY, f64::min) + 1e-3
    };
    let right = (0..ends.len() - 1).filter(|i| nearest(*i)).count();
    Some(10 * right > 8 * (ends.len() - 1))
}

fn runs_counter(layer: &Layer, strand: &Strand) -> bool {
    let ring: Vec<Point> = layer.strand_beads(strand).iter().map(|b| b.from).collect();
    signed_area(&ring) > 0.0
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

/// Bands of layers with fewer walls or another flow than most.
fn faults(seen: &[Seen], settings: &Settings) -> Vec<Flaw> {
    let walls = |s: &Seen| s.walls.filter(|w| !s.solid && *w < settings.walls && *w > 0);
    let flow = |s: &Seen| {
        let share = s.wall_area_mm2? / settings.bead_area_mm2(s.height_mm);
        // To a hundredth, so that a band keeps together.
        ((share - 1.0).abs() > FLOW_OFF).then(|| (share * 50.0).round() as u32)
    };
    let mut found: Vec<Flaw> = bands(seen, walls).map(|(layers, walls)| Flaw::FewWalls { layers, walls }).collect();
    found.extend(
        bands(seen, flow)
            .map(|(layers, fiftieths)| (layers, f64::from(fiftieths) / 50.0))
            .map(|(layers, share)| Flaw::Flow { layers, share, by_override: false }),
    );
    found
}

/// Runs of neighbouring layers with one value; the first layer, which is often laid otherwise, is left out.
fn bands<T: PartialEq + Copy>(
    seen: &[Seen],
    of: impl Fn(&Seen) -> Option<T>,
) -> impl Iterator<Item = (std::ops::RangeInclusive<usize>, T)> {
    let mut bands: Vec<(std::ops::RangeInclusive<usize>, T)> = Vec::new();
    for (i, seen) in seen.iter().enumerate().skip(1) {
        let Some(value) = of(seen) else { continue };
        match bands.last_mut() {
            Some((layers, last)) if *last == value && *layers.end() + 1 == i => *layers = *layers.start()..=i,
            _ => bands.push((i..=i, value)),
        }
    }
    bands.into_iter()
}

/// Outlines as they were meant: where a band has too little flow, its beads reach less far out than their centrelines
/// were laid for.
fn slices(seen: &[Seen], settings: &Settings) -> Vec<Slice> {
    let share = |i: usize| {
        settings.flaws.iter().find_map(|flaw| match flaw {
            Flaw::Flow { layers, share, .. } if layers.contains(&i) => Some(*share),
            _ => None,
        })
    };
    let one = |(i, seen): (usize, &Seen)| {
        let missing_mm = share(i).map(|share| {
            let full = settings.bead_area_mm2(seen.height_mm);
            0.5 * (settings.bead_width_mm - crate::deposit::width_mm(share * full, seen.height_mm))
        });
        let meant = |outline: &Vec<Polygon>| match missing_mm {
            Some(by_mm) => offset(outline, by_mm),
            None => outline.clone(),
        };
        let bodies = seen.bodies.iter().map(|(tool, outline)| (*tool, meant(outline))).collect();
        Slice { z_mm: seen.z_mm, height_mm: seen.height_mm, bodies }
    };
    seen.iter().enumerate().map(one).collect()
}
