//! What the audit's JSON looks like: keys and their order, nothing else.

use crate::audit::Verdict;
use crate::diag::Severity;
use crate::measure::RoleSource;
use crate::profile::Role;
use schemars::JsonSchema;
use serde::Serialize;

/// `beadwise/audit/1`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct AuditReport<'a> {
    /// Name and version of this form; a new version only where a key changes its meaning or goes.
    #[schemars(extend("const" = "beadwise/audit/1"))]
    pub schema: &'static str,
    pub file: FileReport<'a>,
    /// Name of the machine profile.
    pub machine: &'a str,
    pub totals: TotalsReport,
    pub tools: Vec<ToolReport<'a>>,
    pub roles: Vec<RoleReport>,
    /// Share of the labelled plastic on which comments and motion agree; null where no comment names a role.
    pub words_agree: Option<f64>,
    /// Layers of the part from the bed up, in print order.
    pub layers: Vec<LayerReport>,
    pub part: PartReport,
    pub pockets: Vec<PocketReport>,
    /// Stops already in the file.
    pub stops: Vec<StopReport>,
    pub strength: StrengthReport<'a>,
    /// The gravest first.
    pub findings: Vec<FindingReport<'a>>,
    /// `unchecked` where nothing was asked, `undetermined` where evidence is missing.
    pub verdict: Verdict,
    /// Where dialects disagree, what was taken to hold.
    pub assumptions: &'a [String],
    /// With `--detail`: cuts across the part.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cuts: Option<CutsReport>,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct FileReport<'a> {
    /// As the user gave it.
    pub name: &'a str,
    pub bytes: u64,
    pub lines: u64,
    /// Lines that could not be read and were left out.
    pub bad_lines: u64,
    /// Commands that were not understood, and passed over.
    pub unknown_commands: u64,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct TotalsReport {
    /// Fed for good: retractions and the feeds that undo them cancel.
    pub filament_mm: f64,
    /// Plastic that comes out, with flow overrides.
    pub volume_mm3: f64,
    /// Null where a material is not named.
    pub mass_g: Option<f64>,
    /// In the money of the material cards.
    pub cost: Option<f64>,
    /// All of it, with waiting.
    pub time_s: f64,
    /// Layers of the part.
    pub layers: usize,
    pub depositing_s: f64,
    pub travel_s: f64,
    pub retraction_s: f64,
    pub dwell_s: f64,
    pub waiting_s: f64,
    pub travel_mm: f64,
    pub retractions: u64,
    /// Held for at least a tenth of a second.
    pub peak_flow_mm3_s: Option<f64>,
    /// Half of the plastic stays under it.
    pub typical_flow_mm3_s: Option<f64>,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct ToolReport<'a> {
    pub tool: u16,
    pub material: Option<&'a str>,
    pub filament_mm: f64,
    pub volume_mm3: f64,
    pub mass_g: Option<f64>,
    pub cost: Option<f64>,
    pub time_s: f64,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct RoleReport {
    pub role: Role,
    /// Whether a comment or the motion says so.
    pub source: RoleSource,
    pub volume_mm3: f64,
    /// Of the plastic of all roles.
    pub share: f64,
    pub length_mm: f64,
    pub time_s: f64,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct SpreadReport {
    pub min: Option<f64>,
    pub p05: Option<f64>,
    pub median: Option<f64>,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct SectionReport {
    pub area_mm2: f64,
    pub cx_mm: f64,
    pub cy_mm: f64,
    /// Integral of y².
    pub ixx_mm4: f64,
    /// Integral of x².
    pub iyy_mm4: f64,
    /// Integral of x y.
    pub ixy_mm4: f64,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct LayerReport {
    /// From 0 at the bed.
    pub index: usize,
    /// Top of the layer.
    pub z_mm: f64,
    /// Thickness.
    pub height_mm: f64,
    /// From the end of the layer below's last bead to the end of its own.
    pub time_s: f64,
    pub volume_mm3: f64,
    pub outline_area_mm2: Option<f64>,
    /// Beads along the edge, from the outside in; `min` is the least over at least three neighbouring points.
    pub walls: SpreadReport,
    pub wall_thickness_mm: SpreadReport,
    /// Share that is filled; null where there is no core.
    pub core_density: Option<f64>,
    /// The core leaves no gaps, or there is none.
    pub solid: bool,
    /// Over which it fuses to the layer below; null on the first.
    pub bond_area_mm2: Option<f64>,
    /// Of what is deposited, about its own centroid.
    pub section: Option<SectionReport>,
    /// First and last line of the file with a bead of it.
    pub lines: [u64; 2],
    /// With `--detail`: x, y, walls and their thickness at points of the outline.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall_samples: Option<Vec<(f64, f64, u32, f64)>>,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct PartReport {
    /// Least and greatest x, y, z.
    pub bbox_mm: Option<[[f64; 3]; 2]>,
    /// Over layers that are no skin; `median` over those with a core between their walls, if there are any.
    pub walls: SpreadReport,
    pub wall_thickness_mm: SpreadReport,
    pub core_density: Option<f64>,
    /// Solid layers below most of the roofs and above most of the floors.
    pub top_skin_layers: Option<u32>,
    pub bottom_skin_layers: Option<u32>,
    /// The roof and the floor with the fewest.
    pub thinnest_top_skin: Option<SkinReport>,
    pub thinnest_bottom_skin: Option<SkinReport>,
    pub layer_height_mm: Option<f64>,
    pub bead_width_mm: Option<f64>,
    pub rounds: Vec<RoundReport>,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct SkinReport {
    pub layers: u32,
    pub thickness_mm: f64,
    /// The last layer under a roof, the first above a floor.
    pub layer: usize,
    pub z_mm: f64,
    pub area_mm2: f64,
    pub at_mm: [f64; 2],
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct RoundReport {
    pub kind: &'static str,
    pub cx_mm: f64,
    pub cy_mm: f64,
    pub d_mm: f64,
    pub z0_mm: f64,
    pub z1_mm: f64,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct PocketReport {
    pub id: String,
    pub shape: &'static str,
    pub cx_mm: f64,
    pub cy_mm: f64,
    /// Diameter, distance across flats, or short side of a box.
    pub size_mm: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length_mm: Option<f64>,
    pub floor_z_mm: f64,
    pub roof_z_mm: Option<f64>,
    pub depth_mm: f64,
    /// `closed` needs a stop; `top` and `side` are open.
    pub access: &'static str,
    /// Last layer to print before an insert goes in; null when no stop is needed.
    pub stop_after_layer: Option<usize>,
    /// Inserts that go in.
    pub fits: Vec<String>,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct StopReport {
    pub after_layer: Option<usize>,
    /// From 1.
    pub line: u64,
    pub found: bool,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct StrengthReport<'a> {
    pub profile: Option<&'a str>,
    pub cases: Vec<CaseReport<'a>>,
}

/// A load case; forces in N, torques in N mm.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CaseReport<'a> {
    pub name: &'a str,
    pub mode: Option<&'static str>,
    pub capacity: Option<f64>,
    pub capacity_range: Option<crate::profile::Spread>,
    pub load: f64,
    pub unit: &'static str,
    pub reserve: Option<f64>,
    pub reserve_typical: Option<f64>,
    pub wanted: f64,
    pub holds: Option<crate::strength::Holds>,
    #[serde(rename = "where")]
    pub place: Option<CasePlaceReport<'a>>,
    pub material: &'a str,
    pub modes: Vec<ModeReport<'a>>,
    pub remarks: &'a [String],
    pub undetermined: Option<&'a str>,
}

/// Where a case governs.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CasePlaceReport<'a> {
    pub words: &'a str,
    pub layer: Option<usize>,
    pub z_mm: Option<f64>,
    pub at_mm: Option<[f64; 2]>,
}

/// One mode of a case.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ModeReport<'a> {
    pub mode: &'static str,
    pub capacity: crate::profile::Spread,
    #[serde(rename = "where")]
    pub place: &'a str,
    pub working: &'a str,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct FindingReport<'a> {
    /// Stable short code.
    pub code: &'static str,
    pub severity: Severity,
    /// The verdict cannot be pass with it.
    pub fails: bool,
    pub message: &'a str,
    /// First and last.
    pub layers: Option<[usize; 2]>,
    /// How many layers between the first and the last are without it.
    pub quiet_layers: usize,
    pub z_mm: Option<[f64; 2]>,
    pub at_mm: Option<[f64; 2]>,
    /// From 1.
    pub line: Option<u64>,
    /// What to change.
    pub remedy: &'a str,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct CutsReport {
    pub x: Vec<AcrossXReport>,
    pub y: Vec<AcrossYReport>,
}

/// A cut at one x: moments about the y and z axes through the cut's centroid (iyy is the integral of z²).
#[derive(Debug, Serialize, JsonSchema)]
pub struct AcrossXReport {
    pub at_mm: f64,
    pub area_mm2: f64,
    pub cy_mm: f64,
    pub cz_mm: f64,
    pub iyy_mm4: f64,
    pub izz_mm4: f64,
}

/// A cut at one y: moments about the x and z axes through the cut's centroid (ixx is the integral of z²).
#[derive(Debug, Serialize, JsonSchema)]
pub struct AcrossYReport {
    pub at_mm: f64,
    pub area_mm2: f64,
    pub cx_mm: f64,
    pub cz_mm: f64,
    pub ixx_mm4: f64,
    pub izz_mm4: f64,
}
