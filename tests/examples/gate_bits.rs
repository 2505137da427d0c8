//! Prints every number of every example car under every example scenario, a line each: car, scenario, name, bits in hex.

use std::error::Error;
use std::fs::read_dir;
use std::path::{Path, PathBuf};

use bitepoint_checks::gate_bits::gate_bits;
use bitepoint_inputs::files::{read_scenario, read_vehicle};

fn main() -> Result<(), Box<dyn Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    for vehicle_path in toml_files(&root.join("vehicles"))? {
        let vehicle = read_vehicle(&vehicle_path)?;
        for scenario_path in toml_files(&root.join("scenarios"))? {
            let numbers = gate_bits(&vehicle, &read_scenario(&scenario_path)?)?;
            for (name, bits) in numbers {
                println!("{}\t{}\t{name}\t{bits:016x}", stem(&vehicle_path), stem(&scenario_path));
            }
        }
    }
    Ok(())
}

fn toml_files(folder: &Path) -> Result<Vec<PathBuf>, std::io::Error> {
    let mut paths: Vec<PathBuf> = read_dir(folder)?.map(|e| Ok(e?.path())).collect::<Result<_, std::io::Error>>()?;
    paths.retain(|p| p.extension().is_some_and(|e| e == "toml"));
    paths.sort();
    Ok(paths)
}

fn stem(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}
