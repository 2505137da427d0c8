//! Writing a report's folder whole or not at all.

use std::fmt;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// A file of a report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReportFile {
    /// Its name within the folder.
    pub name: String,
    /// What it holds.
    pub contents: String,
}

/// Name of the file by which a folder is known to be a report: it lists the others.
pub const MANIFEST: &str = "manifest.txt";

const MANIFEST_HEAD: &str = "bitepoint report, format 1. Files that the program wrote and may replace:";

/// Why a report's folder was not written. What was there before is as it was.
#[derive(Debug)]
pub enum FolderError {
    /// The path names no folder that could be made.
    NoName {
        /// As given.
        path: PathBuf,
    },
    /// Something else has that name: a file, or a folder that is no report.
    InTheWay {
        /// What is in the way.
        path: PathBuf,
    },
    /// The folder is a report, but also holds a file that the program did not write.
    Foreign {
        /// The folder.
        folder: PathBuf,
        /// The file.
        name: String,
    },
    /// The system refused.
    System {
        /// What was being done: "create", "write to", "replace".
        doing: &'static str,
        /// To what.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

impl fmt::Display for FolderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoName { path } => write!(f, "cannot write a report to {}: it names no folder", path.display()),
            Self::InTheWay { path } => write!(
                f,
                "cannot write a report to {}: something that is not a report has that name; it was left as it is. \
                 Name a new folder, an empty one, or one that holds an earlier report",
                path.display()
            ),
            Self::Foreign { folder, name } => write!(
                f,
                "cannot replace the report in {}: the folder also holds {name}, which is not part of it; all was left as it is. \
                 Move that file away or name another folder",
                folder.display()
            ),
            Self::System { doing, path, source } => {
                write!(f, "cannot {doing} {}: {source}; no report was written", path.display())
            }
        }
    }
}

impl std::error::Error for FolderError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::System { source, .. } => Some(source),
            _ => None,
        }
    }
}

/// Writes `files` into the folder `target`, which afterwards holds them and a manifest and nothing else.
///
/// A folder that is not there is made, with its parents. An empty folder and an earlier report are replaced. Everything is
/// written to a new folder beside the target first and moved into place last.
///
/// # Errors
/// When anything else is in the way, when an earlier report's folder holds files that are not its own, or when the system refuses
/// (no permission, no space).
pub fn write_folder(target: &Path, files: &[ReportFile]) -> Result<(), FolderError> {
    let system = |doing, path: &Path| {
        let path = path.to_owned();
        move |source| FolderError::System { doing, path, source }
    };
    // Through links to the folder itself, so that a link stays a link.
    let target =
        if target.exists() { fs::canonicalize(target).map_err(system("find", target))? } else { target.to_owned() };
    let (Some(parent), Some(_)) = (target.parent(), target.file_name()) else {
        return Err(FolderError::NoName { path: target });
    };
    let parent = if parent.as_os_str().is_empty() { Path::new(".") } else { parent };
    let replaces = check(&target)?;

    fs::create_dir_all(parent).map_err(system("create", parent))?;
    let workshop =
        tempfile::Builder::new().prefix(".report-").tempdir_in(parent).map_err(system("write to", parent))?;
    // A folder within the temporary one: that is made for its owner alone, a report is as open as any other folder.
    let made = workshop.path().join("new");
    fs::create_dir(&made).map_err(system("create", &made))?;
    for ReportFile { name, contents } in files.iter().chain([&manifest(files)]) {
        write(&made.join(name), contents).map_err(system("write", &target.join(name)))?;
    }
    let old = workshop.path().join("old");
    if replaces {
        fs::rename(&target, &old).map_err(system("replace", &target))?;
    }
    fs::rename(&made, &target).map_err(|source| {
        if replaces {
            // Nothing better can be done should this fail too; the first failure is the one to tell.
            let _ = fs::rename(&old, &target);
        }
        FolderError::System { doing: "create", path: target.clone(), source }
    })
}

fn write(path: &Path, contents: &str) -> io::Result<()> {
    let mut file = fs::File::create_new(path)?;
    file.write_all(contents.as_bytes())?;
    // Some file systems tell of a full disk only now.
    file.sync_all()
}

fn manifest(files: &[ReportFile]) -> ReportFile {
    let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
    ReportFile { name: MANIFEST.to_owned(), contents: format!("{MANIFEST_HEAD}\n{}\n", names.join("\n")) }
}

/// Whether there is a folder to replace; an error if there is anything that must not be.
fn check(target: &Path) -> Result<bool, FolderError> {
    let in_the_way = || FolderError::InTheWay { path: target.to_owned() };
    match fs::symlink_metadata(target) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(false),
        Err(source) => return Err(FolderError::System { doing: "look at", path: target.to_owned(), source }),
        Ok(found) if !found.is_dir() => return Err(in_the_way()),
        Ok(_) => {}
    }
    let read = |source| FolderError::System { doing: "read", path: target.to_owned(), source };
    let mut names = Vec::new();
    for entry in fs::read_dir(target).map_err(read)? {
        names.push(entry.map_err(read)?.file_name().to_string_lossy().into_owned());
    }
    if names.is_empty() {
        return Ok(true);
    }
    let Ok(manifest) = fs::read_to_string(target.join(MANIFEST)) else { return Err(in_the_way()) };
    let mut lines = manifest.lines();
    if lines.next() != Some(MANIFEST_HEAD) || !names.iter().any(|name| name == "index.html") {
        return Err(in_the_way());
    }
    let own: Vec<&str> = lines.collect();
    match names.into_iter().find(|name| name != MANIFEST && !own.contains(&name.as_str())) {
        Some(name) => Err(FolderError::Foreign { folder: target.to_owned(), name }),
        None => Ok(true),
    }
}
