//! Which insert goes into which pocket, and what the person at the stop must know.

use super::EmbedError;
use super::decimal::small_length;
use super::fit::{Asked, Fit, Misfit, fit};
use super::plan::{Place, StopRequest};
use crate::diag::{Diagnostic, Severity};
use crate::profile::Insert;
use crate::profile::InsertShape;
use crate::shape::Access;
use crate::shape::Pocket;
use crate::shape::PocketShape;
use crate::shape::pocket_id;
use crate::units::System;
use std::collections::BTreeMap;

/// An insert with more room than this, and than this share of its width, is not meant for a pocket, mm.
const LOOSE_MM: f64 = 1.0;
const LOOSE_SHARE: f64 = 0.15;
/// An insert that fills less of a pocket's depth than this is not meant for it either.
const SHALLOW_SHARE: f64 = 0.5;

/// One insert in one pocket.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    /// Which pocket, from 0.
    pub pocket: usize,
    /// What goes in.
    pub insert: Insert,
    /// When, and how it lies.
    pub fit: Fit,
}

/// What goes where.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Seating {
    /// Inserts that go in.
    pub seats: Vec<Seat>,
    /// Pockets that get nothing, and why.
    pub left: Vec<(usize, String)>,
    /// Things to think about before printing.
    pub warnings: Vec<Diagnostic>,
    /// What its words measure in.
    pub units: System,
}

/// What is asked for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wish {
    /// Inserts for any pocket they are made for.
    pub inserts: Vec<Insert>,
    /// An insert for one pocket, by the pocket's name such as `p3`.
    pub by_pocket: Vec<(String, Insert)>,
    /// The room they must have.
    pub asked: Asked,
    /// What to measure in when something does not go in.
    pub units: System,
}

/// Gives each pocket the insert that is asked for it, or of the others the one that fits it best.
///
/// # Errors
/// [`EmbedError`] when a named pocket is not there or its insert does not go in, or when nothing goes in anywhere:
/// half of what was asked is never done in silence.
pub fn seat(pockets: &[Pocket], wish: &Wish) -> Result<Seating, EmbedError> {
    let mut seating = Seating { units: wish.units, ..Seating::default() };
    let mut named = BTreeMap::new();
    for (name, insert) in &wish.by_pocket {
        let index = (0..pockets.len())
            .find(|&i| pocket_id(i).eq_ignore_ascii_case(name.trim()))
            .ok_or_else(|| EmbedError::NoSuchPocket { asked: name.clone(), pockets: pockets.len() })?;
        named.insert(index, insert);
    }
    for (index, pocket) in pockets.iter().enumerate() {
        if let Some(insert) = named.get(&index) {
            let fit = fit(insert, pocket, wish.asked).map_err(|misfit| EmbedError::Misfit {
                reasons: format!("{}: {}", pocket_id(index), misfit.say(&insert.name, wish.units)),
            })?;
            seating.seats.push(Seat { pocket: index, insert: (*insert).clone(), fit });
        } else {
            match best(index, pocket, wish) {
                Ok(seat) => seating.seats.push(seat),
                Err(why) => seating.left.push((index, why)),
            }
        }
    }
    if seating.seats.is_empty() {
        let reasons = seating.left_in_words().join("; ");
        return Err(if pockets.is_empty() { EmbedError::NoPockets } else { EmbedError::Misfit { reasons } });
    }
    Ok(seating)
}

/// Of the inserts for any pocket, the one with the least room in this one.
fn best(index: usize, pocket: &Pocket, wish: &Wish) -> Result<Seat, String> {
    let mut found: Option<Seat> = None;
    let mut reasons = Vec::new();
    for insert in &wish.inserts {
        match fit(insert, pocket, wish.asked) {
            Ok(fit) if is_meant(insert, pocket, fit.room_mm) => {
                if found.as_ref().is_none_or(|seat| fit.room_mm < seat.fit.room_mm) {
                    found = Some(Seat { pocket: index, insert: insert.clone(), fit });
                }
            }
            Ok(fit) => reasons.push(format!(
                "{} would lie loose, with {} room beside and {} above it",
                insert.name,
                small_length(fit.room_mm, wish.units),
                small_length(fit.head_room_mm, wish.units)
            )),
            Err(misfit) => reasons.push(misfit.say(&insert.name, wish.units)),
        }
    }
    found.ok_or_else(|| if reasons.is_empty() { "nothing was asked for it".to_owned() } else { reasons.join(", ") })
}

/// Whether a pocket was made for an insert: not merely one that happens to swallow it.
fn is_meant(insert: &Insert, pocket: &Pocket, room_mm: f64) -> bool {
    let width_mm = insert.across_flats_mm.or(insert.width_mm).or(insert.diameter_mm).unwrap_or(0.0);
    room_mm <= LOOSE_MM.max(LOOSE_SHARE * width_mm) && insert.height_mm >= SHALLOW_SHARE * pocket.depth_mm
}

/// Whether an insert of this outline lies in a pocket of this shape without turning.
const fn is_alike(insert: InsertShape, pocket: PocketShape) -> bool {
    match pocket {
        PocketShape::Round => matches!(insert, InsertShape::Disc | InsertShape::Ring),
        PocketShape::Hex => matches!(insert, InsertShape::Hex),
        PocketShape::Box => matches!(insert, InsertShape::Bar | InsertShape::Square),
        PocketShape::Other => false,
    }
}

/// The inserts of `all` that a pocket is made for, least room first.
#[must_use]
pub fn suited<'a>(pocket: &Pocket, all: &'a [Insert], asked: Asked) -> Vec<(&'a Insert, Result<Fit, Misfit>)> {
    let mut suited: Vec<_> = all
        .iter()
        .filter(|insert| is_alike(insert.shape, pocket.shape))
        .filter_map(|insert| match fit(insert, pocket, asked) {
            Ok(fit) => is_meant(insert, pocket, fit.room_mm).then_some((fit.room_mm, insert, Ok(fit))),
            // An open pocket takes an insert without a stop; how snugly is not told by its misfit.
            Err(open @ Misfit::Open(_)) => {
                let room_mm = super::room::pocket_room_mm(insert, pocket)?;
                is_meant(insert, pocket, room_mm).then_some((room_mm, insert, Err(open)))
            }
            Err(_) => None,
        })
        .collect();
    suited.sort_by(|a, b| a.0.total_cmp(&b.0));
    suited.into_iter().map(|(_, insert, fit)| (insert, fit)).collect()
}

impl Seating {
    /// The stops it needs: one for all pockets that close after the same layer.
    #[must_use]
    pub fn requests(&self, pockets: &[Pocket]) -> Vec<StopRequest> {
        let mut by_layer: BTreeMap<usize, Vec<&Seat>> = BTreeMap::new();
        for seat in &self.seats {
            by_layer.entry(seat.fit.latest).or_default().push(seat);
        }
        let requests = by_layer.into_iter().map(|(layer, seats)| {
            let mut notes: Vec<String> = seats.iter().filter_map(|seat| note(seat, pockets)).collect();
            if seats.iter().any(|seat| seat.insert.magnet.is_some()) {
                notes.push("check the pole of every magnet before it is sealed in".to_owned());
            }
            StopRequest { place: Place::AfterLayer(layer), notes }
        });
        requests.collect()
    }

    /// Pockets that get nothing and why, those with the same reason together: `p1, p2: disc-10x3 is 3.80 mm too wide`.
    #[must_use]
    pub fn left_in_words(&self) -> Vec<String> {
        let mut groups: Vec<(&str, Vec<String>)> = Vec::new();
        for (index, why) in &self.left {
            match groups.iter_mut().find(|(reason, _)| reason == why) {
                Some((_, names)) => names.push(pocket_id(*index)),
                None => groups.push((why, vec![pocket_id(*index)])),
            }
        }
        groups.into_iter().map(|(why, names)| format!("{}: {why}", names.join(", "))).collect()
    }

    /// Says something once.
    pub(super) fn warn(&mut self, severity: Severity, code: &'static str, message: String, remedy: &str) {
        let said = Diagnostic { severity, code, message, line: None, columns: None, remedy: Some(remedy.to_owned()) };
        if !self.warnings.contains(&said) {
            self.warnings.push(said);
        }
    }
}

/// What goes where, for the person at the stop.
fn note(seat: &Seat, pockets: &[Pocket]) -> Option<String> {
    let pocket = pockets.get(seat.pocket)?;
    let (x, y) = (pocket.centre.x, pocket.centre.y);
    Some(format!("{} into {} at x {x:.1} y {y:.1}", seat.insert.name, pocket_id(seat.pocket)))
}

/// Whether a pocket only takes its insert while it is printed.
#[must_use]
pub fn needs_stop(pocket: &Pocket) -> bool {
    pocket.access == Access::Closed
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::geom::Point;

    /// A round pocket of this diameter and depth, from z 1.0 up in layers of 0.2 mm.
    fn pocket(size_mm: f64, depth_mm: f64) -> Pocket {
        let centre = Point::new(41.0, 17.0);
        let layers = (0..(depth_mm / 0.2).round() as usize).map(|i| crate::shape::PocketLayer {
            layer: 5 + i,
            z_mm: 1.2 + 0.2 * i as f64,
            opening: std::sync::Arc::new(crate::rebead::drawing::circle(centre, size_mm)),
        });
        let layers: Vec<_> = layers.collect();
        Pocket {
            shape: PocketShape::Round,
            centre,
            size_mm,
            length_mm: None,
            floor_z_mm: 1.0,
            roof_z_mm: Some(1.0 + depth_mm),
            depth_mm,
            access: Access::Closed,
            stop_after_layer: layers.last().map(|layer| layer.layer),
            layers,
        }
    }

    fn inserts(texts: &[&str]) -> Vec<Insert> {
        texts.iter().map(|text| Insert::describe(text).unwrap()).collect()
    }

    fn wish(texts: &[&str]) -> Wish {
        Wish { inserts: inserts(texts), ..Wish::default() }
    }

    #[test]
    fn of_several_inserts_the_snuggest_goes_in() {
        let pockets = [pocket(6.2, 2.2), pocket(8.2, 2.2)];
        for order in [["disc 5.8x2", "disc 6x2", "disc 8x2"], ["disc 8x2", "disc 6x2", "disc 5.8x2"]] {
            let seats = seat(&pockets, &wish(&order)).unwrap().seats;
            let taken: Vec<_> = seats.iter().map(|seat| (seat.pocket, seat.insert.diameter_mm.unwrap())).collect();
            assert_eq!(taken, [(0, 6.0), (1, 8.0)]);
        }
    }

    #[test]
    fn what_a_pocket_merely_swallows_is_not_meant_for_it() {
        // Loose is more than a millimetre and more than 15 % of the width; shallow is less than half the depth.
        let meant = |insert: &str, size_mm, depth_mm| seat(&[pocket(size_mm, depth_mm)], &wish(&[insert])).is_ok();
        assert!(meant("disc 6x2", 6.9, 2.2) && !meant("disc 6x2", 7.1, 2.2));
        assert!(meant("disc 20x2", 22.9, 2.2) && !meant("disc 20x2", 23.1, 2.2));
        assert!(meant("disc 6x2", 6.2, 4.0) && !meant("disc 6x1.9", 6.2, 4.0));
        let Err(EmbedError::Misfit { reasons }) = seat(&[pocket(7.4, 2.4)], &wish(&["disc 6x2"])) else { panic!() };
        assert_eq!(
            reasons,
            format!("{}: disc-6x2 would lie loose, with 1.40 mm room beside and 0.40 mm above it", pocket_id(0))
        );
    }

    #[test]
    fn pockets_left_for_the_same_reason_are_named_together() {
        let pockets = [pocket(6.2, 2.2), pocket(5.0, 2.2), pocket(5.0, 2.2), pocket(4.5, 2.2)];
        let seating = seat(&pockets, &wish(&["disc 6x2"])).unwrap();
        let id = |index| pocket_id(index);
        let want = [
            format!("{}, {}: disc-6x2 is 1.00 mm too wide", id(1), id(2)),
            format!("{}: disc-6x2 is 1.50 mm too wide", id(3)),
        ];
        assert_eq!(seating.left_in_words(), want);
    }

    #[test]
    fn one_stop_is_asked_for_all_pockets_that_close_after_one_layer() {
        let deeper = Pocket { centre: Point::new(60.26, 17.0), ..pocket(6.2, 3.0) };
        let pockets = [pocket(6.2, 2.2), deeper, pocket(6.2, 2.2)];
        let mut wish = wish(&["disc 6x2"]);
        let seating = seat(&pockets, &wish).unwrap();
        let notes = |seating: &Seating| -> Vec<(Place, Vec<String>)> {
            seating.requests(&pockets).into_iter().map(|request| (request.place, request.notes)).collect()
        };
        let into = |index, x| format!("disc-6x2 into {} at x {x} y 17.0", pocket_id(index));
        let want = [
            (Place::AfterLayer(15), vec![into(0, "41.0"), into(2, "41.0")]),
            (Place::AfterLayer(19), vec![into(1, "60.3")]),
        ];
        assert_eq!(notes(&seating), want);
        // A magnet has poles.
        wish.inserts[0].magnet = Some("n".to_owned());
        let notes = notes(&seat(&pockets, &wish).unwrap());
        assert!(notes.iter().all(|(_, notes)| notes.last().is_some_and(|n| n.contains("pole of every magnet"))));
        assert!(needs_stop(&pockets[0]) && !needs_stop(&Pocket { access: Access::Side, ..pocket(6.2, 2.2) }));
    }

    #[test]
    fn suited_are_those_of_like_outline_snuggest_first() {
        let all = inserts(&["disc 5.8x2", "hex 5x2", "disc 6x2", "disc 3x2", "ring 6.05x3x2", "disc 6.5x2"]);
        let names = |pocket: &Pocket| -> Vec<String> {
            suited(pocket, &all, Asked::default()).into_iter().map(|(insert, _)| insert.name.clone()).collect()
        };
        let mut round = pocket(6.2, 2.2);
        let names_of: Vec<String> = [4, 2, 0].map(|i: usize| all[i].name.clone()).to_vec();
        assert_eq!(names(&round), names_of);
        // One that stays open takes the same, without a stop.
        (round.access, round.roof_z_mm, round.stop_after_layer) = (Access::Top, None, None);
        assert_eq!(names(&round), names_of);
    }
}
