//! What the search may try: a list of values for each setting.

use super::choice::{Choice, CoreKind};
use super::effects::Turn;
use crate::deposit::section_mm2;
use crate::profile::{Machine, StrengthProfile};

/// Most walls that are tried.
const MOST_WALLS: u32 = 12;
/// Shares of the core that are tried, percent.
const CORE_PERCENT: [u32; 13] = [0, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100];
/// Skins are tried from so many layers less to so many more than the file has.
const FEWER_SKINS: u32 = 2;
const MORE_SKINS: u32 = 4;
/// Fewer layers do not close over a core: common practice, no source.
const FEWEST_SKINS: u32 = 3;
/// Widths of a bead that are tried, in hundredths of the nozzle's bore: common practice, no source.
const WIDTH_SHARES: [f64; 4] = [1.05, 1.125, 1.25, 1.5];
/// Heights of a layer that are tried, in shares of the nozzle's bore: common practice, no source.
const HEIGHT_SHARES: [f64; 5] = [0.3, 0.4, 0.5, 0.6, 0.7];
/// Widths and heights closer than this to the file's own are not worth a change, µm.
const ALIKE_UM: u32 = 15;

/// Cores that are held against the file's own.
const SHOWN_CORES: [CoreKind; 6] = [
    CoreKind::Alternating,
    CoreKind::Ribs,
    CoreKind::Grid,
    CoreKind::Triangles,
    CoreKind::Loops,
    CoreKind::AlternatingWaves,
];

/// Values that may be chosen, each list in rising order.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Space {
    pub walls: Vec<u32>,
    pub core_percent: Vec<u32>,
    /// The first is the one that is named where there is no core to speak of.
    pub core: Vec<CoreKind>,
    /// Layers above floors and under roofs.
    pub skins: Vec<(u32, u32)>,
    pub bead_width_um: Vec<u32>,
    pub layer_height_um: Vec<u32>,
}

impl Space {
    /// What may be tried around the settings of a file.
    ///
    /// `layer_height_mm` is the file's own; values that the strength profile refuses are left out.
    pub fn around(own: &Choice, layer_height_mm: f64, machine: &Machine, profile: Option<&StrengthProfile>) -> Self {
        let bore_um = 1000.0 * machine.nozzle_mm;
        let least = raised(own, layer_height_mm, profile);
        let skins = (0..=FEWER_SKINS + MORE_SKINS).filter_map(|more| {
            let of = |least: u32| (least + more).checked_sub(FEWER_SKINS).filter(|n| *n >= least.min(FEWEST_SKINS));
            Some((of(least.bottom_skins)?, of(least.top_skins)?))
        });
        let least_walls = profile.and_then(|p| p.min_walls).unwrap_or(1);
        let least_core = profile.and_then(|p| p.min_core_density).map_or(0, percent_up);
        let tallest = profile.and_then(|p| p.max_layer_height_share).unwrap_or(1.0);
        let own_height_um = (1000.0 * layer_height_mm).round() as u32;
        let heights = HEIGHT_SHARES.iter().filter(|share| **share <= tallest);
        let heights = heights.map(|share| (share * bore_um).round() as u32);
        let widths = WIDTH_SHARES.iter().map(|share| (share * bore_um).round() as u32);
        let off = |own: u32| move |v: &u32| v.abs_diff(own) > ALIKE_UM;
        Self {
            walls: with_own((least_walls..=MOST_WALLS).chain([least.walls]), own.walls),
            core_percent: with_own(
                CORE_PERCENT.into_iter().filter(|p| *p >= least_core).chain([least.core_percent]),
                own.core_percent,
            ),
            core: std::iter::once(own.core).chain(CoreKind::ALL.into_iter().filter(|k| *k != own.core)).collect(),
            skins: with_own(skins, (own.bottom_skins, own.top_skins)),
            bead_width_um: with_own(widths.filter(off(own.bead_width_um)), own.bead_width_um),
            // 0 is the file's own height, whatever it is.
            layer_height_um: with_own(heights.filter(off(own_height_um)), 0),
        }
    }

    /// A choice whose core is named alike wherever it makes no difference.
    pub fn plain(&self, choice: Choice) -> Choice {
        let alike = choice.core_percent == 0 || choice.core_percent >= 100;
        let core = if alike { self.core.first().copied().unwrap_or(choice.core) } else { choice.core };
        Choice { core, ..choice }
    }

    /// Every choice that differs from this one in a single setting, by one step or a stride of several.
    pub fn neighbours(&self, from: &Choice, layer_height_mm: f64) -> Vec<Choice> {
        let mut found = Vec::new();
        let mut add = |choice: Choice| {
            let choice = self.plain(choice);
            if choice != *from && !found.contains(&choice) {
                found.push(choice);
            }
        };
        for walls in steps(&self.walls, from.walls, &[1, 3]) {
            add(Choice { walls, ..*from });
        }
        for core_percent in steps(&self.core_percent, from.core_percent, &[1, 3]) {
            add(Choice { core_percent, ..*from });
        }
        for (bottom_skins, top_skins) in steps(&self.skins, (from.bottom_skins, from.top_skins), &[1]) {
            add(Choice { bottom_skins, top_skins, ..*from });
        }
        for bead_width_um in steps(&self.bead_width_um, from.bead_width_um, &[1]) {
            add(Choice { bead_width_um, ..*from });
        }
        for layer_height_um in self.height_steps(from.layer_height_um, layer_height_mm) {
            add(Choice { layer_height_um, ..*from });
        }
        for &core in &self.core {
            add(Choice { core, ..*from });
        }
        found
    }

    /// The next heights below and above; the file's own stands among them at its place.
    fn height_steps(&self, from_um: u32, own_mm: f64) -> Vec<u32> {
        let real = |um: u32| if um == 0 { (1000.0 * own_mm).round() as u32 } else { um };
        let mut heights = self.layer_height_um.clone();
        heights.sort_by_key(|um| real(*um));
        steps(&heights, from_um, &[1])
    }
}

/// The file's own settings, raised where the strength profile asks for more.
pub(super) fn raised(own: &Choice, layer_height_mm: f64, profile: Option<&StrengthProfile>) -> Choice {
    let Some(profile) = profile else { return *own };
    let pitch_mm = section_mm2(own.bead_width_mm(), layer_height_mm) / layer_height_mm;
    // From the outer flank: one bead's width, then a pitch for every further wall.
    let thick = profile.min_wall_thickness_mm.map_or(0.0, |mm| ((mm - own.bead_width_mm()) / pitch_mm).ceil() + 1.0);
    let skin = profile.min_skin_mm.map_or(0.0, |mm| (mm / layer_height_mm - 1e-6).ceil());
    let most = |values: [u32; 3]| values.into_iter().max().unwrap_or(0);
    Choice {
        walls: most([own.walls, profile.min_walls.unwrap_or(0), thick as u32]),
        core_percent: own.core_percent.max(profile.min_core_density.map_or(0, percent_up)),
        bottom_skins: most([own.bottom_skins, profile.min_bottom_skin_layers.unwrap_or(0), skin as u32]),
        top_skins: most([own.top_skins, profile.min_top_skin_layers.unwrap_or(0), skin as u32]),
        ..*own
    }
}

/// A density as a whole percent that is measured as no less.
fn percent_up(density: f64) -> u32 {
    (100.0 * density - 1e-6).ceil() as u32 + 1
}

/// One step of each setting whose effect is shown, both ways where that makes sense.
pub(super) fn single_changes(own: &Choice, space: &Space, layer_height_mm: f64) -> Vec<(Turn, Choice)> {
    let mut changes = Vec::new();
    let walls = [own.walls.saturating_sub(1), own.walls + 1, own.walls + 2];
    changes.extend(walls.into_iter().filter(|w| (1..=MOST_WALLS).contains(w)).map(|walls| Choice { walls, ..*own }));
    let more = CORE_PERCENT.into_iter().filter(|p| *p > own.core_percent + 4).take(2);
    let less = CORE_PERCENT.into_iter().rev().find(|p| p + 4 < own.core_percent);
    changes.extend(less.into_iter().chain(more).map(|core_percent| Choice { core_percent, ..*own }));
    for (bottom, top) in
        [(Some(own.bottom_skins + 1), Some(own.top_skins + 1)), (less_one(own.bottom_skins), less_one(own.top_skins))]
    {
        changes.extend(bottom.zip(top).map(|(bottom_skins, top_skins)| Choice { bottom_skins, top_skins, ..*own }));
    }
    if (1..100).contains(&own.core_percent) {
        changes.extend(SHOWN_CORES.into_iter().filter(|core| *core != own.core).map(|core| Choice { core, ..*own }));
    }
    let widths = steps(&space.bead_width_um, own.bead_width_um, &[1]);
    changes.extend(widths.into_iter().map(|bead_width_um| Choice { bead_width_um, ..*own }));
    let heights = space.height_steps(own.layer_height_um, layer_height_mm);
    changes.extend(heights.into_iter().map(|layer_height_um| Choice { layer_height_um, ..*own }));
    changes.into_iter().map(|choice| (Turn::between(own, &choice), space.plain(choice))).collect()
}

fn less_one(skins: u32) -> Option<u32> {
    skins.checked_sub(1).filter(|n| *n >= FEWEST_SKINS)
}

/// Values with the file's own among them, in order.
fn with_own<T: Ord>(values: impl Iterator<Item = T>, own: T) -> Vec<T> {
    let mut all: Vec<T> = values.chain(std::iter::once(own)).collect();
    all.sort();
    all.dedup();
    all
}

/// The values so many places before and after one.
fn steps<T: PartialEq + Copy>(values: &[T], from: T, strides: &[usize]) -> Vec<T> {
    let Some(at) = values.iter().position(|v| *v == from) else { return values.to_vec() };
    let both = strides.iter().flat_map(|by| [at.checked_sub(*by), Some(at + by)]);
    both.filter_map(|place| values.get(place?).copied()).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    pub(crate) fn own() -> Choice {
        Choice {
            walls: 3,
            core_percent: 18,
            core: CoreKind::Grid,
            bottom_skins: 3,
            top_skins: 5,
            bead_width_um: 450,
            layer_height_um: 0,
        }
    }

    #[test]
    fn the_files_own_settings_are_among_the_values() {
        let space = Space::around(&own(), 0.2, &Machine::load("open-small").unwrap(), None);
        assert_eq!(space.core_percent[..5], [0, 10, 15, 18, 20]);
        assert_eq!(space.skins[..2], [(3, 5), (4, 6)]);
        assert_eq!(space.bead_width_um, [420, 450, 500, 600]);
        assert_eq!(space.layer_height_um, [0, 120, 160, 240, 280]);
        assert_eq!((space.core[0], space.core.len()), (CoreKind::Grid, 10));
    }

    #[test]
    fn neighbours_differ_in_one_setting() {
        let space = Space::around(&own(), 0.2, &Machine::load("open-small").unwrap(), None);
        let near = space.neighbours(&own(), 0.2);
        let heights: Vec<u32> = near.iter().map(|c| c.layer_height_um).filter(|um| *um > 0).collect();
        assert_eq!(heights, [160, 240]);
        assert!(near.contains(&Choice { walls: 6, ..own() }) && !near.contains(&own()));
        let hollow = Choice { core_percent: 0, core: CoreKind::Waves, ..own() };
        assert_eq!(space.plain(hollow).core, CoreKind::Grid);
    }

    #[test]
    fn a_strength_profile_narrows_the_choice() {
        let profile = StrengthProfile::load("press-tool").unwrap();
        let space = Space::around(&own(), 0.2, &Machine::load("open-small").unwrap(), Some(&profile));
        let least = profile.min_walls.unwrap();
        // The file's own count stays, so that there is something to start from.
        assert!(space.walls.iter().all(|w| *w >= least || *w == 3));
    }
}
