//! A report is written whole or not at all, and never over anything that is not a report.

mod common;

use std::fs;
use std::path::Path;
use std::process::Command;

use common::{BITEPOINT, Folder, SHEET, Told, sheet_with, told};

/// A folder with a car in it.
fn with_car() -> Folder {
    let folder = Folder::new();
    folder.write("car.toml", SHEET);
    folder
}

const RUN: [&str; 6] = ["run", "car.toml", "--band-runs", "0", "--out", "report"];

/// The command fails with exit code 3, prints no result, and leaves all as it was.
fn nothing_written(folder: &Folder, run: impl FnOnce(&Folder) -> Told) -> String {
    let before = folder.contents();
    let told = run(folder);
    assert_eq!((told.code, told.out.as_str()), (3, ""), "{told:?}");
    assert!(before == folder.contents(), "something was written: {told:?}");
    told.err
}

#[test]
fn a_report_is_a_page_with_its_charts_and_nothing_else_is_left() {
    let folder = with_car();
    let told = folder.run(&RUN);
    assert_eq!((told.code, told.err.as_str()), (0, ""), "{told:?}");
    assert!(told.out.ends_with("Report: report/index.html\n"), "{}", told.out);
    let mut names: Vec<String> = fs::read_dir(folder.path())
        .expect("the folder")
        .map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    assert_eq!(names, ["car.toml", "report"]);
    let page = fs::read_to_string(folder.path().join("report/index.html")).expect("the page");
    assert!(page.contains("Test car") && page.trim_end().ends_with("</html>"), "{} bytes", page.len());
}

#[test]
fn an_earlier_report_is_replaced_and_the_same_run_gives_the_same_bytes() {
    let folder = with_car();
    assert_eq!(folder.run(&RUN).code, 0);
    let first = folder.contents();
    assert_eq!(folder.run(&RUN).code, 0);
    assert!(first == folder.contents(), "the same run gave another report");
    folder.write("car.toml", sheet_with("Test car", "Other car"));
    assert_eq!(folder.run(&RUN).code, 0);
    let page = fs::read_to_string(folder.path().join("report/index.html")).expect("the page");
    assert!(page.contains("Other car") && !page.contains("Test car"));
}

#[test]
fn a_folder_with_files_of_somebody_else_is_left_alone() {
    let folder = with_car();
    fs::create_dir(folder.path().join("report")).expect("a folder");
    folder.write("report/letter.txt", "mine");
    let err = nothing_written(&folder, |f| f.run(&RUN));
    assert!(err.contains("something that is not a report has that name; it was left as it is"), "{err}");
}

#[test]
fn a_file_of_somebody_else_within_a_report_is_named_and_left_alone() {
    let folder = with_car();
    assert_eq!(folder.run(&RUN).code, 0);
    folder.write("report/notes.txt", "mine");
    let err = nothing_written(&folder, |f| f.run(&RUN));
    assert!(err.contains("also holds notes.txt"), "{err}");
}

#[test]
fn a_file_where_the_report_should_go_is_left_alone() {
    let folder = with_car();
    folder.write("report", "mine");
    let err = nothing_written(&folder, |f| f.run(&RUN));
    assert!(err.contains("something that is not a report has that name"), "{err}");
}

#[test]
fn a_folder_that_would_lie_under_a_file_cannot_be_made() {
    let folder = with_car();
    let err =
        nothing_written(&folder, |f| f.run(&["run", "car.toml", "--band-runs", "0", "--out", "car.toml/sub/report"]));
    assert!(err.contains("car.toml/sub") && err.contains("no report was written"), "{err}");
}

/// A file that may not grow past 8 KiB behaves as a disk that fills up: a write fails when part of the file is there.
#[cfg(unix)]
#[test]
fn a_report_that_fails_half_way_leaves_nothing_behind() {
    let folder = with_car();
    let limited = |f: &Folder| {
        let script = format!("trap '' XFSZ; ulimit -f 16; exec '{BITEPOINT}' \"$@\"");
        f.run_as(Command::new("sh").args(["-c", &script, "sh"]).args(RUN))
    };
    let err = nothing_written(&folder, limited);
    assert!(err.contains("cannot write report/") && err.contains("no report was written"), "{err}");

    // An earlier report stays whole, too.
    assert_eq!(folder.run(&RUN).code, 0);
    let err = nothing_written(&folder, limited);
    assert!(err.contains("no report was written"), "{err}");
}

/// Runs a script with a file system of its own on `report`, or says that this system does not let the test make one.
#[cfg(unix)]
fn on_a_mount(folder: &Folder, options: &str) -> Option<Told> {
    let mount = Path::new("disk");
    fs::create_dir_all(folder.path().join(mount)).expect("a folder to mount on");
    for private in [&["-m"][..], &["-r", "-m"][..]] {
        let script = format!(
            "mount -t tmpfs -o {options} none disk || exit 99; \
             '{BITEPOINT}' run car.toml --band-runs 0 --out disk/report; code=$?; \
             echo left: $(ls -A disk) >&2; exit $code"
        );
        let output =
            Command::new("unshare").args(private).args(["sh", "-c", &script]).current_dir(folder.path()).output();
        match output {
            Ok(output) if output.status.code() == Some(99) || output.status.code().is_none() => {}
            Ok(output) if String::from_utf8_lossy(&output.stderr).contains("left:") => return Some(told(output)),
            _ => {}
        }
    }
    eprintln!("skipped: this system does not let a test mount a file system of its own");
    None
}

#[cfg(unix)]
#[test]
fn a_full_disk_is_told_and_nothing_is_left_on_it() {
    let folder = with_car();
    let Some(told) = on_a_mount(&folder, "size=64k") else { return };
    assert_eq!((told.code, told.out.as_str()), (3, ""), "{told:?}");
    assert!(told.err.contains("No space left on device") && told.err.contains("no report was written"), "{told:?}");
    assert!(told.err.ends_with("left:\n"), "{}", told.err);
}

#[cfg(unix)]
#[test]
fn a_disk_that_may_not_be_written_to_is_told() {
    let folder = with_car();
    let Some(told) = on_a_mount(&folder, "ro") else { return };
    assert_eq!((told.code, told.out.as_str()), (3, ""), "{told:?}");
    assert!(told.err.contains("Read-only file system") && told.err.contains("no report was written"), "{told:?}");
    assert!(told.err.ends_with("left:\n"), "{}", told.err);
}

#[test]
fn a_sheet_is_never_written_over_another_file_or_into_a_folder_that_is_not_there() {
    let folder = with_car();
    let err = folder.refused(&["sheet", "car.toml"]);
    assert!(err.contains("car.toml: there is such a file already; it was left as it is"), "{err}");
    let err = folder.refused(&["sheet", "gone/car.toml"]);
    assert!(err.contains("gone/car.toml: there is no such folder"), "{err}");
}

#[cfg(unix)]
#[test]
fn a_sheet_that_fails_half_way_leaves_nothing_behind() {
    let folder = with_car();
    // 1 block of 512 bytes is less than the sheet.
    let script = format!("trap '' XFSZ; ulimit -f 1; exec '{BITEPOINT}' sheet new.toml");
    let err = nothing_written(&folder, |f| f.run_as(Command::new("sh").args(["-c", &script])));
    assert!(err.contains("new.toml: the sheet could not be written"), "{err}");
}
