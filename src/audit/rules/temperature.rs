//! Nozzle and bed temperatures against the material.

use super::Rule;
use crate::audit::{AuditContext, Finding, Weight};
use crate::measure::Heat;
use crate::profile::Material;

/// Below this no filament of this trade melts, °C (common practice, no source).
const COLDEST_MELT_C: f64 = 150.0;

/// Extruding cold, or outside what the material allows.
pub(super) struct Temperature;

impl Rule for Temperature {
    fn about(&self) -> &'static str {
        "plastic is laid hot enough, and within the temperatures the material allows"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["cold-extrusion", "wrong-temperature"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let flow = &context.measures.flow;
        let mut found = Vec::new();
        for (&tool, heat) in &flow.heat {
            match context.setup.material(tool) {
                _ if heat.lowest.0 < COLDEST_MELT_C => found.push(cold(tool, heat)),
                Some(material) => found.extend(nozzle(tool, heat, material)),
                None => {}
            }
        }
        if let Some(bed) = flow.bed_c {
            found.extend(context.materials().into_iter().filter_map(|material| bed_range(material, bed)));
        }
        found
    }
}

fn cold(tool: u16, heat: &Heat) -> Finding {
    let (celsius, line) = heat.lowest;
    let message = format!("tool {tool} is set to {celsius:.0} °C while it lays plastic");
    let remedy = "heat the nozzle before the first bead, and do not switch it off before the last";
    Finding::new("cold-extrusion", Weight::Warning, message, remedy).line(Some(line))
}

fn nozzle(tool: u16, heat: &Heat, material: &Material) -> Option<Finding> {
    let [coldest, hottest] = material.temperature_c.as_ref()?.nozzle?;
    let ((celsius, line), side) = if heat.lowest.0 < coldest {
        (heat.lowest, "cooler")
    } else if heat.highest.0 > hottest {
        (heat.highest, "hotter")
    } else {
        return None;
    };
    let message = format!(
        "tool {tool} prints at {celsius:.0} °C, {side} than {} wants ({coldest:.0} to {hottest:.0} °C)",
        material.name
    );
    let remedy = "set the temperature the spool's label gives, or name the right material";
    Some(Finding::new("wrong-temperature", Weight::Warning, message, remedy).line(Some(line)))
}

fn bed_range(material: &Material, (celsius, line): (f64, u64)) -> Option<Finding> {
    let [coldest, hottest] = material.temperature_c.as_ref()?.bed?;
    if (coldest..=hottest).contains(&celsius) {
        return None;
    }
    let message = format!("the bed is set to {celsius:.0} °C; {} wants {coldest:.0} to {hottest:.0} °C", material.name);
    let remedy = "set the bed temperature the spool's label gives, or name the right material";
    Some(Finding::new("wrong-temperature", Weight::Warning, message, remedy).line(Some(line)))
}
