//! Writes a large file for measuring: `cargo run --release --example write-plate -- 1000 /tmp/plate.gcode` (MB).

mod plate;

use std::fs::File;
use std::io::BufWriter;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let (Some(megabytes), Some(path)) = (arguments.next(), arguments.next()) else {
        return Err("say how many megabytes, and the file to write".into());
    };
    let mut file = BufWriter::new(File::create(path)?);
    Ok(plate::write_plate(&plate::parts(), megabytes.parse::<u64>()? * 1_000_000, &mut file)?)
}
