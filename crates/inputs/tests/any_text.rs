//! Whatever stands in a file, reading it ends in values or in problems.

use bitepoint_inputs::quantity::{Dimension, UnitSystem};
use bitepoint_inputs::scenario::ScenarioFile;
use bitepoint_inputs::tyre_size::TyreSize;
use bitepoint_inputs::vehicle::{VehicleFile, sheet_template};
use bitepoint_inputs::vehicle_keys::VEHICLE_KEYS;
use proptest::prelude::*;

/// A problem that a reader reports has to say something.
fn told(result: Result<(), bitepoint_inputs::problem::Problems>) {
    if let Err(problems) = result {
        assert!(!problems.0.is_empty() && problems.0.iter().all(|p| !p.what.is_empty()), "{problems:?}");
    }
}

fn read_all(text: &str) {
    for file in ["a.toml", "a.json"] {
        told(VehicleFile::parse(file, text).map(|f| drop(f.resolve())));
        told(ScenarioFile::parse(file, text, &|_| Ok(text.to_owned())).map(drop));
    }
    let profile = "[road]\nslope_profile = \"a.csv\"\n";
    told(ScenarioFile::parse("a.toml", profile, &|_| Ok(text.to_owned())).map(drop));
}

/// Lines that look like those of a file.
fn line() -> impl Strategy<Value = String> {
    let key = prop::sample::select(VEHICLE_KEYS.iter().map(|k| k.path.to_owned()).collect::<Vec<_>>());
    let value = prop_oneof![
        any::<f64>().prop_map(|x| format!("{x:?}")),
        any::<f64>().prop_map(|x| format!("\"{x:e} N·m\"")),
        prop::sample::select(VEHICLE_KEYS.iter().map(|k| k.example.to_owned()).collect::<Vec<_>>()),
        "\\PC{0,12}".prop_map(|s| format!("\"{s}\"")),
        Just("{ value = \"3 kg\", spread = \"1 %\" }".to_owned()),
        Just("[[[]]]".to_owned()),
    ];
    (key, value).prop_map(|(key, value)| format!("{key} = {value}\n"))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_that_are_text(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        read_all(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn any_string(text in "\\PC{0,200}") {
        read_all(&text);
        prop_assert!(TyreSize::parse(&text).is_none_or(|size| size.free_diameter_m().is_finite()));
        for dimension in Dimension::ALL {
            if let Ok(si) = dimension.parse(&text) {
                prop_assert!(si.is_finite());
                prop_assert!(!dimension.show(si, UnitSystem::Us).is_empty());
            }
        }
    }

    #[test]
    fn any_lines_that_look_like_keys(lines in prop::collection::vec(line(), 0..30)) {
        read_all(&lines.concat());
    }

    #[test]
    fn a_right_file_with_one_piece_changed(at in any::<prop::sample::Index>(), length in 0_usize..20, insert in "\\PC{0,8}") {
        let template = sheet_template();
        let characters: Vec<char> = template.chars().collect();
        let from = at.index(characters.len());
        let to = (from + length).min(characters.len());
        let text: String = characters[..from].iter().copied().chain(insert.chars()).chain(characters[to..].iter().copied()).collect();
        read_all(&text);
    }
}
