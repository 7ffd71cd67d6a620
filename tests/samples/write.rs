//! Writes the sample files and their truth: `cargo run --example write-samples`.

mod parts;

fn main() -> std::io::Result<()> {
    for sample in parts::samples() {
        std::fs::write(format!("sample-gcode/{}.gcode", sample.name), &sample.gcode)?;
        let mut truth = serde_json::to_string_pretty(&sample.truth)?;
        truth.push('\n');
        std::fs::write(format!("tests/samples/{}.json", sample.name), truth)?;
    }
    Ok(())
}
