//! The binary run as a user runs it, in a folder of its own.

#![allow(dead_code, unreachable_pub)] // each test file uses its part

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

/// The binary under test.
pub const BITEPOINT: &str = env!("CARGO_BIN_EXE_bitepoint");

/// A folder with nothing in it but what a test puts there.
pub struct Folder(TempDir);

/// What a command left behind.
#[derive(Debug)]
pub struct Told {
    pub code: i32,
    pub out: String,
    pub err: String,
}

/// The document that a command printed, checked against the committed schema of this name.
pub fn document(told: &Told, schema: &str) -> Value {
    let read = |text: &str| serde_json::from_str::<Value>(text).unwrap_or_else(|e| panic!("{e}: {told:?}"));
    let path = project().join("schemas").join(format!("{schema}.schema.json"));
    let schema = read(&fs::read_to_string(path).expect("the schema"));
    let document = read(&told.out);
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    let wrong: Vec<String> = validator.iter_errors(&document).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    document
}

impl Folder {
    pub fn new() -> Self {
        Self(tempfile::tempdir().expect("a temporary folder"))
    }

    pub fn path(&self) -> &Path {
        self.0.path()
    }

    /// Writes a file into the folder.
    pub fn write(&self, name: &str, contents: impl AsRef<[u8]>) {
        fs::write(self.path().join(name), contents).expect("a file in a temporary folder");
    }

    /// Every file and folder below, with the contents of the files.
    pub fn contents(&self) -> BTreeMap<PathBuf, Vec<u8>> {
        let mut found = BTreeMap::new();
        gather(self.path(), &mut found);
        found
    }

    /// Runs the binary here.
    pub fn run(&self, args: &[&str]) -> Told {
        self.run_as(Command::new(BITEPOINT).args(args))
    }

    /// Runs another command here, of which the binary is a part.
    pub fn run_as(&self, command: &mut Command) -> Told {
        told(command.current_dir(self.path()).output().expect("the command runs"))
    }

    /// Runs the binary and expects it to refuse: nothing on stdout, nothing written, exit code 1.
    pub fn refused(&self, args: &[&str]) -> String {
        let before = self.contents();
        let told = self.run(args);
        assert_eq!((told.code, told.out.as_str()), (1, ""), "{told:?}");
        assert!(before == self.contents(), "something was written: {told:?}");
        told.err
    }
}

/// Exit code and texts, after what holds for every command: an exit code of its own and no panic.
pub fn told(output: Output) -> Told {
    let told = Told {
        code: output.status.code().unwrap_or_else(|| panic!("ended by a signal: {output:?}")),
        out: String::from_utf8(output.stdout).expect("UTF-8 on stdout"),
        err: String::from_utf8(output.stderr).expect("UTF-8 on stderr"),
    };
    assert!((0..=3).contains(&told.code) && !told.err.contains("panicked"), "{told:?}");
    told
}

fn gather(folder: &Path, found: &mut BTreeMap<PathBuf, Vec<u8>>) {
    for entry in fs::read_dir(folder).expect("a folder that can be read") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            gather(&path, found);
            found.insert(path, Vec::new());
        } else {
            let contents = fs::read(&path).expect("a file that can be read");
            found.insert(path, contents);
        }
    }
}

/// Top folder of the project.
pub fn project() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().expect("the project's folder")
}

/// An example file of the project, by its path from the top.
pub fn example(path: &str) -> String {
    let path = project().join(path);
    assert!(path.exists(), "{}", path.display());
    path.display().to_string()
}

/// Paths of all files of a kind in a folder of the project, in order.
pub fn examples(folder: &str) -> Vec<String> {
    let mut found: Vec<String> = fs::read_dir(project().join(folder))
        .expect("a folder of examples")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .map(|path| path.display().to_string())
        .collect();
    found.sort();
    assert!(found.len() >= 5, "{found:?}");
    found
}

/// A sheet of twelve lines with nothing wrong.
pub const SHEET: &str = r#"name = "Test car"
mass = "1540 kg"
driven_axle = "rear"
peak_power = "230 hp"
peak_power_at = "6300 rpm"
peak_torque = "290 N·m"
peak_torque_at = "3900 rpm"
redline = "6800 rpm"
gear_ratios = [3.79, 2.24, 1.52, 1.18, 1.00, 0.84]
final_drive = 3.46
tyre_size = "225/50R17"
aspiration = "naturally aspirated"
"#;

/// The sheet with a piece changed.
pub fn sheet_with(from: &str, to: &str) -> String {
    assert!(SHEET.contains(from), "{from}");
    SHEET.replace(from, to)
}
