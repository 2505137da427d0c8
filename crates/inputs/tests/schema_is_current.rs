//! The committed schemas and references are the ones that the tables of keys make, and the example files are valid by them.

use std::fs;
use std::path::{Path, PathBuf};

use bitepoint_inputs::schema::{part_schema, scenario_schema, vehicle_schema};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Set `BITEPOINT_WRITE_SCHEMAS=1` to write the files anew.
fn is_current(name: &str, made: &str) {
    let path = root().join("schemas").join(name);
    if std::env::var_os("BITEPOINT_WRITE_SCHEMAS").is_some() {
        fs::write(&path, made).expect("the schema's folder can be written");
    }
    let committed = fs::read_to_string(&path).unwrap_or_default();
    assert!(committed == made, "{name} is stale: run this test with BITEPOINT_WRITE_SCHEMAS=1 and commit the file");
}

#[test]
fn the_vehicle_schema_is_current() {
    is_current("vehicle.schema.json", &vehicle_schema());
}

#[test]
fn the_scenario_schema_is_current() {
    is_current("scenario.schema.json", &scenario_schema());
}

#[test]
fn the_part_schema_is_current() {
    is_current("part.schema.json", &part_schema());
}

#[test]
fn the_part_schema_takes_changes_and_refuses_what_the_reader_refuses() {
    use bitepoint_inputs::part::Part;
    let validator = validator(&part_schema());
    for (change, taken) in [
        ("mass = \"-40 kg\"", true),
        ("mass = \"1500 kg\"", true),
        ("final_drive = 3.9", true),
        ("gear_ratios = \"+5 %\"", true),
        ("engine.torque_curve = \"+12 %\"", true),
        ("tyres.grade = \"track\"", true),
        ("driveline.rear_differential_bias_ratio = { value = 2.5, spread = \"10 %\" }", true),
        ("tyres.grade = \"+8 %\"", false),
        ("mass = \"40 hp\"", false),
        ("name = \"Other\"", false),
        ("driven_axle = \"all\"", false),
        ("weight = \"-40 kg\"", false),
    ] {
        let text = format!("[change]\n{change}\n");
        assert_eq!(validator.is_valid(&json_of(&text)), taken, "the schema: {change}");
        assert_eq!(Part::parse("part.toml", &text).is_ok(), taken, "the reader: {change}");
    }
}

#[test]
fn the_references_are_current() {
    is_current("vehicle-keys.md", &bitepoint_inputs::reference::vehicle_reference());
    is_current("scenario-keys.md", &bitepoint_inputs::reference::scenario_reference());
}

fn validator(schema: &str) -> jsonschema::Validator {
    let schema = serde_json::from_str(schema).expect("the schema is JSON");
    jsonschema::draft202012::new(&schema).expect("the schema is a schema")
}

fn json_of(text: &str) -> serde_json::Value {
    let table: toml::Table = toml::from_str(text).expect("TOML");
    serde_json::to_value(table).expect("JSON")
}

fn texts(folder: &str) -> Vec<(PathBuf, String)> {
    let files = fs::read_dir(root().join(folder)).expect("the folder is there");
    let paths = files.map(|f| f.expect("a file").path()).filter(|p| p.extension().is_some_and(|e| e == "toml"));
    paths.map(|p| (p.clone(), fs::read_to_string(p).expect("text"))).collect()
}

#[test]
fn every_example_is_valid_by_the_schema() {
    for (folder, schema, count) in
        [("vehicles", vehicle_schema(), 5), ("scenarios", scenario_schema(), 9), ("parts", part_schema(), 8)]
    {
        let validator = validator(&schema);
        let texts = texts(folder);
        assert!(texts.len() >= count, "{} files in {folder}", texts.len());
        for (path, text) in texts {
            let errors: Vec<_> =
                validator.iter_errors(&json_of(&text)).map(|e| format!("{}: {e}", e.instance_path())).collect();
            assert!(errors.is_empty(), "{}: {errors:#?}", path.display());
        }
    }
}

#[test]
fn the_schema_refuses_what_the_reader_refuses() {
    let validator = validator(&vehicle_schema());
    let good = texts("vehicles").into_iter().find(|(p, _)| p.ends_with("ellisar-28.toml")).expect("the sheet").1;
    assert!(validator.is_valid(&json_of(&good)));
    for (from, to) in [
        ("\"1540 kg\"", "1540"),
        ("\"1540 kg\"", "\"1540 hp\""),
        ("driven_axle = \"rear\"", "driven_axle = \"left\""),
        ("mass =", "weight ="),
        ("[4.67,", "[\"4.67 kg\","),
        ("\"225/50R17\"", "\"225\""),
        ("peak_torque = \"290 N·m\"", ""),
    ] {
        let bad = good.replace(from, to);
        assert_ne!(bad, good, "{from}");
        assert!(!validator.is_valid(&json_of(&bad)), "{to} is taken");
    }
}

#[test]
fn the_schema_takes_every_spelling_that_the_reader_takes() {
    use bitepoint_inputs::vehicle::VehicleFile;
    let validator = validator(&vehicle_schema());
    let good = texts("vehicles").into_iter().find(|(p, _)| p.ends_with("ellisar-28.toml")).expect("the sheet").1;
    let spellings = [
        "290 N·m",
        "290Nm",
        "290 n m",
        "+2.9e2 N*m",
        " 214 lb-ft ",
        "214 LBF·FT",
        "214 ft-lbf",
        "29.57 kgf·m",
        "2567 in-lb",
    ];
    for torque in spellings {
        let text = good.replace("\"290 N·m\"", &format!("\"{torque}\""));
        assert!(VehicleFile::parse("x.toml", &text).is_ok(), "{torque}");
        assert!(validator.is_valid(&json_of(&text)), "{torque}");
    }
    for more in [
        "[driveline]\nlash = \"2°\"",
        "[clutch]\nfade_start = \"500 °F\"",
        "[chassis]\nfrontal_area = \"22 ft2\"",
        "[chassis]\nfront_weight_share = \"53 %\"",
    ] {
        let text = format!("{good}{more}\n");
        assert!(VehicleFile::parse("x.toml", &text).is_ok(), "{more}");
        assert!(validator.is_valid(&json_of(&text)), "{more}");
    }
}
