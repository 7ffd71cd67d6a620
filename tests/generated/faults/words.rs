//! Comments that claim walls or core that the motion does not have.

use super::{Pair, Planted, Sound, band};
use crate::draw::Draw;
use beadwise::profile::Role;
use beadwise::rebead::{Dialect, Words};

/// In a band of layers, walls are called core, or core is called walls.
pub fn in_a_band(seed: u64) -> Pair {
    let mut draw = Draw::new(seed ^ 0x30_4d5);
    let mut part = Sound::of(&mut draw, 2);
    part.dialect = Dialect { words: draw.one_of(&[Words::Plain, Words::Other]), ..part.dialect };
    let sound = part.lay();
    let layers = band(&mut draw);
    let claims_walls = draw.yes(0.5);
    let mut flawed = sound.clone();
    for strand in flawed.layers[layers.0..=layers.1].iter_mut().flat_map(|l| &mut l.strands) {
        strand.role = match strand.role {
            Role::SparseInfill if claims_walls => Role::InnerWall,
            Role::InnerWall if !claims_walls => Role::SparseInfill,
            other => other,
        };
    }
    part.pair(&sound, &flawed, vec![Planted { codes: &["words-disagree"], layers, at: None }])
}
