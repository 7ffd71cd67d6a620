//! Bytes that mean ill: every case that once went wrong, and new ones for a fixed time.
//!
//! `BEADWISE_HOSTILE_S` says for how many seconds new ones are made (20 when it is not set), and
//! `BEADWISE_HOSTILE_SEED` with which seed; the seed is printed. A case that fails is written to the system's folder
//! for temporary files and named: put it into `tests/fuzz/cases` with its mending.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

#[path = "fuzz/checks.rs"]
mod checks;

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

/// A check, which is the name of its folder of cases, and the folders of right files that it starts from.
type Check = (&'static str, fn(&[u8]), &'static [&'static str]);

const CHECKS: &[Check] = &[
    ("lines", checks::lines, GCODE),
    ("motion", checks::motion, GCODE),
    ("audit", checks::audit, GCODE),
    ("embed", checks::embed, GCODE),
    ("profiles", checks::profiles, PROFILES),
    ("package", checks::package, &["tests/fuzz/seeds/package"]),
];

const GCODE: &[&str] = &["tests/fuzz/seeds/gcode"];

const PROFILES: &[&str] = &[
    "profiles/annotations",
    "profiles/inserts",
    "profiles/loads",
    "profiles/machines",
    "profiles/materials",
    "profiles/sheet",
    "profiles/strength",
];

/// What numbers are turned into.
const NUMBERS: &[&str] = &[
    "0",
    "-0",
    "-1",
    "1e9",
    "NaN",
    "inf",
    ".",
    "-",
    "+",
    "99999999",
    "-99999999",
    "0.0000001",
    "1000000",
    "65535",
    "65536",
    "4294967296",
    "18446744073709551616",
    "999999999999999999999999999999999999999999",
    "2147483648",
    "200",
    "0.2",
    "1.75",
    "360",
    "-0.001",
];

/// What is put between lines.
const LINES: &[&str] = &[
    "G20",
    "G21",
    "G90",
    "G91",
    "G92 X0 Y0 Z0 E0",
    "G92 E1e9",
    "M82",
    "M83",
    "G28",
    "G28 X",
    "G10",
    "G11",
    "M200 D1.75",
    "M200 D0",
    "G2 X10 Y10 I5 J0",
    "G3 X0 Y0 R0.001",
    "G2 I1 J1 Z5 E100",
    "G18",
    "G19",
    "M220 S0",
    "M221 S-50",
    "M203 X0 Y0 Z0 E0",
    "M201 X0",
    "M204 S0",
    "M205 X0 J0",
    "G4 P99999999",
    "T1",
    "T15",
    "T65535",
    "T-1",
    "M0",
    "M104 S-5",
    "M109 S99999",
    "G1 F0",
    "G1 F-100",
    "G1 E-1000",
    "G1 E1000",
    "G1 Z1000000 E1",
    "G1 X1e6 Y1 E1",
    "G53 G1 X0",
    "%",
    "; beadwise stop 1",
    "; outer wall",
    "(unclosed",
    "/G1 X1",
    "N5 G1 X1 E1*99",
    "M117 text",
    "\u{feff}G1",
    "\0\0",
];

#[test]
fn what_once_went_wrong_holds_now() {
    for (name, check, seeds) in CHECKS {
        let cases = files(&format!("tests/fuzz/cases/{name}"));
        for path in cases.into_iter().chain(seeds.iter().flat_map(|folder| files(folder))) {
            let bytes = std::fs::read(&path).unwrap();
            println!("{}", path.display());
            check(&bytes);
        }
    }
}

#[test]
fn new_ones_hold_for_a_while() {
    let for_s: f64 = std::env::var("BEADWISE_HOSTILE_S").map_or(20.0, |text| text.parse().unwrap());
    let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_nanos() as u64;
    let seed = std::env::var("BEADWISE_HOSTILE_SEED").map_or(now, |text| text.parse().unwrap());
    println!("BEADWISE_HOSTILE_SEED={seed}");
    for (name, check, folders) in CHECKS {
        // Each begins anew, so that what it meets does not hang on how fast the others were.
        let mut random = Random(seed);
        let seeds: Vec<_> =
            folders.iter().flat_map(|folder| files(folder)).map(|path| std::fs::read(path).unwrap()).collect();
        assert!(!seeds.is_empty(), "{name} has seeds");
        let until = Instant::now() + Duration::from_secs_f64(for_s / CHECKS.len() as f64);
        let mut runs = 0;
        while Instant::now() < until {
            let bytes = random.spoil(&seeds);
            let kept = std::env::temp_dir().join(format!("beadwise-hostile-{name}"));
            // Written before, so that a run that is killed leaves it too.
            std::fs::write(&kept, &bytes).unwrap();
            let started = Instant::now();
            let failed = std::panic::catch_unwind(|| check(&bytes)).is_err();
            // Not a timing, but a sign of work that grows without bound: a run takes some thousandths of a second.
            let endless = started.elapsed() > Duration::from_secs(20);
            if failed || endless {
                // The next run of this test must not write over it.
                let kept_on = kept.with_file_name(format!("beadwise-hostile-{name}-{seed}"));
                std::fs::rename(&kept, &kept_on).unwrap();
                panic!("{name}: {} {}", kept_on.display(), if failed { "fails" } else { "never ends" });
            }
            runs += 1;
        }
        println!("{name}: {runs} runs");
        assert!(runs > 0);
    }
}

/// The files in a folder of the project, by name.
fn files(folder: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut found: Vec<_> = entries.map(|entry| entry.unwrap().path()).filter(|path| path.is_file()).collect();
    found.sort();
    found
}

/// Numbers that look random: SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators, 2014).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, end: usize) -> usize {
        (self.next() % end.max(1) as u64) as usize
    }

    fn pick<'a, T: ?Sized>(&mut self, from: &[&'a T]) -> &'a T {
        from[self.below(from.len())]
    }

    /// A seed with a few things wrong.
    fn spoil(&mut self, seeds: &[Vec<u8>]) -> Vec<u8> {
        let mut bytes = seeds[self.below(seeds.len())].clone();
        for _ in 0..1 + self.below(6) {
            match self.below(8) {
                0 | 1 => self.number(&mut bytes),
                2 | 3 => self.line(&mut bytes),
                4 => self.cut(&mut bytes),
                5 => self.double(&mut bytes),
                6 => self.join(&mut bytes, seeds),
                _ => self.flip(&mut bytes),
            }
        }
        bytes.truncate(20_000);
        bytes
    }

    /// Another number in the place of one.
    fn number(&mut self, bytes: &mut Vec<u8>) {
        let numeric = |byte: &u8| byte.is_ascii_digit() || b".-+".contains(byte);
        let from = self.below(bytes.len());
        let Some(start) = bytes[from..].iter().position(numeric).map(|at| from + at) else { return };
        let length = bytes[start..].iter().take_while(|byte| numeric(byte)).count();
        let new = self.pick(NUMBERS);
        bytes.splice(start..start + length, new.bytes());
    }

    /// A line more.
    fn line(&mut self, bytes: &mut Vec<u8>) {
        let from = self.below(bytes.len());
        let at = bytes[from..].iter().position(|byte| *byte == b'\n').map_or(bytes.len(), |at| from + at + 1);
        let new = format!("{}\n", self.pick(LINES));
        bytes.splice(at..at, new.bytes());
    }

    fn span(&mut self, bytes: &[u8]) -> std::ops::Range<usize> {
        let start = self.below(bytes.len());
        start..(start + 1 + self.below(200)).min(bytes.len())
    }

    fn cut(&mut self, bytes: &mut Vec<u8>) {
        let span = self.span(bytes);
        bytes.drain(span);
    }

    fn double(&mut self, bytes: &mut Vec<u8>) {
        let piece = bytes[self.span(bytes)].to_vec();
        let at = self.below(bytes.len());
        bytes.splice(at..at, piece);
    }

    fn join(&mut self, bytes: &mut Vec<u8>, seeds: &[Vec<u8>]) {
        let other = &seeds[self.below(seeds.len())];
        bytes.truncate(self.below(bytes.len()));
        bytes.extend_from_slice(&other[self.below(other.len())..]);
    }

    fn flip(&mut self, bytes: &mut [u8]) {
        let at = self.below(bytes.len());
        if let Some(byte) = bytes.get_mut(at) {
            *byte ^= 1 << self.below(8);
        }
    }
}
