//! Writing one file whole or not at all.

use std::fs::{self, File};
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::Path;

use crate::failure::Failure;

/// Writes `contents` to `path` by way of a new file beside it, which takes its name last. An earlier file of that name is replaced if
/// it begins with `first_line`, that is if it is one of the same kind; any other is left alone.
pub(crate) fn write(path: &Path, first_line: &str, contents: &[u8]) -> Result<(), Failure> {
    let place = path.display();
    let refused =
        |e: std::io::Error| Failure::Computation(format!("{place}: it could not be written: {e}; nothing was"));
    may_write(path, first_line)?;
    let folder = path.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".table-");
    #[cfg(unix)]
    {
        // As open as any new file; the user's mask still holds.
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder).map_err(refused)?;
    file.write_all(contents).and_then(|()| file.as_file().sync_all()).map_err(refused)?;
    file.persist(path).map(drop).map_err(|e| refused(e.error))
}

/// Whether there is nothing in the way: to be asked before a long computation, too.
pub(crate) fn may_write(path: &Path, first_line: &str) -> Result<(), Failure> {
    let place = path.display();
    let in_the_way =
        || Failure::Input(format!("{place}: something that is no table of runs has that name; it was left as it is"));
    match fs::symlink_metadata(path) {
        Ok(found) if !found.is_file() => return Err(in_the_way()),
        Ok(_) => {
            let mut line = String::new();
            let read = File::open(path).and_then(|file| BufReader::new(file).read_line(&mut line));
            if read.is_err() || !line.starts_with(first_line) {
                return Err(in_the_way());
            }
        }
        Err(_) => {}
    }
    let folder = path.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if path.file_name().is_none() || !folder.is_dir() {
        return Err(Failure::Input(format!("{place}: there is no such folder to write a table to")));
    }
    Ok(())
}
