//! What goes wrong, as the page is told it.

use crate::body::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use caddis_files::FileError;
use caddis_store::StoreError;
use serde::Serialize;
use utoipa::ToSchema;

/// What went wrong, in words, and what would do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct Problem {
    /// broken-input, conflict, taken, missing, refused, content-type, too-large or internal.
    #[schema(value_type = String)]
    pub(crate) code: &'static str,
    /// One sentence.
    pub(crate) sentence: String,
    /// What would do.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) hint: Option<String>,
    /// The file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) file: Option<String>,
    /// The field in it (`items[2].mass`).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) field: Option<String>,
    /// For a conflict: the newest revision.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) current: Option<u32>,
}

impl Problem {
    pub(crate) fn new(code: &'static str, sentence: impl Into<String>) -> Self {
        Self {
            code,
            sentence: sentence.into(),
            hint: None,
            file: None,
            field: None,
            current: None,
        }
    }

    fn status(&self) -> StatusCode {
        match self.code {
            "broken-input" => StatusCode::UNPROCESSABLE_ENTITY,
            "conflict" | "taken" => StatusCode::CONFLICT,
            "missing" => StatusCode::NOT_FOUND,
            "refused" => StatusCode::FORBIDDEN,
            "content-type" => StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "too-large" => StatusCode::PAYLOAD_TOO_LARGE,
            _ => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    pub(crate) fn broken(sentence: impl Into<String>) -> Self {
        Self::new("broken-input", sentence)
    }

    pub(crate) fn missing(what: impl Into<String>) -> Self {
        Self::new("missing", format!("there is no {}", what.into()))
    }

    pub(crate) fn too_large(most: usize) -> Self {
        Self::new(
            "too-large",
            format!(
                "this is more than the {} MiB that are taken in at once",
                most >> 20
            ),
        )
        .hint("export a smaller mesh")
    }

    pub(crate) fn internal(sentence: impl Into<String>) -> Self {
        Self::new("internal", sentence)
    }

    pub(crate) fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    pub(crate) fn field(mut self, field: impl Into<String>) -> Self {
        self.field = Some(field.into());
        self
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        (self.status(), Json(self)).into_response()
    }
}

impl From<FileError> for Problem {
    fn from(error: FileError) -> Self {
        let place = error.place();
        // Only the file's own name: where the program keeps it is nobody's business.
        let name = place.file.rsplit('/').next().unwrap_or_default().to_owned();
        let sentence = match &error {
            FileError::Content { problem, .. } => problem.clone(),
            FileError::Missing { what, .. } => format!("there is no {what}"),
            FileError::Unreadable { reason, .. } => reason.clone(),
        };
        let mut problem = Self::broken(sentence);
        problem.hint = error.hint().map(str::to_owned);
        problem.file = Some(name);
        problem.field = (!place.field.is_empty()).then(|| place.field.clone());
        problem
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        let sentence = error.to_string();
        match error {
            StoreError::Missing { what } => Self::missing(what),
            StoreError::Taken { .. } => Self::new("taken", sentence).hint("give it another name"),
            StoreError::Conflict { current, .. } => Self {
                current: Some(u32::try_from(current).unwrap_or(u32::MAX)),
                ..Self::new("conflict", sentence)
            },
            StoreError::Open { .. }
            | StoreError::Newer { .. }
            | StoreError::Damaged { .. }
            | StoreError::Database(_) => Self::internal(sentence),
        }
    }
}
