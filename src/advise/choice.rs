//! What may be chosen when a part is laid again.

use super::survey::Survey;
use crate::rebead::{CoreFill, Lie, Pattern, Settings, Slice};

/// Heights that differ by less are the same, mm.
const HAIR_MM: f64 = 1e-6;

/// Settings that advice may turn; whole numbers, so that two of them are alike or not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Choice {
    /// Beads along every edge.
    pub walls: u32,
    /// Share of the core that is filled, percent.
    pub core_percent: u32,
    /// How the core's lines run, and how layers of it lie on each other.
    pub core: CoreKind,
    /// Solid layers above every floor.
    pub bottom_skins: u32,
    /// Solid layers under every roof.
    pub top_skins: u32,
    /// Width of a bead, µm.
    pub bead_width_um: u32,
    /// Thickness of every layer but the first, µm; 0 keeps the file's own layers.
    pub layer_height_um: u32,
}

/// A pattern of the core and how its layers lie on each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CoreKind {
    /// One family of straight lines, turned from layer to layer.
    Alternating,
    /// One family of straight lines, line on line.
    Ribs,
    /// Two families, line on line.
    Grid,
    /// Two families, turned by half a right angle from layer to layer.
    TurnedGrid,
    /// Three families, line on line.
    Triangles,
    /// Three families, turned from layer to layer.
    TurnedTriangles,
    /// Loops that follow the walls, line on line.
    Loops,
    /// Loops that follow the walls, shifted from layer to layer.
    ShiftedLoops,
    /// Waves, line on line.
    Waves,
    /// Waves, turned from layer to layer.
    AlternatingWaves,
}

impl CoreKind {
    /// Every kind.
    pub const ALL: [Self; 10] = [
        Self::Alternating,
        Self::Ribs,
        Self::Grid,
        Self::TurnedGrid,
        Self::Triangles,
        Self::TurnedTriangles,
        Self::Loops,
        Self::ShiftedLoops,
        Self::Waves,
        Self::AlternatingWaves,
    ];

    /// The kind of a core.
    #[must_use]
    pub const fn of(core: &CoreFill) -> Self {
        match (core.pattern, core.lie) {
            (Pattern::Straight, Lie::Crossed) => Self::Alternating,
            (Pattern::Straight, Lie::Aligned) => Self::Ribs,
            (Pattern::Grid, Lie::Aligned) => Self::Grid,
            (Pattern::Grid, Lie::Crossed) => Self::TurnedGrid,
            (Pattern::Triangles, Lie::Aligned) => Self::Triangles,
            (Pattern::Triangles, Lie::Crossed) => Self::TurnedTriangles,
            (Pattern::Concentric, Lie::Aligned) => Self::Loops,
            (Pattern::Concentric, Lie::Crossed) => Self::ShiftedLoops,
            (Pattern::Wavy, Lie::Aligned) => Self::Waves,
            (Pattern::Wavy, Lie::Crossed) => Self::AlternatingWaves,
        }
    }

    const fn pattern_and_lie(self) -> (Pattern, Lie) {
        match self {
            Self::Alternating => (Pattern::Straight, Lie::Crossed),
            Self::Ribs => (Pattern::Straight, Lie::Aligned),
            Self::Grid => (Pattern::Grid, Lie::Aligned),
            Self::TurnedGrid => (Pattern::Grid, Lie::Crossed),
            Self::Triangles => (Pattern::Triangles, Lie::Aligned),
            Self::TurnedTriangles => (Pattern::Triangles, Lie::Crossed),
            Self::Loops => (Pattern::Concentric, Lie::Aligned),
            Self::ShiftedLoops => (Pattern::Concentric, Lie::Crossed),
            Self::Waves => (Pattern::Wavy, Lie::Aligned),
            Self::AlternatingWaves => (Pattern::Wavy, Lie::Crossed),
        }
    }

    /// What a mechanic would call it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Alternating => "straight lines, each layer across the last",
            Self::Ribs => "straight lines, line on line",
            Self::Grid => "a grid, line on line",
            Self::TurnedGrid => "a grid, turned from layer to layer",
            Self::Triangles => "triangles, line on line",
            Self::TurnedTriangles => "triangles, turned from layer to layer",
            Self::Loops => "loops along the walls, line on line",
            Self::ShiftedLoops => "loops along the walls, shifted from layer to layer",
            Self::Waves => "waves, line on line",
            Self::AlternatingWaves => "waves, each layer across the last",
        }
    }

    /// The same in one word or two, for tables.
    #[must_use]
    pub const fn short_words(self) -> &'static str {
        match self {
            Self::Alternating => "crossed lines",
            Self::Ribs => "lines",
            Self::Grid => "grid",
            Self::TurnedGrid => "turned grid",
            Self::Triangles => "triangles",
            Self::TurnedTriangles => "turned triangles",
            Self::Loops => "loops",
            Self::ShiftedLoops => "shifted loops",
            Self::Waves => "waves",
            Self::AlternatingWaves => "crossed waves",
        }
    }
}

impl Choice {
    /// What a file was laid with; its core to a whole percent.
    #[must_use]
    pub fn of(survey: &Survey, core_density: Option<f64>) -> Self {
        let settings = &survey.settings;
        Self {
            walls: settings.walls,
            core_percent: (100.0 * core_density.unwrap_or(settings.core.density)).round() as u32,
            core: CoreKind::of(&settings.core),
            bottom_skins: settings.bottom_skins,
            top_skins: settings.top_skins,
            bead_width_um: (settings.bead_width_mm * 1000.0).round() as u32,
            layer_height_um: 0,
        }
    }

    /// Width of a bead, mm.
    #[must_use]
    pub fn bead_width_mm(&self) -> f64 {
        f64::from(self.bead_width_um) / 1000.0
    }

    /// Thickness of every layer but the first, mm, if it is not the file's own.
    #[must_use]
    pub fn layer_height_mm(&self) -> Option<f64> {
        (self.layer_height_um > 0).then(|| f64::from(self.layer_height_um) / 1000.0)
    }

    /// Share of the core that is filled.
    #[must_use]
    pub fn core_density(&self) -> f64 {
        f64::from(self.core_percent) / 100.0
    }

    /// The settings to lay it with: everything else stays as `from`. A density that is measured comes of one that is
    /// laid `density_factor` times as high.
    pub(super) fn settings(&self, from: &Settings, density_factor: f64) -> Settings {
        let (pattern, lie) = self.core.pattern_and_lie();
        let own = CoreKind::of(&from.core) == self.core;
        let factor = if own { density_factor } else { 1.0 };
        let density = if self.core_percent >= 100 { 1.0 } else { (self.core_density() * factor).min(0.99) };
        // Percents are whole numbers; the file's own core is laid as it was found, line for line.
        let same = own && (density - from.core.density).abs() <= 0.005_001 * factor;
        let (density, beside_mm) = match same {
            true => (from.core.density, from.core.beside_mm),
            false => (density, CoreFill::default().beside_mm),
        };
        // Ends of other patterns are joined no more than the file joins its own.
        let joined = from.core.joined && matches!(pattern, Pattern::Straight | Pattern::Grid | Pattern::Triangles);
        let angle_deg = if own { from.core.angle_deg } else { CoreFill::default().angle_deg };
        Settings {
            walls: self.walls,
            bottom_skins: self.bottom_skins,
            top_skins: self.top_skins,
            bead_width_mm: self.bead_width_mm(),
            core: CoreFill { pattern, lie, density, angle_deg, joined, beside_mm },
            flaws: Vec::new(),
            ..from.clone()
        }
    }
}

/// The same outlines in layers of another thickness; the first layer stays. `None` where layers are not stacked
/// plainly one on the other, or the last would not meet the top within half a layer.
pub(super) fn relayered(slices: &[Slice], height_mm: f64) -> Option<Vec<Slice>> {
    let first = slices.first()?;
    let plain = slices.windows(2).all(|s| (s[1].z_mm - s[0].z_mm - s[1].height_mm).abs() < 1e-3);
    let top = slices.last()?.z_mm;
    if !(plain && height_mm > 0.0 && top > first.z_mm) {
        return None;
    }
    let count = ((top - first.z_mm) / height_mm - HAIR_MM).round().max(1.0) as usize;
    let mut below = 0;
    let mut layers = vec![first.clone()];
    for i in 1..=count {
        let z_mm = ((first.z_mm + i as f64 * height_mm) * 1e6).round() / 1e6;
        let middle = z_mm - 0.5 * height_mm;
        while below + 1 < slices.len() && slices[below].z_mm < middle - HAIR_MM {
            below += 1;
        }
        layers.push(Slice { z_mm, height_mm, bodies: slices[below].bodies.clone() });
    }
    Some(layers)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Point;
    use crate::rebead::drawing::rectangle;
    use crate::rebead::{Body, slice};

    #[test]
    fn kinds_and_patterns_are_the_same_both_ways() {
        for kind in CoreKind::ALL {
            let (pattern, lie) = kind.pattern_and_lie();
            assert_eq!(CoreKind::of(&CoreFill { pattern, lie, ..CoreFill::default() }), kind);
        }
    }

    #[test]
    fn thicker_layers_keep_the_steps_of_the_part() {
        let at = Point::new;
        let (low, high) = (rectangle(at(0.0, 0.0), at(30.0, 12.0)), rectangle(at(0.0, 0.0), at(10.0, 12.0)));
        let slices = slice(&[Body::new(0).add(0.0, 3.0, low.clone()).add(3.0, 6.0, high)], 0.2, 0.2);
        let thick = relayered(&slices, 0.28).unwrap_or_default();
        assert_eq!(thick.len(), 1 + 21);
        assert!((thick.last().map_or(0.0, |s| s.z_mm) - 6.08).abs() < 1e-9);
        let low_layers = thick.iter().filter(|s| s.bodies[0].1[0].area_mm2() > 200.0).count();
        // 0.2 + 10 x 0.28 = 3.0: the step stays where it is.
        assert_eq!(low_layers, 11);
        assert!(relayered(&slices[..1], 0.28).is_none());
    }
}
