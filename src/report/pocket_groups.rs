//! Pockets that are alike are spoken of together.

use crate::report::Figures;
use crate::shape::{Pocket, pocket_id};

/// Sizes this close are one size, mm.
const ALIKE_MM: f64 = 0.05;
/// Places that are told one by one at most.
const MOST_PLACES: usize = 12;

/// Pockets of one shape, size, floor and stop.
pub(super) struct PocketGroup<'a> {
    /// Places of its pockets in the list of all.
    pub places: Vec<usize>,
    /// Its pockets.
    pub pockets: Vec<&'a Pocket>,
}

/// Groups what is alike, in the order in which the first of each comes.
pub(super) fn groups<'a>(pockets: impl Iterator<Item = (usize, &'a Pocket)>) -> Vec<PocketGroup<'a>> {
    let mut groups: Vec<PocketGroup<'a>> = Vec::new();
    for (place, pocket) in pockets {
        let known = groups.iter_mut().find(|g| g.pockets.first().is_some_and(|first| alike(first, pocket)));
        match known {
            Some(group) => {
                group.places.push(place);
                group.pockets.push(pocket);
            }
            None => groups.push(PocketGroup { places: vec![place], pockets: vec![pocket] }),
        }
    }
    groups
}

fn alike(a: &Pocket, b: &Pocket) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= ALIKE_MM;
    a.shape == b.shape
        && a.access == b.access
        && a.stop_after_layer == b.stop_after_layer
        && near(a.size_mm, b.size_mm)
        && near(a.length_mm.unwrap_or(0.0), b.length_mm.unwrap_or(0.0))
        && near(a.depth_mm, b.depth_mm)
        && near(a.floor_z_mm, b.floor_z_mm)
}

impl PocketGroup<'_> {
    /// `pocket p3` or `pockets p1-p8`, as they are called in every report.
    pub(super) fn name(&self) -> String {
        format!("{} {}", if self.places.len() == 1 { "pocket" } else { "pockets" }, self.ids())
    }

    /// `p3`, `p1-p8`, or `p1, p4`.
    pub(super) fn ids(&self) -> String {
        let ids: Vec<String> = self.places.iter().map(|place| pocket_id(*place)).collect();
        match (self.places.first(), self.places.last()) {
            (Some(first), Some(last)) if first != last && last - first + 1 == ids.len() => {
                format!("{}-{}", pocket_id(*first), pocket_id(*last))
            }
            _ => ids.join(", "),
        }
    }

    /// `8 round pockets 6.20 mm wide, 2.20 mm deep`.
    pub(super) fn what(&self, figures: Figures) -> String {
        let Some(pocket) = self.pockets.first() else { return String::new() };
        let size = match pocket.length_mm {
            Some(length) => format!("{} × {}", figures.bare_length(pocket.size_mm), figures.length(length)),
            None => figures.length(pocket.size_mm),
        };
        let (count, word) = match self.pockets.len() {
            1 => (String::new(), "pocket"),
            n => (format!("{n} "), "pockets"),
        };
        format!("{count}{} {word} {size} wide, {} deep", pocket.shape.word(), figures.length(pocket.depth_mm))
    }

    /// `at x 84.5 y 100, x 101.5 y 100`.
    pub(super) fn where_they_are(&self, figures: Figures) -> String {
        let place =
            |p: &&Pocket| format!("x {} y {}", figures.short_length(p.centre.x), figures.short_length(p.centre.y));
        let told: Vec<String> = self.pockets.iter().take(MOST_PLACES).map(place).collect();
        let rest = self.pockets.len() - told.len();
        let rest = if rest > 0 { format!(" and {rest} more") } else { String::new() };
        format!("at {}{rest}", told.join(", "))
    }
}
