//! Parts as stacks of prisms, and their cuts at every layer.

use crate::geom::{Polygon, difference, union};

/// Heights closer than this are the same, mm.
const HAIR_MM: f64 = 1e-9;

/// A piece of a solid: one outline from one height to another.
#[derive(Debug, Clone, PartialEq)]
pub struct Prism {
    /// Lower end, mm.
    pub from_z_mm: f64,
    /// Upper end, mm.
    pub to_z_mm: f64,
    /// Its outline.
    pub outline: Vec<Polygon>,
}

/// What one tool lays: prisms, less other prisms.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Body {
    /// The tool.
    pub tool: u16,
    /// What is there.
    pub solid: Vec<Prism>,
    /// What is cut away.
    pub cut: Vec<Prism>,
}

impl Body {
    /// An empty body for a tool.
    #[must_use]
    pub fn new(tool: u16) -> Self {
        Self { tool, ..Self::default() }
    }

    /// Adds a prism.
    #[must_use]
    pub fn add(mut self, from_z_mm: f64, to_z_mm: f64, outline: Polygon) -> Self {
        self.solid.push(Prism { from_z_mm, to_z_mm, outline: vec![outline] });
        self
    }

    /// Cuts a prism away.
    #[must_use]
    pub fn cut(mut self, from_z_mm: f64, to_z_mm: f64, outline: Polygon) -> Self {
        self.cut.push(Prism { from_z_mm, to_z_mm, outline: vec![outline] });
        self
    }

    /// Its outline at a height.
    #[must_use]
    pub fn at(&self, z_mm: f64) -> Vec<Polygon> {
        let there = |prisms: &[Prism]| -> Vec<Polygon> {
            let at_z = prisms.iter().filter(|p| p.from_z_mm - HAIR_MM <= z_mm && z_mm < p.to_z_mm - HAIR_MM);
            at_z.flat_map(|p| p.outline.iter().cloned()).collect()
        };
        let (solid, cut) = (there(&self.solid), there(&self.cut));
        if cut.is_empty() { union(&solid, &[]) } else { difference(&solid, &cut) }
    }

    /// Its upper end, mm.
    #[must_use]
    pub fn height_mm(&self) -> f64 {
        self.solid.iter().map(|p| p.to_z_mm).fold(0.0, f64::max)
    }
}

/// One layer's outlines, before any bead is laid.
#[derive(Debug, Clone, PartialEq)]
pub struct Slice {
    /// Top of the layer, mm.
    pub z_mm: f64,
    /// Thickness, mm.
    pub height_mm: f64,
    /// What each tool fills.
    pub bodies: Vec<(u16, Vec<Polygon>)>,
}

impl Slice {
    /// The outlines of all tools together.
    #[must_use]
    pub fn outline(&self) -> Vec<Polygon> {
        match self.bodies.as_slice() {
            [] => Vec::new(),
            [(_, one)] => one.clone(),
            several => several.iter().fold(Vec::new(), |all, (_, outline)| union(&all, outline)),
        }
    }
}

/// Cuts bodies at half the height of every layer: the first layer of one thickness, the others of another.
/// Layers are added until the tops of all bodies are reached within half a layer.
#[must_use]
pub fn slice(bodies: &[Body], first_height_mm: f64, height_mm: f64) -> Vec<Slice> {
    let top = bodies.iter().map(Body::height_mm).fold(0.0, f64::max);
    if !(first_height_mm > 0.0 && height_mm > 0.0 && top.is_finite()) {
        return Vec::new();
    }
    let above = ((top - first_height_mm) / height_mm - 1e-6).round().max(0.0) as usize;
    let heights: Vec<f64> = std::iter::once(first_height_mm).chain(std::iter::repeat_n(height_mm, above)).collect();
    slice_at(bodies, &heights)
}

/// Cuts bodies into layers of given thicknesses, from the bed up.
#[must_use]
pub fn slice_at(bodies: &[Body], heights_mm: &[f64]) -> Vec<Slice> {
    let mut z_mm = 0.0;
    let mut slices: Vec<Slice> = Vec::with_capacity(heights_mm.len());
    for &height_mm in heights_mm {
        z_mm += height_mm;
        let middle = z_mm - 0.5 * height_mm;
        let outlines = bodies.iter().map(|body| (body.tool, body.at(middle)));
        let bodies = outlines.filter(|(_, outline)| !outline.is_empty()).collect();
        slices.push(Slice { z_mm: (z_mm * 1e6).round() / 1e6, height_mm, bodies });
    }
    slices
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Point;
    use crate::rebead::drawing::{circle, rectangle};
    use approx::assert_relative_eq;

    #[test]
    fn a_pocket_opens_and_closes_with_the_layers() {
        let block = Body::new(0).add(0.0, 5.0, rectangle(Point::new(0.0, 0.0), Point::new(20.0, 12.0))).cut(
            1.0,
            3.0,
            circle(Point::new(6.0, 5.0), 6.2),
        );
        let slices = slice(&[block], 0.3, 0.2);
        assert_relative_eq!(slices.last().map_or(0.0, |s| s.z_mm), 4.9, epsilon = 1e-9);
        let open: Vec<usize> =
            (0..slices.len()).filter(|&i| slices[i].outline().iter().any(|p| !p.holes.is_empty())).collect();
        // Middles of layers lie at 0.15, 0.4, 0.6, 0.8, 1.0 ...: the cut takes those from 1.0 up to 2.8.
        assert_eq!((open.first(), open.last()), (Some(&4), Some(&13)));
    }

    #[test]
    fn impossible_heights_give_no_layers() {
        let block = Body::new(0).add(0.0, 5.0, rectangle(Point::new(0.0, 0.0), Point::new(20.0, 12.0)));
        assert!(slice(std::slice::from_ref(&block), 0.2, 0.0).is_empty());
        assert!(slice(&[block], f64::NAN, 0.2).is_empty());
    }
}
