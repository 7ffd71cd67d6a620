//! Numbers as a person writes them: `12`, `-0.5`, `.25`, `1/2`, `1 1/4`, `1-1/4`, `2,5`.

/// Reads the number at the start of `text`; gives it and the rest, without space before it.
///
/// A comma is read as a decimal point, since a quantity never has a list in it. `None` where no finite number
/// stands there.
#[must_use]
pub fn read_number(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let (negative, unsigned) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let (first, rest) = decimal(unsigned)?;
    let (value, rest) = with_fraction(first, rest)?;
    (value.is_finite()).then_some((if negative { -value } else { value }, rest.trim_start()))
}

/// Digits with at most one point, and what follows.
fn decimal(text: &str) -> Option<(f64, &str)> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ',')).unwrap_or(text.len());
    let (mantissa, mut rest) = text.split_at(end);
    let mut exponent = "";
    // `1e3` is a number; `1 e` is not, and no unit begins with e and a digit.
    if let Some(after) = rest.strip_prefix(['e', 'E']) {
        let digits = after.strip_prefix(['-', '+']).unwrap_or(after);
        let length = digits.find(|c: char| !c.is_ascii_digit()).unwrap_or(digits.len());
        if length > 0 {
            let taken = rest.len() - digits.len() + length;
            (exponent, rest) = rest.split_at(taken);
        }
    }
    let number: f64 = format!("{}{exponent}", mantissa.replace(',', ".")).parse().ok()?;
    Some((number, rest))
}

/// `1/2` after a whole number's place: `first` is the numerator, or the whole of a mixed number.
fn with_fraction(first: f64, rest: &str) -> Option<(f64, &str)> {
    if let Some(below) = rest.trim_start().strip_prefix('/') {
        let Some((denominator, rest)) = decimal(below.trim_start()) else { return Some((first, rest)) };
        return (denominator > 0.0).then(|| (first / denominator, rest));
    }
    let after = rest.trim_start();
    let after = after.strip_prefix('-').unwrap_or(after);
    if let Some((above, rest)) = decimal(after)
        && let Some(below) = rest.trim_start().strip_prefix('/')
        && let Some((below, rest)) = decimal(below.trim_start())
        && below > 0.0
    {
        return Some((first + above / below, rest));
    }
    Some((first, rest))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_ways_of_writing() {
        for (text, value, rest) in [
            ("12 kN", 12.0, "kN"),
            ("-0.5", -0.5, ""),
            (".25in", 0.25, "in"),
            ("1/2 in", 0.5, "in"),
            ("1 1/4 in", 1.25, "in"),
            ("1-1/4\"", 1.25, "\""),
            ("2,5 tonf", 2.5, "tonf"),
            ("1e3 N", 1000.0, "N"),
            ("3 /s", 3.0, "/s"),
        ] {
            assert_eq!(read_number(text), Some((value, rest)), "{text}");
        }
    }

    #[test]
    fn what_is_no_number() {
        for text in ["", "kN", "1.2.3 mm", "1/0 in", "nan", "inf", "--3", "1e999 N", "."] {
            assert_eq!(read_number(text), None, "{text}");
        }
    }
}
