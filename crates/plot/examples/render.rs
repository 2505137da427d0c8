//! Writes the reports of the checks' cars into the folder that is named, to look at them.

#[path = "../tests/common/mod.rs"]
mod common;

use std::path::PathBuf;

use bitepoint_plot::folder::write_folder;
use bitepoint_plot::format::Units;
use bitepoint_plot::run::files;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("which folder?")?);
    for (case, units) in [
        (common::spin(), Units::Us),
        (common::boosted(), Units::Si),
        (common::wet(), Units::Us),
        (common::stalled(), Units::Us),
        (common::rolled_back(), Units::Us),
        (common::out_of_time(), Units::Si),
    ] {
        let target = folder.join(case.name.replace(' ', "-"));
        write_folder(&target, &files(&case.report(units)))?;
        println!("{}: {:?}, {} samples", target.display(), case.run.ending, case.samples.len());
    }
    Ok(())
}
