//! What comes in and goes out as JSON, and what stands behind the question mark: errors in our own words.

use crate::error::Problem;
use axum::body::Bytes;
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::header;
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;

/// The largest document; shape files have their own way in.
const LARGEST_DOCUMENT: usize = 8 << 20;

/// A JSON body.
pub(crate) struct Json<T>(pub(crate) T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Json<T> {
    type Rejection = Problem;

    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        let bytes = body(request, state).await?;
        if bytes.len() > LARGEST_DOCUMENT {
            return Err(Problem::too_large(LARGEST_DOCUMENT));
        }
        serde_json::from_slice(&bytes)
            .map(Self)
            .map_err(|error| Problem::broken(error.to_string()).hint("send what /api/openapi.json describes"))
    }
}

impl<T: Serialize> IntoResponse for Json<T> {
    fn into_response(self) -> Response {
        match serde_json::to_vec(&self.0) {
            Ok(bytes) => ([(header::CONTENT_TYPE, "application/json")], bytes).into_response(),
            // A number JSON cannot hold; the problem itself holds none.
            Err(error) => Problem::internal(error.to_string()).into_response(),
        }
    }
}

/// A body of bytes, within the server's limit.
pub(crate) struct File(pub(crate) Bytes);

impl<S: Send + Sync> FromRequest<S> for File {
    type Rejection = Problem;

    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        body(request, state).await.map(Self)
    }
}

async fn body<S: Send + Sync>(request: Request, state: &S) -> Result<Bytes, Problem> {
    Bytes::from_request(request, state)
        .await
        .map_err(|_| Problem::too_large(crate::serve::LARGEST_UPLOAD))
}

/// The parameters behind the question mark; of two of a name the last counts.
pub(crate) struct Query(BTreeMap<String, String>);

impl<S: Send + Sync> FromRequestParts<S> for Query {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Problem> {
        let text = parts.uri.query().unwrap_or_default().as_bytes();
        Ok(Self(
            form_urlencoded::parse(text)
                .map(|(key, value)| (key.into_owned(), value.into_owned()))
                .collect(),
        ))
    }
}

impl Query {
    /// A text that may be left out.
    pub(crate) fn text(&self, key: &str) -> Option<String> {
        self.0.get(key).filter(|value| !value.is_empty()).cloned()
    }

    /// A text that has to be there.
    pub(crate) fn needed(&self, key: &str) -> Result<String, Problem> {
        self.text(key)
            .ok_or_else(|| Problem::broken(format!("`{key}` is missing")).field(key))
    }

    /// A yes or no that may be left out.
    pub(crate) fn flag(&self, key: &str) -> Result<Option<bool>, Problem> {
        self.text(key)
            .map(|text| {
                text.parse()
                    .map_err(|_| Problem::broken(format!("`{text}` is neither true nor false")).field(key))
            })
            .transpose()
    }

    /// A revision number that may be left out.
    pub(crate) fn number(&self, key: &str) -> Result<Option<u64>, Problem> {
        self.text(key)
            .map(|text| {
                text.parse()
                    .map_err(|_| Problem::broken(format!("`{text}` is not a revision's number")).field(key))
            })
            .transpose()
    }
}
