//! What rules may look at.

use crate::measure::{LayerMeasure, PrintMeasures, Setup};
use crate::profile::{Material, StrengthProfile};
use crate::strength::CaseResult;

/// What rules may look at: measurements, and what was asked.
#[derive(Debug, Clone, Copy)]
pub struct AuditContext<'a> {
    /// What was measured.
    pub measures: &'a PrintMeasures,
    /// Machine and materials.
    pub setup: &'a Setup,
    /// The strength profile to check, if one was asked for.
    pub strength: Option<&'a StrengthProfile>,
    /// What the load cases that were asked for came to.
    pub cases: &'a [CaseResult],
}

impl<'a> AuditContext<'a> {
    /// Whether there is anything a part could fail.
    #[must_use]
    pub fn asks_something(&self) -> bool {
        self.strength.is_some() || !self.cases.is_empty()
    }

    /// Materials that are laid, each once.
    #[must_use]
    pub fn materials(&self) -> Vec<&'a Material> {
        let mut materials: Vec<&Material> = Vec::new();
        for material in self.measures.tools.iter().filter_map(|t| self.setup.material(t.tool)) {
            if !materials.iter().any(|m| m.name == material.name) {
                materials.push(material);
            }
        }
        materials
    }

    /// Layers of the part, from the bed up in print order.
    #[must_use]
    pub fn layers(&self) -> &'a [LayerMeasure] {
        &self.measures.layers
    }

    /// The layer with this index.
    #[must_use]
    pub fn layer(&self, index: usize) -> Option<&'a LayerMeasure> {
        self.layers().get(index)
    }

    /// Heights of the lower face of the first and the upper face of the last of some layers, mm.
    #[must_use]
    pub fn heights(&self, (first, last): (usize, usize)) -> Option<(f64, f64)> {
        let (first, last) = (self.layer(first)?, self.layer(last)?);
        Some((first.z_mm - first.height_mm, last.z_mm))
    }
}
