//! Specimens laid by the project's own writer, written as G-code and measured from its motion alone.

use beadwise::geom::{Point, Polygon};
use beadwise::measure::{PrintMeasures, Setup, measure_print};
use beadwise::profile::{Annotations, LoadCases, Machine, Material, read_profile};
use beadwise::rebead::drawing::rectangle;
use beadwise::rebead::{Body, CoreFill, Dialect, Lie, Pattern, Settings, lay, slice, write};
use beadwise::strength::{CaseResult, check_cases};

/// A printed specimen.
pub struct Specimen {
    pub gcode: String,
    pub setup: Setup,
    pub measures: PrintMeasures,
}

/// A material with one strength and one stiffness in all directions, MPa.
pub fn isotropic(strength: f64, stiffness: f64) -> Material {
    let text = format!(
        "name = 'even'\ndensity_g_cm3 = 1.2\n[strength_mpa]\nalong = {strength}\nbeside = {strength}\nacross = {strength}\n\
         compression = {strength}\nshear = {strength}\n[stiffness_mpa]\nalong = {stiffness}\nacross = {stiffness}\npoisson = 0.35\n"
    );
    read_profile(&text, "even").unwrap_or_else(|e| panic!("{e}"))
}

/// Lays bodies in even layers, writes them down without comments, and measures what the file says.
pub fn print(bodies: &[Body], settings: &Settings, height_mm: f64, material: Material) -> Specimen {
    print_as(&Dialect::default(), bodies, settings, height_mm, material)
}

/// The same in a dialect of choice.
pub fn print_as(
    dialect: &Dialect,
    bodies: &[Body],
    settings: &Settings,
    height_mm: f64,
    material: Material,
) -> Specimen {
    let machine: Machine = read_profile("name = 'bench'\n", "bench").unwrap_or_else(|e| panic!("{e}"));
    let laid = lay(&slice(bodies, height_mm, height_mm), settings);
    let gcode = write(&laid, dialect, &machine.limits);
    let setup =
        Setup { material: Some(material), annotations: Annotations::none(), strict: true, ..Setup::of(machine) };
    let measures = measure_print(gcode.as_bytes(), &setup, &mut |_| {}).unwrap_or_else(|e| panic!("{e}"));
    Specimen { gcode, setup, measures }
}

impl Specimen {
    /// Judges the cases of a text; a line each, or TOML.
    pub fn judge(&self, case: &str, wanted: f64) -> CaseResult {
        let cases = LoadCases::load(case).unwrap_or_else(|e| panic!("{e}"));
        let results = check_cases(self.gcode.as_bytes(), &self.setup, &self.measures, &cases, wanted);
        results.unwrap_or_else(|e| panic!("{e}")).remove(0)
    }
}

/// Lower left corner of every bar: off the origin, so that nothing cancels by chance.
pub const CORNER: Point = Point::new(31.0, 17.0);

pub fn block(x_mm: f64, y_mm: f64) -> Polygon {
    rectangle(CORNER, CORNER + Point::new(x_mm, y_mm))
}

/// A bar lying along x (or standing, if it is tall).
pub fn bar(x_mm: f64, y_mm: f64, z_mm: f64) -> Body {
    Body::new(0).add(0.0, z_mm, block(x_mm, y_mm))
}

/// Settings of a specimen: bead width, walls, skins at top and bottom, core density with straight crossed lines.
pub fn settings(bead_width_mm: f64, walls: u32, skins: u32, density: f64) -> Settings {
    Settings {
        bead_width_mm,
        walls,
        bottom_skins: skins,
        top_skins: skins,
        core: CoreFill { density, ..CoreFill::default() },
        ..Settings::default()
    }
}

/// The same with both families of lines in every layer, line on line.
pub fn aligned(mut settings: Settings) -> Settings {
    settings.core.pattern = Pattern::Grid;
    settings.core.lie = Lie::Aligned;
    settings
}

/// How far the plastic stays inside of the outline: (w - s) / 2 = h (1 - π/4) / 2.
pub fn round_mm(height_mm: f64) -> f64 {
    0.5 * height_mm * (1.0 - std::f64::consts::FRAC_PI_4)
}

/// Distance of neighbouring beads, mm.
pub fn pitch_mm(width_mm: f64, height_mm: f64) -> f64 {
    width_mm - 2.0 * round_mm(height_mm)
}

/// Rank correlation (Spearman) of two rows without ties.
pub fn rank_correlation(a: &[f64], b: &[f64]) -> f64 {
    let ranks = |values: &[f64]| -> Vec<f64> {
        values.iter().map(|v| values.iter().filter(|other| *other < v).count() as f64).collect()
    };
    let n = a.len() as f64;
    let off: f64 = ranks(a).iter().zip(ranks(b)).map(|(x, y)| (x - y).powi(2)).sum();
    1.0 - 6.0 * off / (n * (n * n - 1.0))
}
