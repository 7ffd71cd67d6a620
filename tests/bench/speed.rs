//! How fast each room is, with a floor beside reading: what the same bytes cost at the least.
//!
//! Run one of them with `cargo bench --bench speed -- reading`.

mod plate;
mod waves;

use beadwise::deposit::{Layer, layers};
use beadwise::embed::{Place, StopRequest, put_stops};
use beadwise::gcode::{self, Block};
use beadwise::measure::{Setup, measure_print};
use beadwise::motion::{Step, steps};
use beadwise::profile::{Annotations, Machine};
use beadwise::shape::{Axis, Cuts, Footprint, Skins, measure_layer};
use divan::counter::{BytesCount, ItemsCount};
use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

/// Megabytes of the plates that are measured; larger ones are written by the example `write-plate`.
const MEGABYTES: [u64; 3] = [1, 8, 100];

fn file(megabytes: u64) -> Vec<u8> {
    let mut made = Vec::new();
    plate::write_plate(&plate::parts(), megabytes * 1_000_000, &mut made).expect("memory takes every byte");
    made
}

fn machine() -> Machine {
    Machine::load("open-small").expect("a built-in machine")
}

fn setup() -> Setup {
    Setup::of(machine())
}

/// Lines and words, and the floors below them.
mod reading {
    use super::*;

    /// Floor: where the lines end, nothing more.
    #[divan::bench]
    fn floor_of_newlines(bencher: Bencher<'_, '_>) {
        let bytes = file(8);
        bencher.counter(BytesCount::of_slice(&bytes)).bench(|| memchr::memchr_iter(b'\n', black_box(&bytes)).count());
    }

    /// Floor: every number becomes a float; no lines, no letters, no comments.
    #[divan::bench]
    fn floor_of_numbers(bencher: Bencher<'_, '_>) {
        let bytes = file(8);
        bencher.counter(BytesCount::of_slice(&bytes)).bench(|| sum_of_numbers(black_box(&bytes)));
    }

    fn sum_of_numbers(bytes: &[u8]) -> f64 {
        let (mut sum, mut whole, mut places, mut point, mut any) = (0.0, 0_u64, 0_usize, false, false);
        for &byte in bytes {
            match byte {
                b'0'..=b'9' => {
                    whole = whole.wrapping_mul(10).wrapping_add(u64::from(byte - b'0'));
                    places += usize::from(point);
                    any = true;
                }
                b'.' => point = true,
                _ if any => {
                    sum += whole as f64 / 10_f64.powi(places as i32);
                    (whole, places, point, any) = (0, 0, false, false);
                }
                _ => point = false,
            }
        }
        sum
    }

    #[divan::bench]
    fn lines_and_words(bencher: Bencher<'_, '_>) {
        let bytes = file(8);
        bencher.counter(BytesCount::of_slice(&bytes)).bench(|| {
            let mut block = Block::default();
            let mut words = 0;
            for line in gcode::lines(black_box(&bytes)) {
                block.read(&line);
                words += block.words.len();
            }
            words
        });
    }
}

/// Reading, motion and the time of every move.
#[divan::bench]
fn motion_and_time(bencher: Bencher<'_, '_>) {
    let (bytes, machine, annotations) = (file(8), machine(), Annotations::built_in());
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| {
        let seconds = |step| match step {
            Step::Move(step) => step.time_s,
            Step::Event(event) => event.time_s,
        };
        steps(black_box(&bytes), &machine, &annotations).map(seconds).sum::<f64>()
    });
}

/// What is measured on layers, one measure at a time, on one thread.
mod shape {
    use super::*;

    fn some_layers() -> (Vec<Layer>, Vec<Vec<beadwise::profile::Role>>) {
        let text = std::fs::read("sample-gcode/rotor-gauge.gcode").expect("a sample file");
        let layers = layers(&text, &machine(), &Annotations::none()).0;
        let roles = layers.iter().map(|layer| measure_layer(layer, None).roles).collect();
        (layers, roles)
    }

    #[divan::bench]
    fn outline_walls_and_core(bencher: Bencher<'_, '_>) {
        let (layers, _) = some_layers();
        bencher
            .counter(ItemsCount::new(layers.len()))
            .bench(|| layers.iter().map(|layer| measure_layer(black_box(layer), None).outline.len()).sum::<usize>());
    }

    #[divan::bench]
    fn bond(bencher: Bencher<'_, '_>) {
        let (layers, roles) = some_layers();
        bencher.counter(ItemsCount::new(layers.len())).bench(|| {
            let plans = layers.iter().zip(&roles).map(|(layer, roles)| Footprint::of_layer(black_box(layer), roles));
            let plans: Vec<Footprint> = plans.collect();
            plans.windows(2).map(|pair| pair[1].overlap(&pair[0]).area_mm2).sum::<f64>()
        });
    }

    #[divan::bench]
    fn cuts(bencher: Bencher<'_, '_>) {
        let (layers, roles) = some_layers();
        bencher.counter(ItemsCount::new(layers.len())).bench(|| {
            let mut cuts = [Cuts::new(Axis::X), Cuts::new(Axis::Y)];
            for (layer, roles) in layers.iter().zip(&roles) {
                cuts.iter_mut().for_each(|cuts| cuts.push(black_box(layer), roles));
            }
            cuts
        });
    }

    #[divan::bench]
    fn skins(bencher: Bencher<'_, '_>) {
        let (layers, _) = some_layers();
        let shapes: Vec<_> = layers.iter().map(|layer| measure_layer(layer, None)).collect();
        bencher.counter(ItemsCount::new(layers.len())).bench(|| {
            let mut skins = Skins::default();
            layers.iter().zip(&shapes).for_each(|(layer, shape)| skins.push(black_box(layer), shape));
            skins.finish()
        });
    }
}

/// A whole audit, on as many threads as there are cores.
#[divan::bench(args = MEGABYTES, sample_count = 10)]
fn whole_audit(bencher: Bencher<'_, '_>, megabytes: u64) {
    let (bytes, setup) = (file(megabytes), setup());
    bencher
        .counter(BytesCount::of_slice(&bytes))
        .bench(|| measure_print(black_box(&bytes), &setup, &mut |_| ()).map(|print| print.layers.len()).ok());
}

/// The same where no two layers are alike, with walls in pieces of so many hundredths of a millimetre.
#[divan::bench(args = [10, 50, 200], sample_count = 10)]
fn whole_audit_of_waves(bencher: Bencher<'_, '_>, piece: u32) {
    let (text, setup) = (waves::waves(0.01 * f64::from(piece), 8_000_000), setup());
    bencher
        .counter(BytesCount::of_str(&text))
        .bench(|| measure_print(black_box(text.as_bytes()), &setup, &mut |_| ()).map(|print| print.layers.len()).ok());
}

/// A stop put into a file, and the new file proven.
#[divan::bench(sample_count = 10)]
fn embed(bencher: Bencher<'_, '_>) {
    let (bytes, setup) = (file(1), setup());
    let stop = [StopRequest { place: Place::AfterLayer(1), notes: vec!["disc 6x2".to_owned()] }];
    bencher
        .counter(BytesCount::of_slice(&bytes))
        .bench(|| put_stops(black_box(&bytes), &setup, &stop).expect("a proven stop"));
}
