//! Results do not depend on how many threads there are.

mod run;

use run::{command, err};

fn audited(file: &str, threads: &str) -> Vec<u8> {
    let output = command(&["audit", file, "--format", "json", "--detail"])
        .env("RAYON_NUM_THREADS", threads)
        .output()
        .expect("the program starts");
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    output.stdout
}

#[test]
fn one_two_and_five_threads_give_the_same_bytes() {
    // Some batches of layers each; the tray has pockets and two batches, the drift many curved walls.
    for file in ["sample-gcode/magnet-tray.gcode", "sample-gcode/bearing-drift.gcode"] {
        let one = audited(file, "1");
        assert!(one.len() > 10_000, "{file} says little");
        for threads in ["2", "5"] {
            assert!(audited(file, threads) == one, "{file} differs with {threads} threads");
        }
    }
}
