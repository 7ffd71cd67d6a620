//! Several audits of one part, sliced differently, side by side.
//!
//! Comes in: measurements of each file. Goes out: one [`Comparison`]: rows of figures with the best marked,
//! which slices are beaten on all counts, and a warning when they are not the same part at all.

use crate::audit::Verdict;
use crate::measure::PrintMeasures;
use crate::strength::CaseResult;

/// What one slice offers, as far as it is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Slice {
    /// The file's name as the user gave it.
    pub name: String,
    /// Mass, g.
    pub mass_g: Option<f64>,
    /// Plastic, mm³.
    pub volume_mm3: f64,
    /// Price in the currency of the material cards.
    pub cost: Option<f64>,
    /// Time, s.
    pub time_s: f64,
    /// Number of layers of the part.
    pub layers: usize,
    /// Typical layer thickness, mm.
    pub layer_height_mm: Option<f64>,
    /// Typical wall count.
    pub walls: Option<f64>,
    /// Typical wall thickness, mm.
    pub wall_thickness_mm: Option<f64>,
    /// Typical share of the core that is filled.
    pub core_density: Option<f64>,
    /// Solid layers above most of the floors.
    pub bottom_skin_layers: Option<u32>,
    /// Solid layers under most of the roofs.
    pub top_skin_layers: Option<u32>,
    /// Least bond area of any layer above the first, mm².
    pub least_bond_area_mm2: Option<f64>,
    /// Least section of any layer, mm².
    pub least_section_mm2: Option<f64>,
    /// What the audit decided.
    pub verdict: Verdict,
    /// What the load cases came to, in the order they were asked for.
    pub cases: Vec<SliceCase>,
    /// Corners of the box around the part, mm.
    bbox_mm: Option<[[f64; 3]; 2]>,
    /// Volume inside the outlines, mm³.
    outline_volume_mm3: Option<f64>,
}

/// What a slice bears in one load case.
#[derive(Debug, Clone, PartialEq)]
pub struct SliceCase {
    /// Name of the case.
    pub name: String,
    /// Capacity on low values, N (N mm for twisting); `None` where it cannot be said.
    pub capacity: Option<f64>,
    /// Capacity over load on low values.
    pub reserve: Option<f64>,
}

impl SliceCase {
    fn new(case: &CaseResult) -> Self {
        let sure = case.undetermined.is_none();
        Self {
            name: case.name.clone(),
            capacity: case.governing().map(|c| c.bears.low).filter(|_| sure),
            reserve: case.reserve().filter(|_| sure),
        }
    }
}

impl Slice {
    /// The same slice with what its load cases came to.
    #[must_use]
    pub fn with_cases(mut self, cases: &[CaseResult]) -> Self {
        self.cases = cases.iter().map(SliceCase::new).collect();
        self
    }

    /// Reserve of a case for each gram of plastic.
    #[must_use]
    pub fn reserve_per_gram(&self, case: usize) -> Option<f64> {
        Some(self.cases.get(case)?.reserve? / self.mass_g.filter(|g| *g > 0.0)?)
    }

    /// Reserve of a case for each hour of printing.
    #[must_use]
    pub fn reserve_per_hour(&self, case: usize) -> Option<f64> {
        let hours = self.time_s / 3600.0;
        Some(self.cases.get(case)?.reserve? / Some(hours).filter(|h| *h > 0.0)?)
    }

    /// Takes from an audit what a comparison shows.
    #[must_use]
    pub fn new(name: impl Into<String>, measures: &PrintMeasures, verdict: Verdict) -> Self {
        let part = &measures.part;
        let least = |values: &mut dyn Iterator<Item = f64>| values.min_by(f64::total_cmp);
        Self {
            name: name.into(),
            mass_g: measures.totals.mass_g,
            volume_mm3: measures.totals.volume_mm3,
            cost: measures.totals.cost,
            time_s: measures.totals.time.total_s(),
            layers: measures.layers.len(),
            layer_height_mm: part.layer_height_mm,
            walls: part.walls.map(|w| w.median),
            wall_thickness_mm: part.wall_thickness_mm.map(|w| w.median),
            core_density: part.core_density,
            bottom_skin_layers: part.skins.bottom.layers,
            top_skin_layers: part.skins.top.layers,
            least_bond_area_mm2: least(&mut measures.layers.iter().filter_map(|l| l.bond_area_mm2)),
            least_section_mm2: least(&mut measures.layers.iter().filter_map(|l| l.section.map(|s| s.area_mm2))),
            verdict,
            cases: Vec::new(),
            bbox_mm: part.bbox_mm,
            outline_volume_mm3: measures.layers.iter().map(|l| l.outline_area_mm2.map(|a| a * l.height_mm)).sum(),
        }
    }
}

/// Slices side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// In the order they were given.
    pub slices: Vec<Slice>,
    /// For each slice, the first other one that beats it on all counts.
    pub beaten_by: Vec<Option<usize>>,
    /// Why these may not be slices of one part; empty when they look alike.
    pub differences: Vec<String>,
}

/// Boxes of one part sliced twice agree at least this well, mm: bead widths and layer heights move edges a little.
const SAME_BOX_MM: f64 = 0.6;
/// Volumes inside the outlines of one part sliced twice agree at least this well.
const SAME_VOLUME_SHARE: f64 = 0.03;

impl Comparison {
    /// Sets slices side by side.
    #[must_use]
    pub fn new(slices: Vec<Slice>) -> Self {
        let beaten_by =
            (0..slices.len()).map(|i| (0..slices.len()).find(|&j| j != i && beats(&slices[j], &slices[i]))).collect();
        let differences = match slices.split_first() {
            Some((first, rest)) => rest.iter().flat_map(|other| differences(first, other)).collect(),
            None => Vec::new(),
        };
        Self { slices, beaten_by, differences }
    }
}

/// Whether `a` is at least as good as `b` on every count that both know, and better on one.
///
/// Counts: mass (or plastic, where a mass is not known) and time, the less the better; weakest section,
/// weakest bond, wall thickness, the reserve of every load case, the more the better. A count that only one knows decides nothing, and then
/// nobody is beaten.
fn beats(a: &Slice, b: &Slice) -> bool {
    let spent = |s: &Slice| s.mass_g.unwrap_or(s.volume_mm3);
    let counts = [
        (a.mass_g.is_some() == b.mass_g.is_some()).then(|| spent(b) - spent(a)),
        Some(b.time_s - a.time_s),
        a.least_section_mm2.zip(b.least_section_mm2).map(|(a, b)| a - b),
        a.least_bond_area_mm2.zip(b.least_bond_area_mm2).map(|(a, b)| a - b),
        a.wall_thickness_mm.zip(b.wall_thickness_mm).map(|(a, b)| a - b),
    ];
    let reserves = a.cases.iter().zip(&b.cases).map(|(a, b)| a.reserve.zip(b.reserve).map(|(a, b)| a - b));
    let gains: Vec<Option<f64>> = counts.into_iter().chain(reserves).collect();
    gains.iter().all(|gain| gain.is_some_and(|g| g >= 0.0)) && gains.iter().any(|gain| gain.is_some_and(|g| g > 0.0))
}

fn differences(a: &Slice, b: &Slice) -> Vec<String> {
    let mut found = Vec::new();
    match (a.bbox_mm, b.bbox_mm) {
        (Some(of_a), Some(of_b)) => {
            let size = |[low, high]: [[f64; 3]; 2]| [high[0] - low[0], high[1] - low[1], high[2] - low[2]];
            let (size_a, size_b) = (size(of_a), size(of_b));
            if !size_a.iter().zip(size_b).all(|(x, y)| (x - y).abs() <= SAME_BOX_MM) {
                found.push(format!(
                    "{} is {:.1} x {:.1} x {:.1} mm, {} is {:.1} x {:.1} x {:.1} mm",
                    a.name, size_a[0], size_a[1], size_a[2], b.name, size_b[0], size_b[1], size_b[2]
                ));
            }
        }
        _ => found.push(format!("the outline of {} or {} is not known", a.name, b.name)),
    }
    if let (Some(volume_a), Some(volume_b)) = (a.outline_volume_mm3, b.outline_volume_mm3)
        && !((volume_a - volume_b).abs() <= SAME_VOLUME_SHARE * volume_a.max(volume_b))
    {
        found.push(format!(
            "the outlines of {} hold {:.2} cm³, those of {} {:.2} cm³",
            a.name,
            volume_a / 1000.0,
            b.name,
            volume_b / 1000.0
        ));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slice(name: &str, mass_g: f64, time_s: f64, section: f64) -> Slice {
        Slice {
            name: name.to_owned(),
            mass_g: Some(mass_g),
            volume_mm3: mass_g * 800.0,
            cost: None,
            time_s,
            layers: 10,
            layer_height_mm: Some(0.2),
            walls: Some(3.0),
            wall_thickness_mm: Some(1.2),
            core_density: Some(0.2),
            bottom_skin_layers: Some(4),
            top_skin_layers: Some(4),
            least_bond_area_mm2: Some(section / 2.0),
            least_section_mm2: Some(section),
            verdict: Verdict::Unchecked,
            cases: Vec::new(),
            bbox_mm: Some([[0.0, 0.0, 0.0], [10.0, 20.0, 2.0]]),
            outline_volume_mm3: Some(400.0),
        }
    }

    #[test]
    fn heavier_slower_and_weaker_is_beaten() {
        let comparison = Comparison::new(vec![
            slice("a", 10.0, 100.0, 50.0),
            slice("b", 9.0, 90.0, 60.0),
            slice("c", 20.0, 200.0, 90.0),
        ]);
        assert_eq!(comparison.beaten_by, [Some(1), None, None]);
        assert!(comparison.differences.is_empty());
    }

    #[test]
    fn equal_slices_do_not_beat_each_other_and_unknowns_decide_nothing() {
        let mut unknown = slice("b", 9.0, 90.0, 60.0);
        unknown.least_section_mm2 = None;
        let a = slice("a", 10.0, 100.0, 50.0);
        assert_eq!(Comparison::new(vec![a.clone(), a.clone()]).beaten_by, [None, None]);
        assert_eq!(Comparison::new(vec![a, unknown]).beaten_by, [None, None]);
    }

    #[test]
    fn reserves_count_and_are_shared_out() {
        let loaded = |name, mass, reserve| {
            let mut slice = slice(name, mass, 3600.0, 50.0);
            slice.cases = vec![SliceCase { name: "press".to_owned(), capacity: None, reserve }];
            slice
        };
        let (light, stout) = (loaded("light", 10.0, Some(0.5)), loaded("stout", 10.0, Some(1.5)));
        assert_eq!(stout.reserve_per_gram(0), Some(0.15));
        assert_eq!(stout.reserve_per_hour(0), Some(1.5));
        assert_eq!(stout.reserve_per_gram(1), None);
        assert_eq!(Comparison::new(vec![light.clone(), stout]).beaten_by, [Some(1), None]);
        assert_eq!(Comparison::new(vec![light, loaded("unknown", 9.0, None)]).beaten_by, [None, None]);
    }

    #[test]
    fn another_part_is_told_apart() {
        let mut other = slice("other", 10.0, 100.0, 50.0);
        other.bbox_mm = Some([[0.0, 0.0, 0.0], [20.0, 10.0, 2.0]]);
        other.outline_volume_mm3 = Some(300.0);
        assert_eq!(Comparison::new(vec![slice("a", 10.0, 100.0, 50.0), other]).differences.len(), 2);
    }
}
