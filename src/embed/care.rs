//! What to think about before hardware is sealed in: heat at a magnet, the roof's bridge, room above.

use super::decimal::small_length;
use super::hardware::Seating;
use super::heat::Heat;
use crate::diag::Severity;
use crate::profile::MagnetGrades;
use crate::shape::Pocket;
use crate::shape::pocket_id;

/// A roof carries its first layer across this much without help; common practice, no source, mm.
const BRIDGE_MM: f64 = 15.0;
/// With less room than this above it, an insert carries the roof itself; about two layers, mm.
const CARRIED_MM: f64 = 0.45;
/// With more room than this above it, an insert can knock about, mm.
const RATTLE_MM: f64 = 0.6;

/// Adds what is worth a thought about `seating` to its warnings; `heat_after` is the hottest that the file asks for
/// after a layer.
pub(super) fn consider(
    seating: &mut Seating,
    pockets: &[Pocket],
    heat_after: impl Fn(usize) -> Heat,
    grades: Option<&MagnetGrades>,
) {
    for seat in seating.seats.clone() {
        let Some(pocket) = pockets.get(seat.pocket) else { continue };
        let (insert, name) = (&seat.insert.name, pocket_id(seat.pocket));
        if let Some(grade) = &seat.insert.magnet
            && let Some(max_c) = grades.and_then(|grades| grades.max_c(grade))
        {
            magnet(seating, insert, max_c, heat_after(seat.fit.latest), seat.fit.head_room_mm);
        }
        let head_room_mm = seat.fit.head_room_mm;
        if pocket.size_mm > BRIDGE_MM && head_room_mm > CARRIED_MM {
            let span = small_length(pocket.size_mm, seating.units);
            let message = format!("the roof of {name} has to bridge {span}; it may sag");
            seating.warn(Severity::Warning, "bridge", message, "lay a thin disc on the insert, up to the layer's top");
        }
        if head_room_mm > RATTLE_MM {
            let room = small_length(head_room_mm, seating.units);
            let message = format!("{insert} has {room} room above it in {name} and may rattle");
            seating.warn(Severity::Note, "loose-insert", message, "fix it with a drop of glue, or choose a taller one");
        }
    }
}

/// Heat that would spoil a magnet. The grade's limit is a guide: shape and surroundings count as well.
fn magnet(seating: &mut Seating, insert: &str, max_c: f64, heat: Heat, head_room_mm: f64) {
    for (what, celsius) in [("bed", heat.bed_c), ("chamber", heat.chamber_c)] {
        if let Some(celsius) = celsius.filter(|c| *c > max_c) {
            let message = format!(
                "{insert} stands about {max_c:.0} °C, the {what} is at {celsius:.0} °C: it would lose its pull"
            );
            let remedy =
                "use a grade that stands more (M 100, H 120, SH 150 °C), a cooler setting, or glue it in later";
            seating.warn(Severity::Error, "hot-for-magnet", message, remedy);
        }
    }
    if let Some(celsius) = heat.nozzle_c.filter(|c| *c > max_c && head_room_mm <= CARRIED_MM) {
        let message = format!(
            "the roof's first beads, at {celsius:.0} °C, lie on {insert}, which stands about {max_c:.0} °C; \
             a thin layer cools quickly, but a small magnet may lose some pull"
        );
        seating.warn(Severity::Note, "hot-for-magnet", message, "leave 0.2 mm more room above it");
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::embed::fit::Fit;
    use crate::embed::hardware::Seat;
    use crate::geom::Point;
    use crate::profile::Insert;
    use crate::shape::{Access, PocketShape};

    fn considered(insert: &str, size_mm: f64, head_room_mm: f64, heat: Heat) -> Vec<(&'static str, Severity)> {
        let pocket = Pocket {
            shape: PocketShape::Round,
            centre: Point::new(4.0, 5.0),
            size_mm,
            length_mm: None,
            floor_z_mm: 1.0,
            roof_z_mm: Some(4.0),
            depth_mm: 3.0,
            access: Access::Closed,
            stop_after_layer: Some(19),
            layers: vec![],
        };
        let fit = Fit { room_mm: 0.2, head_room_mm, earliest: 18, latest: 19 };
        let seat = Seat { pocket: 0, insert: Insert::load(insert).unwrap(), fit };
        let mut seating = Seating { seats: vec![seat], ..Seating::default() };
        consider(&mut seating, &[pocket], |_| heat, Some(&MagnetGrades::built_in().unwrap()));
        seating.warnings.iter().map(|w| (w.code, w.severity)).collect()
    }

    #[test]
    fn a_bed_hotter_than_the_grade_spoils_a_magnet() {
        // Maximum working temperature of neodymium without a suffix: 80 °C (five magnet-trade pages agree).
        let at = |bed_c| Heat { bed_c: Some(bed_c), ..Heat::default() };
        assert_eq!(considered("disc-6x2", 6.2, 0.5, at(80.0)), []);
        assert_eq!(considered("disc-6x2", 6.2, 0.5, at(85.0)), [("hot-for-magnet", Severity::Error)]);
        assert_eq!(considered("m6-nut", 10.3, 0.5, at(110.0)), []);
    }

    #[test]
    fn beads_on_the_magnet_and_a_wide_bridge_are_worth_a_thought() {
        let heat = Heat { nozzle_c: Some(220.0), ..Heat::default() };
        assert_eq!(considered("disc-6x2", 6.2, 0.2, heat), [("hot-for-magnet", Severity::Note)]);
        assert_eq!(considered("disc-20x5", 20.2, 0.5, heat), [("bridge", Severity::Warning)]);
        assert_eq!(considered("m6-nut", 10.3, 0.8, heat), [("loose-insert", Severity::Note)]);
    }
}
