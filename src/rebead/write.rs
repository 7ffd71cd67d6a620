//! Laid layers as G-code text.

use super::arcs::leading_arc;
use super::dialect::{Dialect, Words};
use super::laid::{Laid, LaidLayer, LaidStrand};
use super::pen::Pen;
use super::settings::Retraction;
use crate::geom::Point;
use crate::profile::{Corner, Limits, Role};

/// Writes what has been laid as G-code text.
///
/// The text begins with limits and temperatures if the dialect wants them, homes the machine, and ends with the
/// heaters off. Every bead's filament is its volume over the filament's section.
#[must_use]
pub fn write(laid: &Laid, dialect: &Dialect, limits: &Limits) -> String {
    let mut writer = Writer {
        laid,
        dialect,
        pen: Pen::new(dialect),
        at: None,
        tool: laid.tools().first().copied().unwrap_or(0),
        held_back: 0.0,
        lifted: false,
        flow: 1.0,
        role: None,
        pending: None,
    };
    writer.head(limits);
    for layer in &laid.layers {
        writer.layer(layer);
    }
    writer.tail();
    writer.pen.into_text()
}

struct Writer<'a> {
    laid: &'a Laid,
    dialect: &'a Dialect,
    pen: Pen<'a>,
    /// Where the nozzle is in x and y, once it is known.
    at: Option<Point>,
    tool: u16,
    /// Filament pulled back and not fed again yet, mm.
    held_back: f64,
    lifted: bool,
    /// Flow override in force, as a share, besides the dialect's own.
    flow: f64,
    role: Option<Role>,
    /// A feature comment that waits for its command.
    pending: Option<&'static str>,
}

impl Writer<'_> {
    fn retraction(&self) -> Retraction {
        self.laid.settings.retraction
    }

    fn head(&mut self, limits: &Limits) {
        if let Some(title) = &self.dialect.title {
            self.pen.comment(title);
        }
        if self.dialect.limits {
            self.limits(limits);
        }
        let (nozzle, bed) = self.dialect.celsius;
        if self.dialect.temperatures {
            self.pen.command(&format!("M140 S{bed}"));
            self.pen.command(&format!("M104 S{nozzle}"));
        }
        self.pen.command("G28");
        self.pen.at_home();
        if self.dialect.temperatures {
            self.pen.command(&format!("M190 S{bed}"));
            self.pen.command(&format!("M109 S{nozzle}"));
        }
        self.pen.command(if self.dialect.inches { "G20" } else { "G21" });
        self.pen.command(if self.dialect.relative_xyz { "G91" } else { "G90" });
        self.pen.command(if self.dialect.relative_e { "M83" } else { "M82" });
        self.switches();
        if self.laid.tools().len() > 1 {
            self.pen.command(&format!("T{}", self.tool));
        }
        self.pen.reset_e();
    }

    fn limits(&mut self, limits: &Limits) {
        let axes = |v: [f64; 4]| format!("X{} Y{} Z{} E{}", v[0], v[1], v[2], v[3]);
        self.pen.command(&format!("M201 {}", axes(limits.accel_mm_s2)));
        self.pen.command(&format!("M203 {}", axes(limits.speed_mm_s)));
        let (p, t, r) = (limits.accel_print_mm_s2, limits.accel_travel_mm_s2, limits.accel_retract_mm_s2);
        self.pen.command(&format!("M204 P{p} T{t} R{r}"));
        match limits.corner() {
            Corner::DeviationMm(deviation) => self.pen.command(&format!("M205 J{deviation}")),
            Corner::StepMmS(step) => self.pen.command(&format!("M205 {}", axes(step))),
        }
    }

    /// What else the dialect switches on.
    fn switches(&mut self) {
        let unit = if self.dialect.inches { 25.4 } else { 1.0 };
        let retraction = self.retraction();
        if self.dialect.volumetric {
            let diameter = self.laid.settings.filament_mm.first().copied().unwrap_or(1.75);
            self.pen.command(&format!("M200 D{:.5}", diameter / unit));
        }
        if self.dialect.firmware_retraction {
            let (length, feed) = (retraction.length_mm / unit, retraction.speed_mm_s * 60.0 / unit);
            self.pen.command(&format!("M207 S{length:.5} F{feed:.2} Z{:.5}", retraction.hop_mm / unit));
            self.pen.command(&format!("M208 S0 F{feed:.2}"));
        }
        if let Some(percent) = self.dialect.speed_percent {
            self.pen.command(&format!("M220 S{percent}"));
        }
        self.flow_override(1.0);
    }

    /// Writes the flow override if it is not what it was.
    fn flow_override(&mut self, share: f64) {
        let percent = self.dialect.flow_percent.unwrap_or(100.0) * share;
        if share != self.flow || (share == 1.0 && self.dialect.flow_percent.is_some() && self.role.is_none()) {
            self.pen.command(&format!("M221 S{}", (percent * 1e3).round() / 1e3));
            self.flow = share;
        }
    }

    fn layer(&mut self, layer: &LaidLayer) {
        for (before, command) in &self.dialect.stops {
            if *before == layer.index {
                self.hold_back();
                self.pen.command(command);
            }
        }
        if let Some((every, milliseconds)) = self.dialect.dwell
            && layer.index > 0
            && layer.index.is_multiple_of(every.max(1))
        {
            self.pen.command(&format!("G4 P{milliseconds}"));
        }
        if self.dialect.reset_e && !self.dialect.relative_e && layer.index > 0 {
            self.pen.reset_e();
        }
        if self.dialect.layer_comments {
            self.pen.comment(&format!("layer {}, top at {:.3} mm", layer.index, layer.z_mm));
        }
        for tool in self.tools_in_order(layer) {
            if tool != self.tool {
                self.change_tool(tool);
            }
            for strand in layer.strands.iter().filter(|s| s.tool == tool) {
                self.strand(layer, strand);
            }
        }
    }

    /// Tools of a layer, beginning with the one in use.
    fn tools_in_order(&self, layer: &LaidLayer) -> Vec<u16> {
        let mut tools: Vec<u16> = layer.strands.iter().map(|s| s.tool).collect();
        tools.sort_by_key(|t| (*t != self.tool, *t));
        tools.dedup();
        tools
    }

    fn change_tool(&mut self, tool: u16) {
        self.hold_back();
        self.pen.command(&format!("T{tool}"));
        // Every tool has its own filament, which is not held back yet.
        self.prime();
        self.tool = tool;
        self.role = None;
    }

    fn strand(&mut self, layer: &LaidLayer, strand: &LaidStrand) {
        let (Some(&start), true) = (strand.points.first(), strand.points.len() > 1) else { return };
        self.feature(strand.role);
        let z = if strand.climbs { layer.z_mm - layer.height_mm } else { layer.z_mm };
        self.travel(start, z);
        self.flow_override(strand.flow);
        self.lay(layer, strand);
        self.at = strand.points.last().copied();
    }

    fn feature(&mut self, role: Role) {
        if self.role == Some(role) {
            return;
        }
        self.role = Some(role);
        let Some(words) = self.dialect.words.of(role) else { return };
        if self.dialect.trailing { self.pending = Some(words) } else { self.pen.comment(words) }
    }

    /// Travels to the start of a strand, with retraction where it is far.
    fn travel(&mut self, to: Point, z_mm: f64) {
        let speeds = self.laid.settings.speeds;
        let far = self.at.is_none_or(|at| at.distance(to) > self.retraction().least_travel_mm);
        let to_xy = [Some(to.x), Some(to.y), None];
        if far && self.dialect.retract_on_travel && self.at.is_some() && !self.dialect.firmware_retraction {
            self.pull_while_travelling(to);
        } else {
            if far {
                self.hold_back();
            }
            let lifted = if self.lifted { self.retraction().hop_mm } else { 0.0 };
            self.pen.go([None, None, Some(z_mm + lifted)], None, speeds.lift, None);
            self.pen.go(to_xy, None, speeds.travel, None);
        }
        self.lifted = false;
        self.pen.go([None, None, Some(z_mm)], None, speeds.lift, None);
        self.prime();
    }

    /// Goes the first half of a travel while the filament is pulled back; it is fed again at its end.
    fn pull_while_travelling(&mut self, to: Point) {
        let (retraction, speeds) = (self.retraction(), self.laid.settings.speeds);
        let half = self.at.unwrap_or(to).lerp(to, 0.5);
        let length = self.extruder_units(retraction.length_mm);
        self.held_back = retraction.length_mm;
        self.pen.go([Some(half.x), Some(half.y), None], Some(-length), speeds.travel, None);
        self.pen.go([Some(to.x), Some(to.y), None], None, speeds.travel, None);
    }

    /// Pulls the filament back and lifts the nozzle, unless that is done already.
    fn hold_back(&mut self) {
        let retraction = self.retraction();
        if self.held_back > 0.0 || retraction.length_mm <= 0.0 || self.at.is_none() {
            return;
        }
        self.held_back = retraction.length_mm;
        if self.dialect.firmware_retraction {
            self.pen.command("G10");
            return;
        }
        let length = self.extruder_units(retraction.length_mm);
        self.pen.go([None; 3], Some(-length), retraction.speed_mm_s, None);
        self.lifted = retraction.hop_mm > 0.0;
    }

    /// Feeds again what was pulled back.
    fn prime(&mut self) {
        if self.held_back <= 0.0 {
            return;
        }
        let length = self.extruder_units(self.held_back);
        self.held_back = 0.0;
        if self.dialect.firmware_retraction {
            self.pen.command("G11");
        } else {
            self.pen.go([None; 3], Some(length), self.retraction().speed_mm_s, None);
        }
    }

    /// A length of filament in the file's extruder unit. The machine multiplies what it is told by the flow
    /// override in force, so the text divides by the dialect's own share of it.
    fn extruder_units(&self, filament_mm: f64) -> f64 {
        let volume = if self.dialect.volumetric { self.laid.settings.filament_area_mm2(self.tool) } else { 1.0 };
        filament_mm * volume * 100.0 / self.dialect.flow_percent.unwrap_or(100.0) / self.flow
    }

    /// The pieces of one strand.
    fn lay(&mut self, layer: &LaidLayer, strand: &LaidStrand) {
        let filament = self.laid.settings.filament_area_mm2(strand.tool);
        let whole = strand.length_mm();
        let (mut gone, mut i) = (0.0, 0);
        let level = !strand.climbs && self.dialect.ripple_mm == 0.0;
        while i + 1 < strand.points.len() {
            let arc = if self.dialect.arcs && level { leading_arc(&strand.points[i..]) } else { None };
            let pieces = arc.map_or(1, |a| a.pieces);
            let run = i..i + pieces;
            let length: f64 = run.clone().map(|k| strand.points[k].distance(strand.points[k + 1])).sum();
            let volume: f64 = run.map(|k| strand.points[k].distance(strand.points[k + 1]) * strand.areas_mm2[k]).sum();
            gone += length;
            i += pieces;
            let (to, feeds) = (strand.points[i], self.extruder_units(volume / filament));
            let comment = self.pending.take();
            match arc {
                Some(arc) => {
                    let centre = [arc.centre.x, arc.centre.y];
                    self.pen.arc([to.x, to.y], centre, arc.counter, feeds, strand.speed_mm_s, comment);
                }
                None => {
                    let z = (!level).then(|| self.height(layer, strand, gone / whole, to));
                    self.pen.go([Some(to.x), Some(to.y), z], Some(feeds), strand.speed_mm_s, comment);
                }
            }
        }
    }

    /// Height of the nozzle at a share of a climbing or rippled strand, mm.
    fn height(&self, layer: &LaidLayer, strand: &LaidStrand, share: f64, at: Point) -> f64 {
        if strand.climbs {
            return layer.z_mm - layer.height_mm * (1.0 - share);
        }
        layer.z_mm + self.dialect.ripple_mm * (0.31 * at.x).sin() * (0.23 * at.y).cos()
    }

    fn tail(&mut self) {
        self.flow_override(1.0);
        self.hold_back();
        if self.dialect.temperatures {
            self.pen.command("M104 S0");
            self.pen.command("M140 S0");
        }
        if self.dialect.words != Words::Silent {
            self.pen.comment("end");
        }
        self.pen.command("M84");
    }
}
