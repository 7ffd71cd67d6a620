//! Stops that are already in the file.

use super::Rule;
use crate::audit::{AuditContext, Finding, Weight};

/// A stop in the file.
pub(super) struct StopPresent;

impl Rule for StopPresent {
    fn about(&self) -> &'static str {
        "stops already in the file are named, since a layer bonds less well after one"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["stop-present"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        context
            .measures
            .stops
            .iter()
            .map(|stop| {
                let place =
                    stop.after_layer.map_or("before the first layer".to_owned(), |l| format!("after layer {l}"));
                let message = format!("the machine waits for a person {place}");
                let finding = Finding::new(
                    "stop-present",
                    Weight::Note,
                    message,
                    "be there in time; a layer bonds less well after a stop",
                );
                Finding { layers: stop.after_layer.map(|l| (l, l)), ..finding }.line(Some(stop.line))
            })
            .collect()
    }
}
