//! Sentences of other rooms are written in metric; this reads them to whoever measures in inches.
//!
//! ```text
//! walls 0.85 mm thick; press tool wants at least 2.00 mm
//! walls 0.033 in thick; press tool wants at least 0.079 in
//! ```
//!
//! Only numbers with a unit behind them are touched; `220 to 250 °C` and `70 x 40 x 10 mm` are taken together.

use super::Figures;
use crate::units::{Force, Stress, System, Torque, significant};
use regex::{Captures, Regex};
use std::sync::LazyLock;

const MM_PER_INCH: f64 = 25.4;
const GRAMS_PER_OUNCE: f64 = 28.349_523_125;

/// Numbers with a unit behind them, and the character after it, which must not go on with the unit's name.
static QUANTITY: LazyLock<Option<Regex>> = LazyLock::new(|| {
    let number = r"\d+(?:\.\d+)?";
    let unit = "mm³/s|mm/s|mm²|mm³|cm³|mm|°C|kN|N mm|N m|N|MPa|kg|g";
    Regex::new(&format!(r"(?P<numbers>{number}(?: (?:to|x) {number})*) (?P<unit>{unit})(?P<after>[^\w²³/]|$)")).ok()
});

/// The sentence in the reader's units.
#[must_use]
pub(super) fn translate(text: &str, figures: Figures) -> String {
    match QUANTITY.as_ref() {
        Some(quantity) if figures.is_inch() => {
            quantity.replace_all(text, |found: &Captures<'_>| told(found)).into_owned()
        }
        _ => text.to_owned(),
    }
}

fn told(found: &Captures<'_>) -> String {
    let part = |name: &str| found.name(name).map_or("", |m| m.as_str());
    let whole = found.get(0).map_or("", |m| m.as_str());
    let Some((convert, unit)) = conversion(part("unit")) else { return whole.to_owned() };
    let words: Vec<String> =
        part("numbers").split(' ').map(|word| word.parse().map_or_else(|_| word.to_owned(), convert)).collect();
    format!("{}{unit}{}", words.join(" "), part("after"))
}

/// How a number of a metric unit is written.
type Convert = fn(f64) -> String;

/// How numbers of a metric unit are written, and the unit to put behind them.
fn conversion(unit: &str) -> Option<(Convert, &'static str)> {
    Some(match unit {
        "mm" => (|v| format!("{:.3}", v / MM_PER_INCH), " in"),
        "mm/s" => (|v| significant(v / MM_PER_INCH, 3), " in/s"),
        "mm²" => (|v| significant(v / MM_PER_INCH.powi(2), 3), " in²"),
        "mm³" => (|v| significant(v / MM_PER_INCH.powi(3), 3), " in³"),
        "mm³/s" => (|v| significant(v / MM_PER_INCH.powi(3), 3), " in³/s"),
        "cm³" => (|v| significant(v * 1000.0 / MM_PER_INCH.powi(3), 3), " in³"),
        "°C" => (|v| format!("{:.0}", v * 1.8 + 32.0), " °F"),
        "g" => (|v| significant(v / GRAMS_PER_OUNCE, 3), " oz"),
        "kg" => (|v| significant(v * 1000.0 / GRAMS_PER_OUNCE / 16.0, 3), " lb"),
        // These carry their own units: pounds or tons, as the size asks.
        "N" => (|v| Force::from_newtons(v).show(System::Inch), ""),
        "kN" => (|v| Force::from_newtons(1000.0 * v).show(System::Inch), ""),
        "N mm" => (|v| Torque::from_n_mm(v).show(System::Inch), ""),
        "N m" => (|v| Torque::from_n_mm(1000.0 * v).show(System::Inch), ""),
        "MPa" => (|v| Stress::from_mpa(v).show(System::Inch), ""),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_are_translated_and_words_are_not() {
        let said = |text: &str| translate(text, Figures::INCH);
        assert_eq!(said("walls 0.85 mm thick; wants 2.00 mm"), "walls 0.033 in thick; wants 0.079 in");
        assert_eq!(said("(220 to 250 °C)"), "(428 to 482 °F)");
        assert_eq!(said("is 254 x 127 x 25.4 mm,"), "is 10.000 x 5.000 x 1.000 in,");
        assert_eq!(said("12 mm³/s, 645.16 mm²."), "0.000732 in³/s, 1 in².");
        // 4.4482216 N are 1 lbf: NIST SP 811.
        assert_eq!(said("bears 444.82 N of 889.64 N"), "bears 100 lbf of 200 lbf");
        for same in ["layer 3 of 5", "M5 nut, 8 walls", "5 gauge", "3 millimetres", "P of G4 (3 times)"] {
            assert_eq!(said(same), same);
        }
        assert_eq!(translate("2.00 mm", Figures::METRIC), "2.00 mm");
    }
}
