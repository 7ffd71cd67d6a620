//! Findings that say the same of layers hardly apart, as one; and none that only follows from another.
//!
//! What every second layer has (a core laid one way, then the other) is one trouble, and a person reads one line:
//!
//! ```text
//!   layer 29: 1 bead along the edge     \
//!   layer 31: 1 bead along the edge      >  every second layer 29-33: 1 bead along the edge
//!   layer 33: 1 bead along the edge     /
//! ```

use super::Finding;

/// So many layers between two that have it may be without it.
const MOST_QUIET: usize = 1;

/// Places nearer than this are one, mm.
const SAME_PLACE_MM: f64 = 3.0;

/// Codes whose place is only where it is worst; the trouble runs along the whole edge.
const ALL_ALONG: [&str; 2] = ["few-walls", "thin-wall"];

/// Joins findings that say the same of the same place in layers with no more than one quiet layer between them.
pub(super) fn join(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.sort_by_key(|f| f.layers);
    let mut joined: Vec<Finding> = Vec::with_capacity(findings.len());
    for finding in findings {
        match joined.iter_mut().rev().find(|before| goes_on(before, &finding)) {
            Some(before) => take_in(before, &finding),
            None => joined.push(finding),
        }
    }
    joined
}

/// Leaves out planes that hold little because a band there is starved: the band is told, and what to do about it.
pub(super) fn without_consequences(findings: Vec<Finding>) -> Vec<Finding> {
    let is_band = |f: &&Finding| f.code == "starved-flow" && f.at.is_none();
    let bands: Vec<(usize, usize)> = findings.iter().filter(is_band).filter_map(|f| f.layers).collect();
    let follows = |(low, high): (usize, usize)| bands.iter().any(|&(first, last)| low <= last && high >= first);
    findings.into_iter().filter(|f| f.code != "weak-plane" || !f.layers.is_some_and(follows)).collect()
}

/// Whether `next` is `before` again, further up.
fn goes_on(before: &Finding, next: &Finding) -> bool {
    let (Some((_, last)), Some((first, _))) = (before.layers, next.layers) else { return false };
    let same_place = match (before.at, next.at) {
        (Some(a), Some(b)) => ALL_ALONG.contains(&before.code) || a.distance(b) <= SAME_PLACE_MM,
        (None, None) => true,
        _ => false,
    };
    (last + 1..=last + 1 + MOST_QUIET).contains(&first)
        && (before.code, before.weight) == (next.code, next.weight)
        && (&before.message, &before.remedy) == (&next.message, &next.remedy)
        && same_place
}

fn take_in(before: &mut Finding, next: &Finding) {
    if let (Some((_, last)), Some((first, end))) = (&mut before.layers, next.layers) {
        before.quiet_layers += next.quiet_layers + first - *last - 1;
        *last = end;
    }
    if let (Some((_, high)), Some((_, end))) = (&mut before.z_mm, next.z_mm) {
        *high = end;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::audit::Weight;
    use crate::geom::Point;

    fn of_layers(first: usize, last: usize, code: &'static str, x: f64) -> Finding {
        Finding {
            layers: Some((first, last)),
            z_mm: Some((first as f64, last as f64 + 1.0)),
            line: Some(first as u64),
            ..Finding::new(code, Weight::Warning, "so and so", "change it")
        }
        .at(Some(Point::new(x, 0.0)))
    }

    fn layers(findings: Vec<Finding>) -> Vec<(usize, usize, usize)> {
        join(findings).iter().filter_map(|f| f.layers.map(|(a, b)| (a, b, f.quiet_layers))).collect()
    }

    #[test]
    fn every_second_layer_is_one_trouble() {
        let found = join((0..11).map(|k| of_layers(27 + 2 * k, 27 + 2 * k, "few-walls", 9.0 * k as f64)).collect());
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].layers, found[0].quiet_layers, found[0].line), (Some((27, 47)), 10, Some(27)));
        assert_eq!(found[0].z_mm, Some((27.0, 48.0)));
    }

    #[test]
    fn two_quiet_layers_another_place_or_other_words_part() {
        let rib = |first, last, x| of_layers(first, last, "thin-rib", x);
        assert_eq!(layers(vec![rib(25, 26, 0.0), rib(9, 23, 1.0)]), [(9, 26, 1)]);
        assert_eq!(layers(vec![rib(3, 4, 0.0), rib(7, 8, 0.0)]), [(3, 4, 0), (7, 8, 0)]);
        assert_eq!(layers(vec![rib(3, 4, 0.0), rib(6, 6, 20.0)]), [(3, 4, 0), (6, 6, 0)]);
        assert_eq!(layers(vec![rib(3, 4, 0.0), of_layers(6, 6, "wall-gap", 0.0)]), [(3, 4, 0), (6, 6, 0)]);
        let thinner = Finding { message: "thinner still".to_owned(), ..rib(6, 6, 0.0) };
        assert_eq!(layers(vec![rib(3, 4, 0.0), thinner]), [(3, 4, 0), (6, 6, 0)]);
    }

    #[test]
    fn weak_planes_of_a_starved_band_are_left_to_it() {
        let plane = |above: usize| Finding { at: None, ..of_layers(above - 1, above, "weak-plane", 0.0) };
        let band = Finding { at: None, ..of_layers(20, 24, "starved-flow", 0.0) };
        let place = of_layers(30, 31, "starved-flow", 5.0);
        let all = vec![plane(20), plane(23), plane(25), plane(26), plane(31), band, place];
        assert_eq!(layers(without_consequences(all)), [(20, 24, 0), (25, 26, 0), (30, 31, 0), (30, 31, 0)]);
    }

    #[test]
    fn what_concerns_the_whole_print_is_left_alone() {
        let whole = || Finding::new("bad-line", Weight::Note, "so and so", "change it");
        assert_eq!(join(vec![whole(), whole()]).len(), 2);
    }
}
