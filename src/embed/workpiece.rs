//! A file without its stops, and everything about it that decides where stops can stand.

use super::EmbedError;
use super::care;
use super::frame::{Frame, frames};
use super::hardware::{Seating, Wish, seat};
use super::heat::HeatLog;
use super::layers::{LayerPlace, LayerPlaces};
use super::plan::{StopRequest, Stopped, stop_workpiece};
use super::undo;
use crate::deposit::Depositor;
use crate::deposit::Layer;
use crate::deposit::LayerKind;
use crate::measure::Lately;
use crate::measure::Setup;
use crate::motion::Step;
use crate::motion::Steps;
use crate::profile::MagnetGrades;
use crate::shape::LayerShape;
use crate::shape::Openings;
use crate::shape::Pocket;
use crate::shape::Pockets;
use crate::shape::UsualPitch;
use crate::shape::measure_layer;
use std::borrow::Cow;

/// Layers whose shapes are found together; enough to keep every core busy, few enough to hold in memory.
const BATCH: usize = 32;

/// How closely to look at a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// At its layers: enough for stops at a layer or a height.
    Layers,
    /// At its pockets as well.
    Pockets,
}

/// A file without its stops, and where stops can stand.
#[derive(Debug)]
pub struct Workpiece<'a> {
    /// The file as it was given.
    pub(super) given: &'a [u8],
    /// The file without its stops.
    pub(super) original: Cow<'a, [u8]>,
    /// Stops that it has from before.
    pub(super) there: Vec<Frame>,
    /// Its layers.
    pub(super) layers: LayerPlaces,
    pub(super) setup: &'a Setup,
    pockets: Vec<Pocket>,
    heat: HeatLog,
}

impl<'a> Workpiece<'a> {
    /// Takes the stops out of `given` and looks at what remains.
    ///
    /// # Errors
    /// [`EmbedError`] when a stop block is torn or the file lays no layers.
    pub fn read(given: &'a [u8], setup: &'a Setup, look: Look) -> Result<Self, EmbedError> {
        let there = frames(given)?;
        let original: Cow<'a, [u8]> =
            if there.is_empty() { Cow::Borrowed(given) } else { Cow::Owned(undo::without(given, &there)) };
        let mut survey = Survey::new(look);
        let mut depositor = Depositor::new();
        for step in Steps::new(&original, setup.motion()) {
            if let Step::Event(event) = &step {
                survey.heat.note(event);
            }
            depositor.push(&step, &mut |layer| survey.layer(layer));
        }
        depositor.finish(&mut |layer| survey.layer(layer));
        let (layers, pockets, heat) = survey.finish();
        if layers.all.iter().all(|layer| layer.index.is_none()) {
            return Err(EmbedError::NoLayers);
        }
        Ok(Self { given, original, there, layers, setup, pockets, heat })
    }

    /// Its layers in print order.
    #[must_use]
    pub fn layers(&self) -> &LayerPlaces {
        &self.layers
    }

    /// Its pockets, from the bottom up; none unless they were looked for.
    #[must_use]
    pub fn pockets(&self) -> &[Pocket] {
        &self.pockets
    }

    /// Stops it has from before.
    #[must_use]
    pub fn stops(&self) -> &[Frame] {
        &self.there
    }

    /// Gives its pockets what is wished for, with what is worth a thought about heat, roofs and room.
    ///
    /// # Errors
    /// [`EmbedError`] when nothing goes in, or something asked for a named pocket does not.
    pub fn seat(&self, wish: &Wish, grades: Option<&MagnetGrades>) -> Result<Seating, EmbedError> {
        let mut seating = seat(&self.pockets, wish)?;
        care::consider(&mut seating, &self.pockets, |layer| self.heat.after(self.layers.last_line(layer)), grades);
        Ok(seating)
    }

    /// Puts stops into it, beside those it has from before.
    ///
    /// # Errors
    /// [`EmbedError`]; among them that the proof found a difference. There is no new file then.
    pub fn put_stops(&self, requests: &[StopRequest]) -> Result<Stopped, EmbedError> {
        stop_workpiece(self, requests)
    }
}

/// Gathers what the steps of a file show.
struct Survey {
    look: Look,
    places: Vec<LayerPlace>,
    waiting: Vec<Layer>,
    usual: UsualPitch,
    looked_at: Lately<(LayerShape, Openings)>,
    pockets: Pockets,
    heat: HeatLog,
}

impl Survey {
    fn new(look: Look) -> Self {
        Self {
            look,
            places: Vec::new(),
            waiting: Vec::new(),
            usual: UsualPitch::default(),
            looked_at: Lately::default(),
            pockets: Pockets::default(),
            heat: HeatLog::default(),
        }
    }

    fn layer(&mut self, layer: Layer) {
        self.places.push(LayerPlace::of(&layer));
        if self.look == Look::Pockets && layer.kind == LayerKind::Part {
            self.waiting.push(layer);
            if self.waiting.len() >= BATCH {
                self.follow();
            }
        }
    }

    /// Finds the shapes of the waiting layers side by side, then follows pockets through them in order.
    fn follow(&mut self) {
        let layers = std::mem::take(&mut self.waiting);
        layers.iter().for_each(|layer| self.usual.push(layer));
        let usual_pitch_mm = self.usual.pitch_mm();
        let numbers = self.looked_at.make(&layers, |layer| {
            let shape = measure_layer(layer, usual_pitch_mm);
            let openings = Openings::of(&shape);
            Some((shape, openings))
        });
        for (layer, number) in layers.iter().zip(&numbers) {
            if let Some((shape, openings)) = self.looked_at.get(*number) {
                self.pockets.push(&shape.standing_at(layer), openings);
            }
        }
        self.looked_at.forget_others(&layers, &numbers);
    }

    fn finish(mut self) -> (LayerPlaces, Vec<Pocket>, HeatLog) {
        self.follow();
        (LayerPlaces { all: self.places }, self.pockets.finish(), self.heat)
    }
}
