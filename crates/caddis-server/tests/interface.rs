//! The committed description of the interface is the one the handlers give; the page's types are made from it.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::Path;

#[test]
fn the_committed_description_is_fresh() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../web/api/openapi.json");
    let now = caddis_server::openapi_json().unwrap();
    if std::env::var_os("CADDIS_BLESS").is_some() {
        std::fs::write(&path, &now).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        now == kept,
        "web/api/openapi.json is stale: run this test with CADDIS_BLESS=1, then `npm run types` in web/"
    );
}

#[test]
fn every_handler_says_what_it_answers() {
    let description: serde_json::Value =
        serde_json::from_str(&caddis_server::openapi_json().unwrap()).unwrap();
    assert_eq!(description["openapi"], "3.1.0");
    let paths = description["paths"].as_object().unwrap();
    assert!(paths.len() > 10);
    for (path, methods) in paths {
        for (method, operation) in methods.as_object().unwrap() {
            let responses = operation["responses"].as_object().unwrap();
            assert!(!responses.is_empty(), "{method} {path} answers nothing");
            assert!(
                operation["summary"].is_string() || operation["description"].is_string(),
                "{method} {path} has no words"
            );
        }
    }
}
