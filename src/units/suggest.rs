//! The word that was probably meant.

/// The candidate nearest to `word`, if one is near enough to be a slip of the pen.
///
/// Near means at most one slip (letter added, left out, changed or swapped) for every three letters.
#[must_use]
pub fn nearest<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    let word = plain(word);
    let most = |candidate: &[char]| 1.max(word.len().max(candidate.len()) / 3);
    candidates
        .into_iter()
        .map(|candidate| (plain(candidate), candidate))
        // Every letter more or less is a slip: there is no need to count those of a text of pages.
        .filter(|(letters, _)| word.len().abs_diff(letters.len()) <= most(letters))
        .map(|(letters, candidate)| (slips(&word, &letters), most(&letters), candidate))
        .filter(|(slips, most, _)| slips <= most)
        .min_by_key(|(slips, _, _)| *slips)
        .map(|(_, _, candidate)| candidate)
}

fn plain(word: &str) -> Vec<char> {
    word.to_lowercase().chars().map(|c| if c == '-' || c == ' ' { '_' } else { c }).collect()
}

/// Least number of slips that turn one word into the other (optimal string alignment; Damerau, Commun. ACM 7
/// (1964) 171, from memory).
fn slips(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, to) in b.iter().enumerate() {
            let at = |row: &[usize], k: usize| row.get(k).copied().unwrap_or(usize::MAX - 1);
            let mut least = (at(&last, j + 1) + 1).min(at(&row, j) + 1).min(at(&last, j) + usize::from(from != to));
            let swapped = i > 0 && j > 0 && a.get(i - 1) == Some(to) && b.get(j - 1) == Some(from);
            if swapped {
                least = least.min(at(&before, j - 1) + 1);
            }
            row.push(least);
        }
        before = std::mem::replace(&mut last, row);
    }
    last.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_of_the_pen_are_found() {
        let keys = ["enclosed", "nozzle_mm", "filament_mm", "tools"];
        assert_eq!(nearest("enclosd", keys), Some("enclosed"));
        assert_eq!(nearest("nozzle-mm", keys), Some("nozzle_mm"));
        assert_eq!(nearest("filamnet_mm", keys), Some("filament_mm"));
        assert_eq!(nearest("tool", keys), Some("tools"));
        assert_eq!(nearest("colour", keys), None);
        assert_eq!(nearest("", keys), None);
    }

    #[test]
    fn a_swap_is_one_slip() {
        let letters = |w: &str| w.chars().collect::<Vec<_>>();
        assert_eq!(slips(&letters("wall"), &letters("wlal")), 1);
        assert_eq!(slips(&letters("wall"), &letters("walls")), 1);
        assert_eq!(slips(&letters("abc"), &letters("")), 3);
        assert_eq!(slips(&letters("skin"), &letters("sink")), 2);
    }
}
