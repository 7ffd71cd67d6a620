//! The force of a job as JSON: `beadwise/load/1`.

use crate::profile::Spread;
use crate::strength::load::{CAUTIONS, JobLoad};
use schemars::JsonSchema;
use serde::Serialize;

#[derive(Serialize, JsonSchema)]
pub(super) struct LoadReport<'a> {
    /// Name and version of this form; a new version only where a key changes its meaning or goes.
    #[schemars(extend("const" = "beadwise/load/1"))]
    schema: &'static str,
    /// Which job, such as `flange`.
    kind: &'static str,
    force_n: SpreadReport,
    /// With the numbers put in.
    formula: &'a str,
    source: &'a str,
    /// Other numbers of the job.
    beside: &'a [String],
    /// What to mind about this job.
    minds: &'a [String],
    /// A load case in TOML; it asks the highest force.
    case: String,
    cautions: &'static [&'static str],
}

/// `low` is the least the job may ask, `high` the most.
#[derive(Serialize, JsonSchema)]
struct SpreadReport {
    low: f64,
    likely: f64,
    high: f64,
}

/// The force of a job as JSON text, with a newline at its end.
#[must_use]
pub fn load_json(load: &JobLoad) -> String {
    let Spread { low, likely, high } = load.force_n;
    let report = LoadReport {
        schema: "beadwise/load/1",
        kind: load.kind,
        force_n: SpreadReport { low, likely, high },
        formula: &load.formula,
        source: &load.source,
        beside: &load.beside,
        minds: &load.minds,
        case: load.case_toml(),
        cautions: CAUTIONS,
    };
    // Every value is a number, text, list or map with text keys: nothing that JSON cannot hold.
    let mut text = serde_json::to_string_pretty(&report).unwrap_or_default();
    text.push('\n');
    text
}
