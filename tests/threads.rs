//! Results do not depend on how many threads there are.

mod run;

use run::{command, err};

/// A file audited with every detail, and with a load on a patch, whose layers are looked at once more.
fn audited(file: &str, threads: &str) -> [Vec<u8>; 2] {
    let press = ["--material", "petg-cf", "--load", "press; force = 300 N; face = top; ring = 14 x 26"];
    [&["--detail"][..], &press].map(|asked| {
        let asked = [&["audit", file, "--format", "json"], asked].concat();
        let output = command(&asked).env("RAYON_NUM_THREADS", threads).output().expect("the program starts");
        assert!(output.status.code().is_some_and(|code| code < 2), "{}", err(&output));
        output.stdout
    })
}

#[test]
fn one_two_and_five_threads_give_the_same_bytes() {
    // Some batches of layers each; the tray has pockets and two batches, the drift many curved walls.
    for file in ["sample-gcode/magnet-tray.gcode", "sample-gcode/bearing-drift.gcode"] {
        let one = audited(file, "1");
        assert!(one.iter().all(|json| json.len() > 10_000), "{file} says little");
        for threads in ["2", "5"] {
            assert!(audited(file, threads) == one, "{file} differs with {threads} threads");
        }
    }
}
