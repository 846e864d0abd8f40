//! The interface's own description.

use crate::api::router;
use crate::error::Problem;
use utoipa::OpenApi;

#[derive(OpenApi)]
#[openapi(
    info(
        title = "Caddis",
        description = "The page's interface: lengths in metres, masses in kilograms, the unit in the key."
    ),
    components(schemas(Problem))
)]
pub(crate) struct Description;

/// The `OpenAPI` 3.1 description of the interface as pretty JSON with a final newline.
///
/// # Errors
/// Never for this version's handlers; serde's words otherwise.
pub fn openapi_json() -> Result<String, String> {
    let (_, api) = router().split_for_parts();
    let mut text = api.to_pretty_json().map_err(|error| error.to_string())?;
    text.push('\n');
    Ok(text)
}
