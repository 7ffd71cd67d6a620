//! What comes out of the interpreter: moves and events, in the order the machine runs them.

use crate::profile::Role;

/// One thing the machine does.
#[derive(Debug, Clone, PartialEq)]
pub enum Step {
    /// It moves, or feeds filament, or both.
    Move(Move),
    /// It does something else.
    Event(Event),
}

/// What a move does with the filament.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MoveKind {
    /// The nozzle moves, nothing is fed.
    Travel,
    /// The nozzle moves and plastic comes out.
    Deposit,
    /// Filament is pulled back, with or without nozzle motion (a wipe).
    Retract,
    /// Filament goes forward with nothing or only the retraction debt to show for it.
    Prime,
}

/// One straight piece of motion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Move {
    /// Line of the file, counted from 1.
    pub line: u64,
    /// What it does with the filament.
    pub kind: MoveKind,
    /// Where it starts, mm (x, y, z), in the coordinates of the first G92-free frame: the machine's own.
    pub from: [f64; 3],
    /// Where it ends, mm.
    pub to: [f64; 3],
    /// Length along the true path (of the arc, if this is a chord of one), mm.
    pub length_mm: f64,
    /// Filament fed (forward positive), mm, after flow overrides.
    pub fed_mm: f64,
    /// Plastic laid along the path, mm³: what was fed less what paid back earlier retraction.
    /// Zero unless the kind is `Deposit`.
    pub bead_mm3: f64,
    /// Plastic that came out with no path to lie on (feed without motion beyond the debt), mm³.
    pub blob_mm3: f64,
    /// Speed asked for along the path (or of the filament alone), mm/s, after the speed override.
    pub feed_mm_s: f64,
    /// How long it takes, s; set by the planner.
    pub time_s: f64,
    /// Tool in use.
    pub tool: u16,
    /// Set nozzle temperature, °C, if any was ever set for this tool.
    pub nozzle_c: Option<f64>,
    /// Role that the comment in force names, by the trade words of the annotation profile.
    pub label: Option<Role>,
}

/// Something the machine does that is not motion.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// Line of the file, counted from 1.
    pub line: u64,
    /// How long it takes, s (dwell time, or a wait from the machine profile).
    pub time_s: f64,
    /// What it is.
    pub kind: EventKind,
}

/// What the machine does when it does not move.
#[derive(Debug, Clone, PartialEq)]
pub enum EventKind {
    /// Waits a stated time.
    Dwell,
    /// Sets a nozzle temperature.
    Nozzle {
        /// Which tool.
        tool: u16,
        /// Asked temperature, °C.
        celsius: f64,
        /// Waits until it is reached.
        wait: bool,
    },
    /// Sets the bed temperature.
    Bed {
        /// Asked temperature, °C.
        celsius: f64,
        /// Waits until it is reached.
        wait: bool,
    },
    /// Sets the chamber temperature.
    Chamber {
        /// Asked temperature, °C.
        celsius: f64,
        /// Waits until it is reached.
        wait: bool,
    },
    /// Sets the part fan, 0 to 1.
    Fan {
        /// Share of full speed.
        share: f64,
    },
    /// Changes the tool.
    Tool {
        /// The tool from here on.
        to: u16,
    },
    /// Finds the ends of its axes.
    Home,
    /// Waits for a person (M0, M1 or a stop code of the machine profile).
    Stop,
    /// A comment says a layer begins here.
    LayerMark {
        /// The number it gives, if any.
        index: Option<i64>,
    },
    /// The program ends; nothing after this runs.
    End,
}
