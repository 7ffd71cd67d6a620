//! Sums of filament, volume, length and time, by tool and by role.

use super::Setup;
use crate::deposit;
use crate::profile::Role;

/// Sums over everything the machine does.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Totals {
    /// Filament fed for good, mm: retractions and the feeds that undo them cancel.
    pub filament_mm: f64,
    /// Plastic that came out, mm³.
    pub volume_mm3: f64,
    /// Its mass, g; `None` when a tool's material is not known.
    pub mass_g: Option<f64>,
    /// Its price in the currency of the material cards; `None` when a price is not known.
    pub cost: Option<f64>,
    /// Time by what the machine does.
    pub time: TimeTotals,
    /// Path travelled without depositing, mm.
    pub travel_mm: f64,
    /// How often filament was pulled back.
    pub retractions: u64,
}

impl Totals {
    /// Sums with masses and prices from the material cards, and the same by tool.
    pub(super) fn with_materials(sums: &deposit::Totals, dwell_s: f64, setup: &Setup) -> (Self, Vec<ToolTotals>) {
        let tools: Vec<ToolTotals> = sums.tools.iter().map(|tool| ToolTotals::with_material(tool, setup)).collect();
        let moving_s = sums.time_s - sums.waiting_s - dwell_s;
        let totals = Self {
            filament_mm: tools.iter().map(|t| t.filament_mm).sum(),
            volume_mm3: tools.iter().map(|t| t.volume_mm3).sum(),
            mass_g: sum_if_all_known(tools.iter().map(|t| t.mass_g)),
            cost: sum_if_all_known(tools.iter().map(|t| t.cost)),
            time: TimeTotals {
                depositing_s: moving_s - sums.travel_s - sums.retract_s,
                travel_s: sums.travel_s,
                retraction_s: sums.retract_s,
                dwell_s,
                waiting_s: sums.waiting_s,
            },
            travel_mm: sums.travel_mm,
            retractions: sums.retractions,
        };
        (totals, tools)
    }
}

impl ToolTotals {
    fn with_material(sums: &deposit::ToolTotals, setup: &Setup) -> Self {
        let material = setup.material(sums.tool);
        let volume_mm3 = sums.bead_mm3 + sums.blob_mm3;
        let mass_g = material.map(|m| volume_mm3 / 1000.0 * m.density_g_cm3);
        let price_per_kg = material.and_then(|m| m.price_per_kg);
        Self {
            tool: sums.tool,
            material: material.map(|m| m.name.clone()),
            filament_mm: sums.fed_mm,
            volume_mm3,
            mass_g,
            cost: mass_g.zip(price_per_kg).map(|(grams, per_kg)| grams / 1000.0 * per_kg),
            time_s: sums.time_s,
        }
    }
}

/// The sum of all values, or `None` when there are none or one is not known.
fn sum_if_all_known(values: impl Iterator<Item = Option<f64>>) -> Option<f64> {
    let mut any = false;
    let sum = values.inspect(|_| any = true).sum::<Option<f64>>();
    sum.filter(|_| any)
}

/// Time by what the machine does, s.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TimeTotals {
    /// Laying beads.
    pub depositing_s: f64,
    /// Moving without laying beads.
    pub travel_s: f64,
    /// Pulling filament back and feeding it again.
    pub retraction_s: f64,
    /// Dwells stated in the file.
    pub dwell_s: f64,
    /// Heating, homing, tool changes and people, from the machine profile.
    pub waiting_s: f64,
}

impl TimeTotals {
    /// All of it, s.
    #[must_use]
    pub fn total_s(&self) -> f64 {
        self.moving_s() + self.dwell_s + self.waiting_s
    }

    /// All time in which an axis or the filament moves, s.
    #[must_use]
    pub fn moving_s(&self) -> f64 {
        self.depositing_s + self.travel_s + self.retraction_s
    }
}

/// What one tool does.
#[derive(Debug, Clone, PartialEq)]
pub struct ToolTotals {
    /// Tool number.
    pub tool: u16,
    /// Name of its material card, if one was given.
    pub material: Option<String>,
    /// Filament fed for good, mm.
    pub filament_mm: f64,
    /// Plastic that came out, mm³.
    pub volume_mm3: f64,
    /// Its mass, g.
    pub mass_g: Option<f64>,
    /// Its price.
    pub cost: Option<f64>,
    /// Time with this tool, s.
    pub time_s: f64,
}

/// Where a bead's role was read from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum RoleSource {
    /// A comment in the file.
    Words,
    /// The motion itself.
    Motion,
}

/// What was laid in one role.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoleTotals {
    /// What the beads are for.
    pub role: Role,
    /// How that is known.
    pub source: RoleSource,
    /// Plastic, mm³.
    pub volume_mm3: f64,
    /// Length of path, mm.
    pub length_mm: f64,
    /// Time laying it, s.
    pub time_s: f64,
}

/// How far comments and motion agree on what beads are for.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WordsAgreement {
    /// Volume whose role a comment names, mm³.
    pub labelled_mm3: f64,
    /// Of that, the volume that motion puts in the same group (walls, infill, not part), mm³.
    pub agreeing_mm3: f64,
}

impl WordsAgreement {
    /// Share of labelled volume on which both agree; `None` when no comment names a role.
    #[must_use]
    pub fn share(&self) -> Option<f64> {
        (self.labelled_mm3 > 0.0).then(|| self.agreeing_mm3 / self.labelled_mm3)
    }

    /// Adds a strand of `volume_mm3` that comments call `words` and motion calls `motion`.
    pub fn add(&mut self, volume_mm3: f64, words: Role, motion: Role) {
        self.labelled_mm3 += volume_mm3;
        if group(words) == group(motion) {
            self.agreeing_mm3 += volume_mm3;
        }
    }

    /// Adds a strand of `volume_mm3` by whether comments call it a wall and whether motion does.
    pub fn add_walls(&mut self, volume_mm3: f64, words: Role, motion: Role) {
        self.labelled_mm3 += volume_mm3;
        if (group(words) == 0) == (group(motion) == 0) {
            self.agreeing_mm3 += volume_mm3;
        }
    }
}

/// Roles that hold a part in the same way, and that words and motion may name differently in good faith.
fn group(role: Role) -> u8 {
    match role {
        Role::OuterWall | Role::InnerWall | Role::GapFill => 0,
        Role::SparseInfill => 1,
        Role::SolidInfill | Role::Bridge => 2,
        Role::Support | Role::Adhesion | Role::Purge => 3,
        Role::Unknown => 4,
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{FILAMENT_MM2, measured, setup};
    use super::*;
    use crate::profile::Material;
    use std::collections::BTreeMap;
    use std::f64::consts::FRAC_PI_4;

    fn petg() -> Material {
        setup().material.expect("the card of every tool")
    }

    #[test]
    fn agreement_counts_volume_by_group() {
        let mut agreement = WordsAgreement::default();
        assert_eq!(agreement.share(), None);
        agreement.add(3.0, Role::OuterWall, Role::InnerWall);
        agreement.add(1.0, Role::SparseInfill, Role::OuterWall);
        assert_eq!(agreement.share(), Some(0.75));
    }

    #[test]
    fn names_for_what_holds_a_part_alike_agree_and_others_do_not() {
        let alike: [&[Role]; 5] = [
            &[Role::OuterWall, Role::InnerWall, Role::GapFill],
            &[Role::SparseInfill],
            &[Role::SolidInfill, Role::Bridge],
            &[Role::Support, Role::Adhesion, Role::Purge],
            &[Role::Unknown],
        ];
        let all = || alike.iter().enumerate().flat_map(|(group, roles)| roles.iter().map(move |role| (group, *role)));
        for ((one, words), (other, motion)) in all().flat_map(|one| all().map(move |other| (one, other))) {
            let mut agreement = WordsAgreement::default();
            agreement.add(1.0, words, motion);
            assert_eq!(agreement.share(), Some(if one == other { 1.0 } else { 0.0 }), "{words:?} and {motion:?}");
        }
    }

    #[test]
    fn walls_agree_with_walls_and_all_else_with_all_else() {
        let mut agreement = WordsAgreement::default();
        agreement.add_walls(4.0, Role::OuterWall, Role::GapFill);
        agreement.add_walls(2.0, Role::SparseInfill, Role::Support);
        agreement.add_walls(1.0, Role::InnerWall, Role::SolidInfill);
        agreement.add_walls(1.0, Role::Bridge, Role::OuterWall);
        assert_eq!((agreement.labelled_mm3, agreement.share()), (8.0, Some(0.75)));
    }

    /// Two tools that lay, travel, pull back, prime, wait and dwell, on a machine that is at full speed at once.
    const FILE: &str = "M83\nG28\nM109 S230\nG4 P1500\nG1 Z0.2 F600\nG0 X30 F6000\nG1 X60 E2 F1800\nG1 E-1 F1200\n\
                        G0 Y40 F6000\nG1 E1.5 F1200\nG1 X0 E4 F1800\nT1\nG1 Y80 E1 F1200\n";

    #[test]
    fn the_time_of_a_print_is_told_apart_by_what_the_machine_does() {
        let totals = measured(FILE, &setup()).totals;
        let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 1e-4, "{found} is not {wanted}");
        // 30 and 60 mm at 30 mm/s, 40 mm at 20; 0.2 mm at 10 mm/s, 30 and 40 mm at 100; 2.5 mm of filament at 20.
        near(totals.time.depositing_s, 1.0 + 2.0 + 2.0);
        near(totals.time.travel_s, 0.02 + 0.3 + 0.4);
        near(totals.time.retraction_s, 0.125);
        near(totals.time.dwell_s, 1.5);
        near(totals.time.waiting_s, 25.0 + 90.0);
        near(totals.travel_mm, 70.2);
        assert_eq!(totals.retractions, 1);
    }

    #[test]
    fn mass_and_price_follow_from_the_plastic_of_each_tool_and_its_own_card() {
        let with = |price_per_kg| {
            let card = Material { density_g_cm3: 2.0, price_per_kg, filament_mm: Some(2.85), ..petg() };
            measured(FILE, &Setup { materials: BTreeMap::from([(1, card)]), ..setup() })
        };
        let print = with(Some(40.0));
        let near = |found: Option<f64>, wanted: f64| {
            let found = found.expect("a known value");
            assert!((found - wanted).abs() < 1e-9 * wanted, "{found} is not {wanted}");
        };
        // What is pressed out beyond what was pulled back is plastic too: half a millimetre of filament.
        let mm3 = [6.5 * FILAMENT_MM2, FRAC_PI_4 * 2.85 * 2.85];
        let grams = [1.27e-3 * mm3[0], 2e-3 * mm3[1]];
        for (tool, (mm3, grams)) in print.tools.iter().zip(mm3.into_iter().zip(grams)) {
            near(Some(tool.volume_mm3), mm3);
            near(tool.mass_g, grams);
        }
        near(Some(print.totals.filament_mm), 7.5);
        near(Some(print.totals.volume_mm3), mm3[0] + mm3[1]);
        near(print.totals.mass_g, grams[0] + grams[1]);
        near(print.tools[1].cost, 0.04 * grams[1]);
        near(print.totals.cost, 0.025 * grams[0] + 0.04 * grams[1]);
        let print = with(None);
        assert_eq!((print.tools[1].cost, print.totals.cost), (None, None));
        near(print.totals.mass_g, grams[0] + grams[1]);
    }

    #[test]
    fn one_unknown_makes_the_sum_unknown() {
        assert_eq!(sum_if_all_known([Some(1.0), None].into_iter()), None);
        assert_eq!(sum_if_all_known([Some(1.0), Some(2.0)].into_iter()), Some(3.0));
        assert_eq!(sum_if_all_known(std::iter::empty()), None);
    }

    #[test]
    fn time_is_the_sum_of_its_parts() {
        let time = TimeTotals { depositing_s: 10.0, travel_s: 4.0, retraction_s: 2.0, dwell_s: 1.0, waiting_s: 0.5 };
        assert!((time.moving_s() - 16.0).abs() < 1e-12);
        assert!((time.total_s() - 17.5).abs() < 1e-12);
    }
}
