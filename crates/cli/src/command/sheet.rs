//! `bitepoint sheet`: a commented sheet to fill in.

use bitepoint_inputs::vehicle::sheet_template;

use crate::args::Sheet;
use crate::failure::Failure;
use crate::new_file::write_new;
use crate::screen;

pub(crate) fn run(args: &Sheet) -> Result<(), Failure> {
    write_new(&args.file, "sheet", &sheet_template())?;
    screen::print(&format!(
        "Wrote {0}. Fill in its twelve lines, then:\n  bitepoint check {0}\n  bitepoint run {0}\n",
        args.file.display()
    ))
}
