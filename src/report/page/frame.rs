//! What every page shares: head, style, script.

use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("page.js");

/// A whole document around `body`.
pub(super) fn document(title: &str, body: &Markup) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content="beadwise";
                // The page may ask nothing of any network.
                meta http-equiv="Content-Security-Policy"
                    content="default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:";
                title { (title) }
                link rel="icon" href="data:,";
                style { (PreEscaped(STYLE)) }
            }
            body {
                main { (body) }
                footer { "beadwise " (env!("CARGO_PKG_VERSION")) ": read from the motion in the file; comments in it are hearsay." }
                script { (PreEscaped(SCRIPT)) }
            }
        }
    }
    .into_string()
}
