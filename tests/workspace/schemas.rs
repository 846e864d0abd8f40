//! The JSON Schemas in `docs/` are those of the types; `CADDIS_BLESS=1` writes them anew.

use caddis_files::{manifest_schema, result_schema};
use caddis_tests::workspace_root;

fn is_current(name: &str, schema: &str) {
    let path = workspace_root().join("docs").join(name);
    if std::env::var_os("CADDIS_BLESS").is_some() {
        std::fs::write(&path, schema).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == schema, "docs/{name} is stale; CADDIS_BLESS=1 writes it");
}

#[test]
fn schemas_in_the_documents_are_current() {
    is_current("result.schema.json", &result_schema().unwrap());
    is_current("manifest.schema.json", &manifest_schema().unwrap());
}
