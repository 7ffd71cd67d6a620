//! Motion outside the space the machine can build in.

use super::Rule;
use crate::audit::{AuditContext, Finding, Weight};

/// Beads may pass the edge of the bed by this much before it counts, mm.
const EDGE_SLACK_MM: f64 = 0.5;

/// Plastic laid outside the bed, above the height, or below the bed.
pub(super) struct Bed;

impl Rule for Bed {
    fn about(&self) -> &'static str {
        "plastic is laid on the bed, within the machine's height, and never below the bed"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["outside-bed", "below-bed"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let machine = &context.setup.machine;
        let mut found = Vec::new();
        if let Some([low, high]) = context.measures.deposit_box_mm {
            // Some machines count from the middle of the bed, some from a corner: what counts is the size.
            let size = [high[0] - low[0], high[1] - low[1]];
            let corner_fits = (0..2).all(|a| low[a] >= -EDGE_SLACK_MM && high[a] <= machine.bed_mm[a] + EDGE_SLACK_MM);
            let middle_fits = (0..2).all(|a| {
                let half = machine.bed_mm[a] / 2.0 + EDGE_SLACK_MM;
                low[a] >= -half && high[a] <= half
            });
            if !(corner_fits || middle_fits) {
                let message = format!(
                    "plastic is laid from x {:.1} y {:.1} to x {:.1} y {:.1} ({:.1} x {:.1} mm) on a bed of {:.0} x {:.0} mm",
                    low[0], low[1], high[0], high[1], size[0], size[1], machine.bed_mm[0], machine.bed_mm[1]
                );
                found.push(Finding::new(
                    "outside-bed",
                    Weight::Warning,
                    message,
                    "move the part, or name the machine that will print it",
                ));
            }
            if !(high[2] <= machine.height_mm) {
                let message =
                    format!("the part is {:.1} mm high; the machine builds {:.0} mm", high[2], machine.height_mm);
                found.push(Finding::new(
                    "outside-bed",
                    Weight::Warning,
                    message,
                    "lay the part down, or name the machine that will print it",
                ));
            }
        }
        if let Some((z_mm, line)) = context.measures.flow.below_bed {
            let message = format!("plastic is laid at z {z_mm:.2} mm, below the bed");
            let remedy = "look at the height offset in the file; the nozzle would scrape the bed";
            found.push(Finding::new("below-bed", Weight::Warning, message, remedy).line(Some(line)));
        }
        found
    }
}
