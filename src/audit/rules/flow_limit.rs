//! More plastic asked of the hot end than it can melt.

use super::Rule;
use crate::audit::{AuditContext, Finding, Weight};

/// Flow beyond the hot end.
pub(super) struct FlowLimit;

impl Rule for FlowLimit {
    fn about(&self) -> &'static str {
        "the hot end can melt what the file asks for, with the machine and the materials named"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["flow-limit"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let Some((peak, line)) = context.measures.flow.peak else { return Vec::new() };
        let of_materials = context.measures.tools.iter().filter_map(|t| context.setup.material(t.tool)?.max_flow_mm3_s);
        let Some(limit) = of_materials.chain(context.setup.machine.max_flow_mm3_s).min_by(f64::total_cmp) else {
            return Vec::new();
        };
        if peak <= limit {
            return Vec::new();
        }
        let message = format!("up to {peak:.1} mm³/s are asked of a hot end that melts about {limit:.1} mm³/s");
        let remedy = format!(
            "slice at {:.0} % of these speeds or less; starved beads do not bond",
            (100.0 * limit / peak).floor()
        );
        vec![Finding::new("flow-limit", Weight::Warning, message, remedy).line(Some(line))]
    }
}
