//! Whether an insert goes into a pocket, when, and how it lies there.
//!
//! ```text
//!          roof ────────────────   roof z
//!                 head room        (negative: it stands proud, the nozzle would hit it)
//!        |     ┌────────────┐    |
//!        |<-r->|   insert   |<-r>|  room: both gaps together
//!          floor ───────────────   floor z
//!
//!   earliest stop: the first layer whose top is at or above the insert's top
//!   latest stop:   the last layer through whose opening the insert still passes
//! ```

use super::decimal::small_length;
use super::room::{opening_room_mm, pocket_room_mm};
use crate::profile::Insert;
use crate::shape::Access;
use crate::shape::Pocket;
use crate::units::System;

/// How much an insert may stand above a layer's top and count as level with it, mm: a tenth of a layer.
const LEVEL_MM: f64 = 0.02;
/// What the measured size of an opening may be off, mm.
const MEASURED_MM: f64 = 0.03;

/// What an insert must have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// Room sideways, both gaps together, mm.
    pub room_mm: f64,
    /// Room above, mm.
    pub head_room_mm: f64,
}

impl Default for Asked {
    /// A slip fit for a printed pocket is 0.2 to 0.4 mm over the insert and a press fit up to 0.1 mm (common practice,
    /// no source): 0.1 mm asked, so that all that is drawn as a slip fit passes however it is measured.
    fn default() -> Self {
        Self { room_mm: 0.1, head_room_mm: 0.0 }
    }
}

/// When an insert goes into a pocket, and how it lies there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Room sideways, both gaps together, mm.
    pub room_mm: f64,
    /// Room between its top and the roof, mm.
    pub head_room_mm: f64,
    /// First layer after which it does not stand above what is printed.
    pub earliest: usize,
    /// Last layer after which it still goes in: where the stop stands.
    pub latest: usize,
}

/// Why an insert does not go into a pocket.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Misfit {
    /// It has no sizes to compare.
    NoSizes,
    /// It needs no stop: the pocket stays open.
    Open(Access),
    /// It is wider than the pocket, or has less room than asked for.
    TooWide {
        /// Room sideways, mm; negative when it is wider.
        room_mm: f64,
        /// Room asked for, mm.
        asked_mm: f64,
    },
    /// It would stand above the last layer through which it goes in; the nozzle would hit it.
    Proud {
        /// By how much, mm.
        by_mm: f64,
        /// The last layer through which it goes in.
        latest: usize,
    },
    /// It goes under the roof, but with less room than asked for.
    Low {
        /// Room above it, mm.
        head_room_mm: f64,
        /// Room asked for, mm.
        asked_mm: f64,
    },
    /// The pocket does not know its layers.
    NoLayer,
}

impl Misfit {
    /// The reason in words, for an insert of this name.
    #[must_use]
    pub fn say(&self, insert: &str, units: System) -> String {
        let length = |mm| small_length(mm, units);
        match *self {
            Self::NoSizes => format!("{insert} has no sizes to compare"),
            Self::Open(access) => {
                format!("open at the {}: {insert} goes in after printing, without a stop", access.word())
            }
            Self::TooWide { room_mm, .. } if room_mm < 0.0 => format!("{insert} is {} too wide", length(-room_mm)),
            Self::TooWide { room_mm, asked_mm } => {
                let short = length(asked_mm - room_mm);
                format!("{insert} has {} room beside it, {short} less than asked for", length(room_mm))
            }
            Self::Proud { by_mm, latest } => format!(
                "{insert} would stand {} proud after layer {latest}, the last through which it goes in, \
                 and the nozzle would hit it",
                length(by_mm)
            ),
            Self::Low { head_room_mm, asked_mm } => {
                let short = length(asked_mm - head_room_mm);
                format!("{insert} has {} room above it, {short} less than asked for", length(head_room_mm))
            }
            Self::NoLayer => "its layers are not known".to_owned(),
        }
    }
}

/// Whether and when `insert` goes into `pocket`.
///
/// # Errors
/// [`Misfit`] with the reason, and by how much.
pub fn fit(insert: &Insert, pocket: &Pocket, asked: Asked) -> Result<Fit, Misfit> {
    let room_mm = pocket_room_mm(insert, pocket).ok_or(Misfit::NoSizes)?;
    let roomy = room_mm >= asked.room_mm - MEASURED_MM;
    if !roomy {
        return Err(Misfit::TooWide { room_mm, asked_mm: asked.room_mm });
    }
    let (Some(steady), Some(roof_mm)) = (pocket.stop_after_layer, pocket.roof_z_mm) else {
        return Err(Misfit::Open(pocket.access));
    };
    let top_mm = pocket.floor_z_mm + insert.height_mm;
    let latest = latest(insert, pocket, steady);
    let last = pocket.layers.iter().find(|layer| layer.layer == latest).ok_or(Misfit::NoLayer)?;
    let by_mm = top_mm - last.z_mm;
    let level = by_mm <= LEVEL_MM;
    if !level {
        return Err(Misfit::Proud { by_mm, latest });
    }
    let within = pocket.layers.iter().find(|layer| layer.z_mm >= top_mm - LEVEL_MM);
    let earliest = within.map_or(latest, |layer| layer.layer.min(latest));
    let head_room_mm = roof_mm - top_mm;
    let high = head_room_mm >= asked.head_room_mm - LEVEL_MM;
    if !high {
        return Err(Misfit::Low { head_room_mm, asked_mm: asked.head_room_mm });
    }
    Ok(Fit { room_mm, head_room_mm, earliest, latest })
}

/// The last layer through whose opening `insert` passes. Up to `steady` everything as wide as the pocket does;
/// a narrower insert may also pass the first openings of a roof that narrows.
fn latest(insert: &Insert, pocket: &Pocket, steady: usize) -> usize {
    pocket
        .layers
        .iter()
        .filter(|layer| layer.layer > steady)
        .take_while(|layer| {
            opening_room_mm(insert, &layer.opening, pocket.centre).is_some_and(|room_mm| room_mm >= -MEASURED_MM)
        })
        .map(|layer| layer.layer)
        .last()
        .unwrap_or(steady)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::geom::Point;
    use crate::rebead::drawing::circle;
    use crate::shape::{PocketLayer, PocketShape};
    use std::sync::Arc;

    const AT: Point = Point { x: 41.0, y: 17.0 };

    /// A round pocket from z 2.0 up, one layer of 0.2 mm for each diameter; the first `steady` ones are its walls.
    fn pocket(diameters: &[f64], steady: usize) -> Pocket {
        let layer = |(i, &d): (usize, &f64)| PocketLayer {
            layer: 10 + i,
            z_mm: 2.2 + 0.2 * i as f64,
            opening: Arc::new(circle(AT, d)),
        };
        let roof_mm = 2.0 + 0.2 * diameters.len() as f64;
        Pocket {
            shape: PocketShape::Round,
            centre: AT,
            size_mm: diameters[0],
            length_mm: None,
            floor_z_mm: 2.0,
            roof_z_mm: Some(roof_mm),
            depth_mm: roof_mm - 2.0,
            access: Access::Closed,
            stop_after_layer: Some(9 + steady),
            layers: diameters.iter().enumerate().map(layer).collect(),
        }
    }

    fn fit_of(insert: &str, pocket: &Pocket) -> Result<Fit, Misfit> {
        fit(&Insert::describe(insert).unwrap(), pocket, Asked::default())
    }

    #[test]
    fn a_straight_pocket_has_a_window_from_the_inserts_top_to_the_roof() {
        let straight = pocket(&[6.2; 11], 11);
        let fit = fit_of("disc 6x1.6", &straight).unwrap();
        assert_eq!((fit.earliest, fit.latest), (17, 20));
        assert!((fit.room_mm - 0.2).abs() < 1e-9 && (fit.head_room_mm - 0.6).abs() < 1e-9);
        let snug = fit_of("disc 6x2.2", &straight).unwrap();
        assert_eq!((snug.earliest, snug.latest), (20, 20));
        assert!(snug.head_room_mm.abs() < 1e-9);
    }

    #[test]
    fn misfits_say_by_how_much() {
        let straight = pocket(&[6.2; 11], 11);
        let Err(Misfit::TooWide { room_mm, .. }) = fit_of("disc 6.5x2", &straight) else { panic!() };
        assert!((room_mm + 0.3).abs() < 1e-9);
        let Err(proud @ Misfit::Proud { by_mm, latest: 20 }) = fit_of("disc 6x3", &straight) else { panic!() };
        assert!((by_mm - 0.8).abs() < 1e-9);
        assert!(proud.say("disc-6x3", System::Metric).starts_with("disc-6x3 would stand 0.80 mm proud after layer 20"));
        let Err(tight @ Misfit::TooWide { .. }) = fit_of("disc 6.15x2", &straight) else { panic!() };
        assert_eq!(proud.say("disc", System::Inch).get(..31), Some("disc would stand 0.031 in proud"));
        assert_eq!(tight.say("disc", System::Metric), "disc has 0.05 mm room beside it, 0.05 mm less than asked for");
    }

    #[test]
    fn what_was_measured_may_be_a_little_off() {
        // 0.1 mm is asked for, openings are measured to 0.03 mm.
        let straight = pocket(&[6.2; 11], 11);
        assert!(fit_of("disc 6.12x2", &straight).is_ok());
        assert!(matches!(fit_of("disc 6.14x2", &straight), Err(Misfit::TooWide { .. })));
        let no_gap = Misfit::TooWide { room_mm: 0.0, asked_mm: 0.1 };
        assert_eq!(no_gap.say("disc", System::Metric), "disc has 0.00 mm room beside it, 0.10 mm less than asked for");
        // And so through a roof that narrows: a disc of 6.4 mm still passes an opening of 6.4 mm.
        let narrowing = pocket(&[8.0, 8.0, 8.0, 8.0, 8.0, 8.0, 7.2, 6.4, 5.6, 4.8], 6);
        assert_eq!(fit_of("disc 6.4x1", &narrowing).unwrap().latest, 17);
    }

    #[test]
    fn room_above_can_be_asked_for() {
        // 2.2 mm deep, the disc 1.6 mm high: 0.6 mm above it.
        let straight = pocket(&[6.2; 11], 11);
        let asked = |head_room_mm| {
            fit(&Insert::describe("disc 6x1.6").unwrap(), &straight, Asked { head_room_mm, ..Asked::default() })
        };
        assert!(asked(0.6).is_ok());
        let Err(low @ Misfit::Low { .. }) = asked(0.9) else { panic!() };
        assert_eq!(low.say("disc", System::Metric), "disc has 0.60 mm room above it, 0.30 mm less than asked for");
    }

    #[test]
    fn through_a_roof_that_narrows_a_smaller_insert_goes_later() {
        // The roof of the last four layers closes in by 0.8 mm a layer.
        let narrowing = pocket(&[8.0, 8.0, 8.0, 8.0, 8.0, 8.0, 7.2, 6.4, 5.6, 4.8], 6);
        assert_eq!(fit_of("disc 7.8x1", &narrowing).unwrap().latest, 15);
        assert_eq!(fit_of("disc 6.3x1", &narrowing).unwrap().latest, 17);
        let tall = fit_of("disc 6.3x1.6", &narrowing).unwrap();
        assert_eq!((tall.earliest, tall.latest), (17, 17));
        assert!(matches!(fit_of("disc 7.8x1.6", &narrowing), Err(Misfit::Proud { latest: 15, .. })));
    }

    #[test]
    fn open_pockets_need_no_stop() {
        let mut open = pocket(&[6.2; 11], 11);
        (open.access, open.roof_z_mm, open.stop_after_layer) = (Access::Top, None, None);
        assert_eq!(fit_of("disc 6x2", &open), Err(Misfit::Open(Access::Top)));
        assert!(matches!(fit_of("disc 7x2", &open), Err(Misfit::TooWide { .. })));
    }
}
