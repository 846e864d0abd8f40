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
    /// broken-input, conflict, missing, refused, too-large, busy or internal.
    pub(crate) code: String,
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
    pub(crate) current: Option<u64>,
    #[serde(skip)]
    #[schema(ignore)]
    status: u16,
}

impl Problem {
    pub(crate) fn new(status: StatusCode, code: &str, sentence: impl Into<String>) -> Self {
        Self {
            code: code.to_owned(),
            sentence: sentence.into(),
            hint: None,
            file: None,
            field: None,
            current: None,
            status: status.as_u16(),
        }
    }

    pub(crate) fn broken(sentence: impl Into<String>) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, "broken-input", sentence)
    }

    pub(crate) fn missing(what: impl Into<String>) -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            "missing",
            format!("there is no {}", what.into()),
        )
    }

    pub(crate) fn too_large(most: usize) -> Self {
        Self::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            "too-large",
            format!(
                "this is more than the {} MiB that are taken in at once",
                most >> 20
            ),
        )
        .hint("export a smaller mesh")
    }

    pub(crate) fn internal(sentence: impl Into<String>) -> Self {
        Self::new(StatusCode::INTERNAL_SERVER_ERROR, "internal", sentence)
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
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        (status, Json(self)).into_response()
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
            StoreError::Taken { .. } => {
                Self::new(StatusCode::CONFLICT, "refused", sentence).hint("give it another name")
            }
            StoreError::Conflict { current, .. } => Self {
                current: Some(current),
                ..Self::new(StatusCode::CONFLICT, "conflict", sentence)
            },
            StoreError::Open { .. }
            | StoreError::Newer { .. }
            | StoreError::Damaged { .. }
            | StoreError::Database(_) => Self::internal(sentence),
        }
    }
}
