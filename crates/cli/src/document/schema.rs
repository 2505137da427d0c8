//! Keeps the committed schemas in step with the documents.

use std::path::Path;

use schemars::JsonSchema;

/// Checks `schemas/NAME.schema.json`; writes it anew under `BITEPOINT_WRITE_SCHEMAS=1 cargo test -p bitepoint-cli`.
pub(crate) fn is_current<T: JsonSchema>(name: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schemas").join(format!("{name}.schema.json"));
    let text = serde_json::to_string_pretty(&schemars::schema_for!(T)).unwrap() + "\n";
    if std::env::var_os("BITEPOINT_WRITE_SCHEMAS").is_some() {
        std::fs::write(&path, &text).unwrap();
    }
    assert_eq!(text, std::fs::read_to_string(&path).unwrap(), "{} is stale", path.display());
}
