//! Laid again with the settings it was measured to have, every sample comes near to its file.

use super::shop::{laid_again, loads, setup};

/// One case for every way of reckoning.
const LOADS: [&str; 8] = [
    "pull; force = 100 N; axis = x",
    "pull; force = 100 N; axis = y",
    "pull; force = 100 N; axis = z",
    "press; force = 1 kN; face = top",
    "bend; force = 50 N; axis = x; direction = z",
    "bend; force = 50 N; axis = y; direction = x",
    "bend; force = 50 N; axis = z; direction = x",
    "twist; torque = 1 N m; axis = z",
];

#[test]
fn samples_laid_again_come_near_to_their_files() {
    let (setup, cases) = (setup("petg"), loads(&LOADS));
    for entry in std::fs::read_dir("sample-gcode").expect("the samples") {
        let path = entry.expect("a readable entry").path();
        let bytes = std::fs::read(&path).expect("a readable sample");
        let error = laid_again(&bytes, &setup, &cases).error;
        let name = path.display();
        assert!(error.mass.abs() < 0.01, "{name}: mass {:+.2} %", 100.0 * error.mass);
        assert!(error.time.abs() < 0.02, "{name}: time {:+.2} %", 100.0 * error.time);
        let (file, laid) = error.walls.expect("walls");
        assert_eq!(file, laid, "{name}: walls");
        if let Some((file, laid)) = error.core {
            assert!((file - laid).abs() < 0.01, "{name}: core {file} and {laid}");
        }
        let moments = error.moments.expect("sections");
        assert!(moments < 0.005, "{name}: section moments {:.2} % off", 100.0 * moments);
        assert_eq!(error.reserves.len(), LOADS.len());
        for (load, off) in LOADS.iter().zip(&error.reserves) {
            let off = off.unwrap_or_else(|| panic!("{name}: {load} could not be judged"));
            assert!(off.abs() < 0.03, "{name}: {load}: reserve {:+.2} %", 100.0 * off);
        }
    }
}
