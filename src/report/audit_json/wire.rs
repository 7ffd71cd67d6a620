//! What the audit's JSON looks like: keys and their order, nothing else.

use crate::audit::Verdict;
use crate::diag::Severity;
use crate::measure::RoleSource;
use crate::profile::Role;
use serde::Serialize;

/// `beadwise/audit/1`.
#[derive(Debug, Serialize)]
pub struct AuditReport<'a> {
    pub schema: &'static str,
    pub file: FileReport<'a>,
    pub machine: &'a str,
    pub totals: TotalsReport,
    pub tools: Vec<ToolReport<'a>>,
    pub roles: Vec<RoleReport>,
    pub words_agree: Option<f64>,
    pub layers: Vec<LayerReport>,
    pub part: PartReport,
    pub pockets: Vec<PocketReport>,
    pub stops: Vec<StopReport>,
    pub strength: StrengthReport<'a>,
    pub findings: Vec<FindingReport<'a>>,
    pub verdict: Verdict,
    pub assumptions: &'a [String],
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cuts: Option<CutsReport>,
}

#[derive(Debug, Serialize)]
pub struct FileReport<'a> {
    pub name: &'a str,
    pub bytes: u64,
    pub lines: u64,
    pub bad_lines: u64,
    pub unknown_commands: u64,
}

#[derive(Debug, Serialize)]
pub struct TotalsReport {
    pub filament_mm: f64,
    pub volume_mm3: f64,
    pub mass_g: Option<f64>,
    pub cost: Option<f64>,
    pub time_s: f64,
    pub layers: usize,
    pub depositing_s: f64,
    pub travel_s: f64,
    pub retraction_s: f64,
    pub dwell_s: f64,
    pub waiting_s: f64,
    pub travel_mm: f64,
    pub retractions: u64,
    pub peak_flow_mm3_s: Option<f64>,
    pub typical_flow_mm3_s: Option<f64>,
}

#[derive(Debug, Serialize)]
pub struct ToolReport<'a> {
    pub tool: u16,
    pub material: Option<&'a str>,
    pub filament_mm: f64,
    pub volume_mm3: f64,
    pub mass_g: Option<f64>,
    pub cost: Option<f64>,
    pub time_s: f64,
}

#[derive(Debug, Serialize)]
pub struct RoleReport {
    pub role: Role,
    pub source: RoleSource,
    pub volume_mm3: f64,
    pub share: f64,
    pub length_mm: f64,
    pub time_s: f64,
}

#[derive(Debug, Serialize)]
pub struct SpreadReport {
    pub min: Option<f64>,
    pub p05: Option<f64>,
    pub median: Option<f64>,
}

#[derive(Debug, Serialize)]
pub struct SectionReport {
    pub area_mm2: f64,
    pub cx_mm: f64,
    pub cy_mm: f64,
    pub ixx_mm4: f64,
    pub iyy_mm4: f64,
    pub ixy_mm4: f64,
}

#[derive(Debug, Serialize)]
pub struct LayerReport {
    pub index: usize,
    pub z_mm: f64,
    pub height_mm: f64,
    pub time_s: f64,
    pub volume_mm3: f64,
    pub outline_area_mm2: Option<f64>,
    pub walls: SpreadReport,
    pub wall_thickness_mm: SpreadReport,
    pub core_density: Option<f64>,
    pub solid: bool,
    pub bond_area_mm2: Option<f64>,
    pub section: Option<SectionReport>,
    pub lines: [u64; 2],
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall_samples: Option<Vec<(f64, f64, u32, f64)>>,
}

#[derive(Debug, Serialize)]
pub struct PartReport {
    pub bbox_mm: Option<[[f64; 3]; 2]>,
    pub walls: SpreadReport,
    pub wall_thickness_mm: SpreadReport,
    pub core_density: Option<f64>,
    pub top_skin_layers: Option<u32>,
    pub bottom_skin_layers: Option<u32>,
    pub layer_height_mm: Option<f64>,
    pub bead_width_mm: Option<f64>,
    pub rounds: Vec<RoundReport>,
}

#[derive(Debug, Serialize)]
pub struct RoundReport {
    pub kind: &'static str,
    pub cx_mm: f64,
    pub cy_mm: f64,
    pub d_mm: f64,
    pub z0_mm: f64,
    pub z1_mm: f64,
}

#[derive(Debug, Serialize)]
pub struct PocketReport {
    pub id: String,
    pub shape: &'static str,
    pub cx_mm: f64,
    pub cy_mm: f64,
    pub size_mm: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length_mm: Option<f64>,
    pub floor_z_mm: f64,
    pub roof_z_mm: Option<f64>,
    pub depth_mm: f64,
    pub access: &'static str,
    pub stop_after_layer: Option<usize>,
    pub fits: Vec<String>,
}

#[derive(Debug, Serialize)]
pub struct StopReport {
    pub after_layer: Option<usize>,
    pub line: u64,
    pub found: bool,
}

#[derive(Debug, Serialize)]
pub struct StrengthReport<'a> {
    pub profile: Option<&'a str>,
    pub cases: Vec<serde_json::Value>,
}

#[derive(Debug, Serialize)]
pub struct FindingReport<'a> {
    pub code: &'static str,
    pub severity: Severity,
    pub fails: bool,
    pub message: &'a str,
    pub layers: Option<[usize; 2]>,
    pub z_mm: Option<[f64; 2]>,
    pub at_mm: Option<[f64; 2]>,
    pub line: Option<u64>,
    pub remedy: &'a str,
}

#[derive(Debug, Serialize)]
pub struct CutsReport {
    pub x: Vec<AcrossXReport>,
    pub y: Vec<AcrossYReport>,
}

/// A cut at one x: moments about the y and z axes through the cut's centroid (iyy is the integral of z²).
#[derive(Debug, Serialize)]
pub struct AcrossXReport {
    pub at_mm: f64,
    pub area_mm2: f64,
    pub cy_mm: f64,
    pub cz_mm: f64,
    pub iyy_mm4: f64,
    pub izz_mm4: f64,
}

/// A cut at one y: moments about the x and z axes through the cut's centroid (ixx is the integral of z²).
#[derive(Debug, Serialize)]
pub struct AcrossYReport {
    pub at_mm: f64,
    pub area_mm2: f64,
    pub cx_mm: f64,
    pub cz_mm: f64,
    pub ixx_mm4: f64,
    pub izz_mm4: f64,
}
