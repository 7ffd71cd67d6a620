//! What is known beside the file before it is measured, and why it could not be.

use crate::motion::Motion;
use crate::profile::{Annotations, Machine, Material};
use std::collections::BTreeMap;

/// What the user knows beside the file.
#[derive(Debug)]
pub struct Setup {
    /// The machine that will run it.
    pub machine: Machine,
    /// Material of each tool.
    pub materials: BTreeMap<u16, Material>,
    /// Material of every tool that is not named.
    pub material: Option<Material>,
    /// What comments mean.
    pub annotations: Annotations,
    /// Keep every wall sample and the cuts.
    pub detail: bool,
    /// The first line that cannot be read is an error.
    pub strict: bool,
}

impl Setup {
    /// What is known where a user names the machine and nothing else.
    #[must_use]
    pub fn of(machine: Machine) -> Self {
        Self {
            machine,
            materials: BTreeMap::new(),
            material: None,
            annotations: Annotations::built_in(),
            detail: false,
            strict: false,
        }
    }

    /// The material a tool lays, if the user said.
    #[must_use]
    pub fn material(&self, tool: u16) -> Option<&Material> {
        self.materials.get(&tool).or(self.material.as_ref())
    }

    /// Diameter of a tool's filament, mm: the material's, else the machine's.
    #[must_use]
    pub fn filament_mm(&self, tool: u16) -> f64 {
        self.material(tool).and_then(|m| m.filament_mm).unwrap_or(self.machine.filament_mm)
    }

    /// The machine at rest, with each tool's filament.
    #[must_use]
    pub fn motion(&self) -> Motion {
        let machine = Motion::new(&self.machine, &self.annotations);
        (0..self.tool_count()).fold(machine, |motion, tool| motion.with_filament_mm(tool, self.filament_mm(tool)))
    }

    /// Tools whose filament may be named: the machine's, and those with a material of their own.
    fn tool_count(&self) -> u16 {
        let named = self.materials.keys().next_back().map_or(0, |&tool| tool.saturating_add(1));
        named.max(self.machine.tools)
    }
}

/// Why a file could not be measured.
#[derive(Debug, thiserror::Error)]
pub enum MeasureError {
    /// Nothing in it lays plastic.
    #[error("no plastic is laid anywhere in its {lines} lines; is this a G-code file for a printer?")]
    NoDeposit {
        /// Lines read.
        lines: u64,
    },
    /// Strict reading met a line it could not read.
    #[error("line {line}: {message}")]
    BadLine {
        /// Counted from 1.
        line: u64,
        /// What is wrong with it.
        message: String,
    },
}
