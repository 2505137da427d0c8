//! Writing a file that must not be there yet.

use std::fs::OpenOptions;
use std::io::{ErrorKind, Write as _};
use std::path::Path;

use crate::failure::Failure;

/// Writes a new file; one that exists is left alone. `what` names it: "sheet".
pub(crate) fn write_new(path: &Path, what: &str, contents: &str) -> Result<(), Failure> {
    let refused = |e: std::io::Error| match e.kind() {
        ErrorKind::AlreadyExists => in_the_way(path),
        ErrorKind::NotFound => {
            Failure::Input(format!("{}: there is no such folder to write a {what} to", path.display()))
        }
        _ => Failure::Computation(format!("{}: the {what} could not be written: {e}", path.display())),
    };
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(refused)?;
    if let Err(e) = file.write_all(contents.as_bytes()).and_then(|()| file.sync_all()) {
        // Half a file is worse than none.
        let _ = std::fs::remove_file(path);
        return Err(refused(e));
    }
    Ok(())
}

/// That a file of this name exists.
pub(crate) fn in_the_way(path: &Path) -> Failure {
    Failure::Input(format!("{}: there is such a file already; it was left as it is", path.display()))
}
