//! `bitepoint sheet`: a commented sheet to fill in.

use std::fs::OpenOptions;
use std::io::{ErrorKind, Write as _};

use bitepoint_inputs::vehicle::sheet_template;

use crate::args::Sheet;
use crate::failure::Failure;
use crate::screen;

pub(crate) fn run(args: &Sheet) -> Result<(), Failure> {
    let path = &args.file;
    let refused = |e: std::io::Error| match e.kind() {
        ErrorKind::AlreadyExists => {
            Failure::Input(format!("{}: there is such a file already; it was left as it is", path.display()))
        }
        ErrorKind::NotFound => {
            Failure::Input(format!("{}: there is no such folder to write a sheet to", path.display()))
        }
        _ => Failure::Computation(format!("{}: the sheet could not be written: {e}", path.display())),
    };
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(refused)?;
    if let Err(e) = file.write_all(sheet_template().as_bytes()).and_then(|()| file.sync_all()) {
        // Half a sheet is worse than none.
        let _ = std::fs::remove_file(path);
        return Err(refused(e));
    }
    screen::print(&format!(
        "Wrote {0}. Fill in its twelve lines, then:\n  bitepoint check {0}\n  bitepoint run {0}\n",
        path.display()
    ));
    Ok(())
}
