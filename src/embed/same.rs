//! Whether two runs of the machine do the same, and if not, what differs.

use crate::deposit::Layer;
use crate::motion::Move;
use crate::motion::State;
use crate::motion::Step;
use crate::motion::ToolState;

/// What two numbers may differ by, for rounding in the file's own decimals: a hundredth of a micrometre.
const TOLERANCE: f64 = 1e-5;

/// One thing that is not the same.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// What it is, such as "the feed, mm/s".
    pub what: &'static str,
    /// What it was in the original.
    pub was: String,
    /// What it is in the stopped file.
    pub is: String,
}

impl std::fmt::Display for Difference {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} was {} and would be {}", self.what, self.was, self.is)
    }
}

/// Collects the first difference.
#[derive(Default)]
struct Hold {
    first: Option<Difference>,
}

impl Hold {
    fn differs(&mut self, what: &'static str, was: impl std::fmt::Debug, is: impl std::fmt::Debug) {
        self.first.get_or_insert_with(|| Difference { what, was: format!("{was:?}"), is: format!("{is:?}") });
    }

    /// Two numbers. Not-a-number is never the same.
    fn number(&mut self, what: &'static str, was: f64, is: f64) -> &mut Self {
        let same = (was - is).abs() <= TOLERANCE;
        if !same {
            self.differs(what, was, is);
        }
        self
    }

    fn maybe(&mut self, what: &'static str, was: Option<f64>, is: Option<f64>) -> &mut Self {
        match (was, is) {
            (Some(was), Some(is)) => _ = self.number(what, was, is),
            (None, None) => {}
            _ => self.differs(what, was, is),
        }
        self
    }

    fn place(&mut self, what: &'static str, was: [f64; 3], is: [f64; 3]) -> &mut Self {
        for (was, is) in was.into_iter().zip(is) {
            self.number(what, was, is);
        }
        self
    }

    fn equal<T: PartialEq + std::fmt::Debug>(&mut self, what: &'static str, was: T, is: T) -> &mut Self {
        if was != is {
            self.differs(what, was, is);
        }
        self
    }
}

/// What differs between two steps, lines and times apart.
pub(super) fn steps(was: &Step, is: &Step) -> Option<Difference> {
    match (was, is) {
        (Step::Move(was), Step::Move(is)) => moves(was, is),
        (Step::Event(was), Step::Event(is)) => {
            let mut hold = Hold::default();
            hold.equal("what the machine does", &was.kind, &is.kind);
            hold.first
        }
        _ => {
            let mut hold = Hold::default();
            hold.differs("what the machine does", was, is);
            hold.first
        }
    }
}

fn moves(was: &Move, is: &Move) -> Option<Difference> {
    // Nearly every step is the same to the last bit, which is asked first.
    let times_apart = Move { line: was.line, time_s: was.time_s, ..*is };
    if times_apart == *was {
        return None;
    }
    let mut hold = Hold::default();
    hold.place("the start, mm,", was.from, is.from)
        .place("the end, mm,", was.to, is.to)
        .number("the filament fed, mm,", was.fed_mm, is.fed_mm)
        .equal("the kind of move", was.kind, is.kind)
        .number("the plastic laid, mm³,", was.bead_mm3, is.bead_mm3)
        .number("the plastic without a path, mm³,", was.blob_mm3, is.blob_mm3)
        .number("the length, mm,", was.length_mm, is.length_mm)
        .number("the feed, mm/s,", was.feed_mm_s, is.feed_mm_s)
        .equal("the tool", was.tool, is.tool)
        .maybe("the nozzle temperature, °C,", was.nozzle_c, is.nozzle_c)
        .equal("the role by words", was.label, is.label);
    hold.first
}

/// What differs between two layers, times apart.
pub(super) fn layers(was: &Layer, is: &Layer) -> Option<Difference> {
    let mut hold = Hold::default();
    hold.equal("its number", was.index, is.index)
        .equal("what it belongs to", was.kind, is.kind)
        .number("its top, mm,", was.z_mm, is.z_mm)
        .number("its height, mm,", was.height_mm, is.height_mm)
        .equal("the number of beads", was.beads.len(), is.beads.len());
    for (was, is) in was.beads.iter().zip(&is.beads) {
        hold.place("where a bead starts, mm,", [was.from.x, was.from.y, was.z_mm], [is.from.x, is.from.y, is.z_mm])
            .place("where a bead ends, mm,", [was.to.x, was.to.y, was.z_mm], [is.to.x, is.to.y, is.z_mm])
            .number("the section of a bead, mm²,", was.area_mm2, is.area_mm2);
    }
    hold.first
}

/// What differs between what two machines remember.
pub(super) fn states(was: &State, is: &State) -> Option<Difference> {
    let mut hold = Hold::default();
    hold.place("the nozzle's place, mm,", was.nozzle_mm(), is.nozzle_mm())
        .place("the offset set by G92, mm,", was.offset_mm, is.offset_mm)
        .equal("the tool", was.tool, is.tool)
        .number("the extruder's position", was.extruder, is.extruder)
        .number("the fan", was.fan, is.fan)
        .maybe("the feed, mm/s,", was.feed_mm_s, is.feed_mm_s)
        .number("the speed override", was.speed_override, is.speed_override)
        .number("the unit of length, mm,", was.unit_mm, is.unit_mm)
        .equal("whether places are relative", was.relative, is.relative)
        .equal("whether the extruder is relative", was.relative_extruder, is.relative_extruder)
        .equal("whether arc centres are places", was.absolute_centres, is.absolute_centres)
        .equal("the plane of arcs", was.plane, is.plane)
        .maybe("the bed temperature, °C,", was.bed_c, is.bed_c)
        .maybe("the chamber temperature, °C,", was.chamber_c, is.chamber_c)
        .equal("the machine's own retraction", was.firmware_retract, is.firmware_retract)
        .equal("the limits of speed and acceleration", &was.limits, &is.limits)
        .equal("the flow switch", was.flow_switch, is.flow_switch)
        .equal("whether the program has ended", was.ended, is.ended)
        .equal("the number of tools met", was.tools.len(), is.tools.len());
    for (was, is) in was.tools.iter().zip(&is.tools) {
        tools(&mut hold, was, is);
    }
    hold.first
}

fn tools(hold: &mut Hold, was: &ToolState, is: &ToolState) {
    hold.maybe("the nozzle temperature, °C,", was.nozzle_c, is.nozzle_c)
        .number("the flow override", was.flow, is.flow)
        .equal("whether the machine holds the filament back", was.held_back, is.held_back)
        .number("the filament's diameter, mm,", was.filament_mm, is.filament_mm)
        .equal("whether E counts volume", was.volumetric, is.volumetric)
        .number("the filament pulled back, mm,", was.filament.debt_mm(), is.filament.debt_mm());
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deposit::{Bead, LayerKind, by_hand};
    use crate::geom::Point;
    use crate::motion::{Event, EventKind, MoveKind};

    #[test]
    fn not_a_number_is_never_the_same() {
        let mut hold = Hold::default();
        hold.number("x", f64::NAN, f64::NAN);
        assert!(hold.first.is_some());
    }

    fn bead_move() -> Move {
        Move {
            line: 7,
            kind: MoveKind::Deposit,
            from: [1.0, 2.0, 0.2],
            to: [4.0, 6.0, 0.2],
            length_mm: 5.0,
            fed_mm: 0.2,
            bead_mm3: 0.48,
            blob_mm3: 0.0,
            feed_mm_s: 40.0,
            time_s: 0.125,
            tool: 0,
            nozzle_c: Some(215.0),
            label: None,
        }
    }

    #[test]
    fn each_quantity_of_a_move_must_be_the_same_but_line_and_time() {
        let was = bead_move();
        let differs = |change: fn(&mut Move)| {
            let mut is = was;
            change(&mut is);
            steps(&Step::Move(was), &Step::Move(is)).map(|difference| difference.what)
        };
        assert_eq!(differs(|is| (is.line, is.time_s) = (19, 0.3)), None);
        // Rounding in the file's own decimals is no difference.
        assert_eq!(differs(|is| is.to[0] += 1e-6), None);
        assert_eq!(differs(|is| is.from[2] += 1e-4), Some("the start, mm,"));
        assert_eq!(differs(|is| is.to[1] -= 1e-4), Some("the end, mm,"));
        assert_eq!(differs(|is| is.fed_mm = 0.21), Some("the filament fed, mm,"));
        assert_eq!(differs(|is| is.kind = MoveKind::Travel), Some("the kind of move"));
        assert_eq!(differs(|is| is.bead_mm3 = 0.5), Some("the plastic laid, mm³,"));
        assert_eq!(differs(|is| is.blob_mm3 = 0.1), Some("the plastic without a path, mm³,"));
        assert_eq!(differs(|is| is.length_mm = 5.1), Some("the length, mm,"));
        assert_eq!(differs(|is| is.feed_mm_s = 41.0), Some("the feed, mm/s,"));
        assert_eq!(differs(|is| is.tool = 1), Some("the tool"));
        assert_eq!(differs(|is| is.nozzle_c = None), Some("the nozzle temperature, °C,"));
        assert_eq!(differs(|is| is.nozzle_c = Some(214.0)), Some("the nozzle temperature, °C,"));
        assert_eq!(differs(|is| is.label = Some(crate::profile::Role::OuterWall)), Some("the role by words"));
        let event = Step::Event(Event { line: 7, time_s: 0.0, kind: EventKind::Stop });
        assert_eq!(steps(&Step::Move(was), &event).map(|d| d.what), Some("what the machine does"));
    }

    #[test]
    fn each_quantity_of_a_layer_must_be_the_same_but_lines_and_times() {
        let bead = Bead {
            from: Point::new(1.0, 2.0),
            to: Point::new(4.0, 6.0),
            z_mm: 0.2,
            length_mm: 5.0,
            area_mm2: 0.096,
            width_mm: 0.5,
            time_s: 0.125,
            line: 7,
        };
        let was = Layer { z_mm: 0.2, time_s: 1.0, lines: (7, 9), ..by_hand::layer(3, 0.2, vec![bead]) };
        let differs = |change: &dyn Fn(&mut Layer)| {
            let mut is = was.clone();
            change(&mut is);
            layers(&was, &is).map(|difference| difference.what)
        };
        assert_eq!(differs(&|is| (is.time_s, is.lines, is.beads[0].line) = (2.0, (17, 19), 17)), None);
        assert_eq!(differs(&|is| is.index = None), Some("its number"));
        assert_eq!(differs(&|is| is.kind = LayerKind::Raft), Some("what it belongs to"));
        assert_eq!(differs(&|is| is.z_mm = 0.3), Some("its top, mm,"));
        assert_eq!(differs(&|is| is.height_mm = 0.25), Some("its height, mm,"));
        assert_eq!(differs(&|is| is.beads.clear()), Some("the number of beads"));
        assert_eq!(differs(&|is| is.beads[0].from.y = 2.1), Some("where a bead starts, mm,"));
        assert_eq!(differs(&|is| is.beads[0].to.x = 4.1), Some("where a bead ends, mm,"));
        assert_eq!(differs(&|is| is.beads[0].area_mm2 = 0.1), Some("the section of a bead, mm²,"));
    }

    #[test]
    fn events_must_be_alike() {
        let event = |share| Step::Event(Event { line: 1, time_s: 0.0, kind: EventKind::Fan { share } });
        assert_eq!(steps(&event(0.5), &event(0.5)), None);
        assert_eq!(steps(&event(0.5), &event(0.6)).map(|d| d.what), Some("what the machine does"));
    }
}
