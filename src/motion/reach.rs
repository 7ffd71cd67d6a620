//! How far any machine goes: numbers beyond are a damaged file, not a wish.

use super::arc::Arc;

/// No machine that this program is for reaches further from its origin, mm: the largest frames sold for workshops
/// are a few metres. Common practice, no source.
pub(super) const FARTHEST_MM: f64 = 10_000.0;

/// No single move feeds more filament, mm: a full spool is some hundred metres.
pub(super) const MOST_FED_MM: f64 = 10_000.0;

/// Filament thicker than this is no filament, mm; 1.75 and 2.85 are what is sold.
pub(super) const THICKEST_FILAMENT_MM: f64 = 10.0;

/// Which of X, Y and Z no machine reaches, in words.
pub(super) fn beyond_reach(place: [f64; 3]) -> Option<String> {
    let (name, far) = ["X", "Y", "Z"].into_iter().zip(place).find(|(_, far)| too_far(*far))?;
    Some(format!("{name} {far:.0} mm; no machine reaches that far"))
}

fn too_far(far_mm: f64) -> bool {
    !(far_mm.abs() <= FARTHEST_MM)
}

/// What to do about a line that no machine can obey.
pub(super) const BEYOND_REMEDY: &str = "the file is damaged or in other units; slice or copy it again";

/// What of a move is beyond any machine, in words.
pub(super) fn beyond(to: [f64; 3], arc: Option<&Arc>, fed_mm: f64) -> Option<String> {
    if let Some(place) = beyond_reach(to) {
        return Some(format!("this move leads to {place}"));
    }
    // A large radius is no fault: an arc may be nearly straight.
    if let Some(length) = arc.map(Arc::length_mm).filter(|length| too_far(*length)) {
        return Some(format!("this arc is {length:.0} mm long; no machine reaches that far"));
    }
    let fed_too_much = !(fed_mm.abs() <= MOST_FED_MM);
    fed_too_much.then(|| format!("this move feeds {:.0} m of filament", fed_mm / 1000.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_absurd_is_told_and_nothing_else() {
        assert_eq!(beyond([300.0, -9_999.0, 0.2], None, -8.0), None);
        let told = |to, fed| beyond(to, None, fed).unwrap_or_default();
        assert!(told([0.0, 310_632.0, 0.0], 0.0).contains("Y 310632 mm"));
        assert!(told([-10_001.0, 0.0, 0.0], 0.0).contains("X -10001 mm"));
        assert!(told([0.0, 0.0, f64::NAN], 0.0).contains("Z NaN"));
        assert!(told([0.0; 3], 1e6).contains("1000 m of filament"));
        assert!(told([0.0; 3], f64::INFINITY).contains("inf m"));
    }
}
