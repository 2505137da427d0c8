//! Reading from disk: the only place in this crate that does.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use crate::MAX_FILE_BYTES;
use crate::part::Part;
use crate::problem::{Fault, Problem, Problems};
use crate::scenario::{BUILT_IN_DAYS, ScenarioFile};
use crate::vehicle::VehicleFile;

/// Text of a file, or why there is none.
fn read_text(path: &Path) -> Result<String, String> {
    let file = File::open(path).map_err(|e| match e.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::PermissionDenied => "it may not be read".to_owned(),
        _ => e.to_string(),
    })?;
    let mut bytes = Vec::new();
    // One byte more than is taken tells a file that is too large from one that just fits.
    file.take(MAX_FILE_BYTES as u64 + 1).read_to_end(&mut bytes).map_err(|e| match e.kind() {
        std::io::ErrorKind::IsADirectory => "it is a folder".to_owned(),
        _ => e.to_string(),
    })?;
    if bytes.len() > MAX_FILE_BYTES {
        return Err(format!("it has more than {MAX_FILE_BYTES} bytes"));
    }
    String::from_utf8(bytes).map_err(|e| {
        let line = 1 + e.as_bytes()[..e.utf8_error().valid_up_to()].iter().filter(|b| **b == b'\n').count();
        format!("it is not UTF-8 text (line {line})")
    })
}

fn unreadable(path: &Path, why: String) -> Problems {
    Problems(vec![Problem {
        file: path.display().to_string(),
        line: None,
        key: String::new(),
        found: String::new(),
        fault: Fault::Unreadable,
        what: format!("this file cannot be read: {why}"),
        accepted: format!("a TOML or JSON file in UTF-8 of at most {MAX_FILE_BYTES} bytes"),
    }])
}

/// Reads a vehicle file.
///
/// # Errors
/// That it cannot be read, or everything that is wrong with it.
pub fn read_vehicle(path: &Path) -> Result<VehicleFile, Problems> {
    let text = read_text(path).map_err(|why| unreadable(path, why))?;
    VehicleFile::parse(&path.display().to_string(), &text)
}

/// Reads a scenario file and the slope profile that it names, which is looked for beside it. Where there is no such file, a plain word such as
/// `wet` is a day that needs none.
///
/// # Errors
/// That it cannot be read, or everything that is wrong with it or its profile.
pub fn read_scenario(path: &Path) -> Result<ScenarioFile, Problems> {
    let plain = path.to_str().filter(|name| name.chars().all(char::is_alphabetic) && !path.exists());
    if let Some(day) = plain.and_then(ScenarioFile::built_in) {
        return Ok(day);
    }
    let text = read_text(path).map_err(|why| {
        let mut problems = unreadable(path, why);
        if plain.is_some() {
            let names = BUILT_IN_DAYS.map(|(name, ..)| name).join(", ");
            problems.0[0].accepted = format!("a scenario file, or one of the built-in days {names}");
        }
        problems
    })?;
    let folder = path.parent().unwrap_or(Path::new(""));
    ScenarioFile::parse(&path.display().to_string(), &text, &|name| read_text(&folder.join(name)))
}

/// Reads a part file.
///
/// # Errors
/// That it cannot be read, or everything that is wrong with it.
pub fn read_part(path: &Path) -> Result<Part, Problems> {
    let text = read_text(path).map_err(|why| unreadable(path, why))?;
    Part::parse(&path.display().to_string(), &text)
}
