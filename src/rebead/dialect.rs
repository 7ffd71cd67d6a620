//! The ways of writing the same motion.

use crate::profile::Role;

/// How G-code text is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Dialect {
    /// Coordinates are distances from the last place (G91).
    pub relative_xyz: bool,
    /// Extruder positions are lengths fed since the last command (M83).
    pub relative_e: bool,
    /// Inches (G20).
    pub inches: bool,
    /// Extruder values are volumes (M200), mm³ (cubic inches with inches).
    pub volumetric: bool,
    /// The extruder's position is set to zero at every layer (only with absolute extruder positions).
    pub reset_e: bool,
    /// Comments about roles.
    pub words: Words,
    /// Comments about layers.
    pub layer_comments: bool,
    /// Comments stand in parentheses instead of after a semicolon.
    pub parentheses: bool,
    /// Every feature comment stands at the end of the command it belongs to.
    pub trailing: bool,
    /// Lines end with CR LF.
    pub crlf: bool,
    /// Lines are numbered and carry a checksum.
    pub numbered: bool,
    /// Letters are small.
    pub lower_case: bool,
    /// No spaces between words.
    pub compact: bool,
    /// X and Y are written even when they do not change.
    pub all_words: bool,
    /// Trailing zeros are left out.
    pub trimmed: bool,
    /// Travel is written with G1 as well.
    pub travel_g1: bool,
    /// Retraction by G10 and G11, with M207 to set it.
    pub firmware_retraction: bool,
    /// Filament is pulled back and fed again while the nozzle travels.
    pub retract_on_travel: bool,
    /// Round runs are written as arcs (G2, G3).
    pub arcs: bool,
    /// Flow override for the whole file (M221), percent; the lengths fed make up for it.
    pub flow_percent: Option<f64>,
    /// Speed override for the whole file (M220), percent; the feeds make up for it.
    pub speed_percent: Option<f64>,
    /// A dwell of this many milliseconds before every n-th layer.
    pub dwell: Option<(usize, u32)>,
    /// Heights swing by this much along every layer, mm.
    pub ripple_mm: f64,
    /// The machine's limits are written at the head.
    pub limits: bool,
    /// Temperatures are written at the head.
    pub temperatures: bool,
    /// Nozzle and bed, °C.
    pub celsius: (f64, f64),
    /// Stops for a person: before which layers, and by which command.
    pub stops: Vec<(usize, String)>,
    /// The first line of the file, as a comment.
    pub title: Option<String>,
}

impl Default for Dialect {
    fn default() -> Self {
        Self {
            relative_xyz: false,
            relative_e: false,
            inches: false,
            volumetric: false,
            reset_e: false,
            words: Words::Plain,
            layer_comments: true,
            parentheses: false,
            trailing: false,
            crlf: false,
            numbered: false,
            lower_case: false,
            compact: false,
            all_words: false,
            trimmed: false,
            travel_g1: false,
            firmware_retraction: false,
            retract_on_travel: false,
            arcs: false,
            flow_percent: None,
            speed_percent: None,
            dwell: None,
            ripple_mm: 0.0,
            limits: true,
            temperatures: true,
            celsius: (215.0, 60.0),
            stops: Vec::new(),
            title: None,
        }
    }
}

/// The words for roles.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Words {
    /// None at all.
    Silent,
    /// Plain trade words.
    Plain,
    /// Other plain trade words.
    Other,
    /// Words that say something false: walls are called fill and fill walls.
    False,
}

impl Words {
    /// What a comment says for a role.
    #[must_use]
    pub const fn of(self, role: Role) -> Option<&'static str> {
        match self {
            Self::Silent => None,
            Self::Plain => Some(plain(role)),
            Self::Other => Some(other(role)),
            Self::False => Some(swapped(role)),
        }
    }
}

const fn plain(role: Role) -> &'static str {
    match role {
        Role::OuterWall => "outer wall",
        Role::InnerWall => "inner wall",
        Role::SparseInfill => "sparse infill",
        Role::SolidInfill => "solid infill",
        Role::Bridge => "bridge",
        Role::GapFill => "gap fill",
        Role::Support => "support",
        Role::Adhesion => "skirt or brim",
        Role::Purge => "purge line",
        Role::Unknown => "something else",
    }
}

const fn other(role: Role) -> &'static str {
    match role {
        Role::OuterWall => "outside edge wall",
        Role::InnerWall => "wall inside",
        Role::SparseInfill => "core fill",
        Role::SolidInfill => "closed fill",
        Role::Bridge => "bridging",
        Role::GapFill => "gap fill",
        Role::Support => "support",
        Role::Adhesion => "brim",
        Role::Purge => "purging",
        Role::Unknown => "all else",
    }
}

const fn swapped(role: Role) -> &'static str {
    match role {
        Role::OuterWall | Role::InnerWall => plain(Role::SparseInfill),
        Role::SparseInfill | Role::SolidInfill => plain(Role::InnerWall),
        _ => plain(role),
    }
}
