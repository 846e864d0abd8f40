//! JSON Schema 2020-12 of what is written, from the types themselves.
//!
//! The derive is the one the server uses for `OpenAPI` 3.1, whose schemas are JSON Schema 2020-12; only where references
//! point differs, and that is turned here.

use crate::{Manifest, ResultFile};
use serde_json::{Map, Value, json};
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

/// The JSON Schema of `result.json`, as pretty JSON with a final newline.
///
/// # Errors
/// Never for the types of this version; serde's words otherwise.
pub fn result_schema() -> Result<String, String> {
    schema_of::<ResultFile>("result.json of Caddis")
}

/// The JSON Schema of `manifest.json`, as pretty JSON with a final newline.
///
/// # Errors
/// As [`result_schema`].
pub fn manifest_schema() -> Result<String, String> {
    schema_of::<Manifest>("manifest.json of Caddis")
}

fn schema_of<T: ToSchema>(title: &str) -> Result<String, String> {
    let mut parts: Vec<(String, RefOr<Schema>)> = Vec::new();
    T::schemas(&mut parts);
    let mut definitions = Map::new();
    parts.sort_by(|a, b| a.0.cmp(&b.0));
    for (name, schema) in parts {
        let mut value = serde_json::to_value(schema).map_err(|error| error.to_string())?;
        turn_references(&mut value);
        definitions.insert(name, value);
    }
    let mut root = serde_json::to_value(T::schema()).map_err(|error| error.to_string())?;
    turn_references(&mut root);
    let mut document = Map::new();
    document.insert(
        "$schema".to_owned(),
        json!("https://json-schema.org/draft/2020-12/schema"),
    );
    document.insert("title".to_owned(), json!(title));
    if let Value::Object(root) = root {
        document.extend(root);
    }
    document.insert("$defs".to_owned(), Value::Object(definitions));
    let mut text =
        serde_json::to_string_pretty(&Value::Object(document)).map_err(|error| error.to_string())?;
    text.push('\n');
    Ok(text)
}

fn turn_references(value: &mut Value) {
    match value {
        Value::Object(map) => {
            for (key, value) in map.iter_mut() {
                if let (true, Value::String(target)) = (key == "$ref", &mut *value) {
                    *target = target.replace("#/components/schemas/", "#/$defs/");
                } else {
                    turn_references(value);
                }
            }
        }
        Value::Array(values) => values.iter_mut().for_each(turn_references),
        _ => {}
    }
}
