//! A report's folder is written whole or not at all.

use std::fs;
use std::path::Path;

use bitepoint_plot::folder::{FolderError, MANIFEST, ReportFile, write_folder};

fn files(page: &str, charts: &[&str]) -> Vec<ReportFile> {
    let mut files = vec![ReportFile { name: "index.html".to_owned(), contents: page.to_owned() }];
    files.extend(charts.iter().map(|name| ReportFile { name: (*name).to_owned(), contents: "<svg/>".to_owned() }));
    files
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("the folder can be read");
    let mut names: Vec<String> =
        entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

#[test]
fn a_new_folder_is_made_with_its_parents_and_holds_the_report_and_nothing_else() {
    let space = tempfile::tempdir().unwrap();
    let target = space.path().join("reports/first");
    write_folder(&target, &files("one", &["speed.svg"])).unwrap();
    assert_eq!(names(&target), ["index.html", MANIFEST, "speed.svg"]);
    assert_eq!(fs::read_to_string(target.join("index.html")).unwrap(), "one");
    assert_eq!(names(target.parent().unwrap()), ["first"]);
}

#[test]
fn an_earlier_report_is_replaced_with_the_charts_it_no_longer_has() {
    let space = tempfile::tempdir().unwrap();
    let target = space.path().join("report");
    write_folder(&target, &files("one", &["speed.svg", "lost.svg"])).unwrap();
    write_folder(&target, &files("two", &["speed.svg"])).unwrap();
    assert_eq!(names(&target), ["index.html", MANIFEST, "speed.svg"]);
    assert_eq!(fs::read_to_string(target.join("index.html")).unwrap(), "two");
    assert_eq!(names(space.path()), ["report"]);
}

#[test]
fn an_empty_folder_is_taken() {
    let space = tempfile::tempdir().unwrap();
    write_folder(space.path().join("").as_path(), &files("one", &[])).unwrap();
    assert_eq!(names(space.path()), ["index.html", MANIFEST]);
}

#[test]
fn a_folder_of_somebody_elses_is_left_as_it_is() {
    let space = tempfile::tempdir().unwrap();
    let target = space.path().join("notes");
    fs::create_dir(&target).unwrap();
    fs::write(target.join("index.html"), "mine").unwrap();
    let error = write_folder(&target, &files("one", &[])).unwrap_err();
    assert!(matches!(error, FolderError::InTheWay { .. }), "{error}");
    assert!(error.to_string().contains("notes"), "{error}");
    assert_eq!(fs::read_to_string(target.join("index.html")).unwrap(), "mine");
    assert_eq!(names(space.path()), ["notes"]);
}

#[test]
fn a_file_in_the_way_is_left_as_it_is() {
    let space = tempfile::tempdir().unwrap();
    let target = space.path().join("report");
    fs::write(&target, "mine").unwrap();
    assert!(matches!(write_folder(&target, &files("one", &[])), Err(FolderError::InTheWay { .. })));
    assert_eq!(fs::read_to_string(&target).unwrap(), "mine");
    // Nor is a folder made below a file.
    assert!(matches!(write_folder(&target.join("inside"), &files("one", &[])), Err(FolderError::System { .. })));
}

#[test]
fn a_report_with_a_note_put_into_its_folder_is_not_replaced() {
    let space = tempfile::tempdir().unwrap();
    let target = space.path().join("report");
    write_folder(&target, &files("one", &["speed.svg"])).unwrap();
    fs::write(target.join("what-i-saw.txt"), "mine").unwrap();
    let error = write_folder(&target, &files("two", &[])).unwrap_err();
    assert!(matches!(&error, FolderError::Foreign { name, .. } if name == "what-i-saw.txt"), "{error}");
    assert_eq!(fs::read_to_string(target.join("index.html")).unwrap(), "one");
    assert_eq!(fs::read_to_string(target.join("what-i-saw.txt")).unwrap(), "mine");
}

#[test]
fn a_file_that_cannot_be_written_leaves_the_earlier_report_whole() {
    let space = tempfile::tempdir().unwrap();
    let target = space.path().join("report");
    write_folder(&target, &files("one", &["speed.svg"])).unwrap();
    // A name with a folder in it cannot be written, as no disk with no space left can: halfway through.
    let error = write_folder(&target, &files("two", &["speed.svg", "nowhere/slip.svg"])).unwrap_err();
    assert!(matches!(&error, FolderError::System { .. }), "{error}");
    assert!(error.to_string().contains("slip.svg") && error.to_string().contains("no report was written"), "{error}");
    assert_eq!(fs::read_to_string(target.join("index.html")).unwrap(), "one");
    assert_eq!(names(space.path()), ["report"]);
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_to_is_told() {
    // Nobody may make a folder here, not even an administrator.
    let error = write_folder(Path::new("/proc/bitepoint-report"), &files("one", &[])).unwrap_err();
    assert!(matches!(&error, FolderError::System { .. }), "{error}");
    assert!(error.to_string().contains("no report was written"), "{error}");
}

#[cfg(unix)]
#[test]
fn a_report_is_as_readable_as_any_new_folder() {
    use std::os::unix::fs::PermissionsExt as _;
    let space = tempfile::tempdir().unwrap();
    let plain = space.path().join("plain");
    fs::create_dir(&plain).unwrap();
    let target = space.path().join("report");
    write_folder(&target, &files("one", &[])).unwrap();
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(&target), mode(&plain));
}

#[cfg(unix)]
#[test]
fn a_link_to_an_earlier_report_stays_a_link() {
    let space = tempfile::tempdir().unwrap();
    let target = space.path().join("report");
    write_folder(&target, &files("one", &[])).unwrap();
    let link = space.path().join("latest");
    std::os::unix::fs::symlink(&target, &link).unwrap();
    write_folder(&link, &files("two", &[])).unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(fs::read_to_string(target.join("index.html")).unwrap(), "two");
}
