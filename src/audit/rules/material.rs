//! What a material needs and the machine does not have.

use super::Rule;
use crate::audit::{AuditContext, Finding, Weight};
use crate::profile::Material;

/// Material against machine.
pub(super) struct MaterialAndMachine;

impl Rule for MaterialAndMachine {
    fn about(&self) -> &'static str {
        "the machine has what the material needs: a hard nozzle, a closed space, a feed of its own"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["soft-nozzle", "wants-enclosure", "wants-own-feed"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        context.materials().into_iter().flat_map(|material| needs(material, context)).collect()
    }
}

fn needs(material: &Material, context: &AuditContext<'_>) -> Vec<Finding> {
    let machine = &context.setup.machine;
    let mut found = Vec::new();
    let mut say =
        |code, message: String, remedy: &str| found.push(Finding::new(code, Weight::Warning, message, remedy));
    if material.needs.hardened_nozzle && !machine.nozzle_hardened {
        say(
            "soft-nozzle",
            format!("{} wears a soft nozzle, and {} has one", material.name, machine.name),
            "fit a hardened steel nozzle",
        );
    }
    if material.needs.enclosure && !machine.enclosed {
        say(
            "wants-enclosure",
            format!("{} wants a closed, warm space; {} is open", material.name, machine.name),
            "print it in a closed machine: cold air opens the layers of engineering filaments",
        );
    }
    if material.needs.own_feed && machine.changer {
        say(
            "wants-own-feed",
            format!("{} is soft; the changer of {} cannot push it", material.name, machine.name),
            "feed it to an extruder of its own",
        );
    }
    found
}
