//! `beadwise` reads the G-code a printer is about to run and says what it will really make.
//!
//! Data flows one way, and each room knows only the rooms above it in this list
//! (`tests/rooms.rs` reads the `use` lines to prove it):
//!
//! ```text
//! bytes -> lines -> commands -> moves -> layers of beads -> shapes -> measurements -> verdicts -> reports
//! ```
//!
//! 1. [`units`]: quantities with units, as a person writes and reads them.
//! 2. [`diag`]: what is wrong, where, and what to do about it.
//! 3. [`geom`]: points, polygons, areas, moments, fits; knows nothing of printing.
//! 4. [`source`]: bytes in, and a safe way to write a new file.
//! 5. [`gcode`]: lines and their words, and back again byte for byte.
//! 6. [`profile`]: materials, machines, strength profiles, annotation words (TOML).
//! 7. [`motion`]: the machine's state, moves and the time of each.
//! 8. [`deposit`]: layers of beads with width, height and role.
//! 9. [`shape`]: outlines, walls, core, skins, bond area, sections, rounds, pockets of a layer.
//! 10. [`measure`]: the numbers of an audit, as sums of parts.
//! 11. [`rebead`]: lays outlines as beads again with other settings.
//! 12. [`strength`]: loads, capacities, weakest places, reserves.
//! 13. [`audit`]: findings and the verdict.
//! 14. [`embed`]: stops for built-in hardware, planned, written and proven.
//! 15. [`compare`]: several audits side by side.
//! 16. [`advise`]: the cheapest settings that hold.
//! 17. [`report`]: one model, then text, JSON and pages.

pub mod units;

pub mod diag;

pub mod geom;

pub mod source;

pub mod gcode;

pub mod profile;

pub mod motion;

pub mod deposit;

pub mod shape;

pub mod measure;

pub mod rebead;

pub mod strength;

pub mod audit;

pub mod embed;

pub mod compare;

pub mod advise;

pub mod report;
