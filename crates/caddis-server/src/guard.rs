//! Who may ask: this machine, by this address, from this page.

use crate::error::Problem;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::net::SocketAddr;
use std::sync::Arc;

/// Nothing but what this address itself serves; pictures and papers made in the page itself as blobs.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; \
    connect-src 'self' blob:; font-src 'self'; frame-src 'self' blob:; object-src 'self' blob:; base-uri 'none'; \
    form-action 'none'; frame-ancestors 'self'";

/// The names this address goes by.
#[derive(Debug, Clone)]
pub(crate) struct Address {
    hosts: Arc<Vec<String>>,
}

impl Address {
    pub(crate) fn new(address: SocketAddr) -> Self {
        let port = address.port();
        Self {
            hosts: Arc::new(
                ["127.0.0.1", "localhost", "[::1]"]
                    .into_iter()
                    .map(|host| format!("{host}:{port}"))
                    .chain([address.to_string()])
                    .collect(),
            ),
        }
    }

    /// Why a request is refused, if it is.
    fn refusal(&self, method: &Method, headers: &HeaderMap) -> Option<Problem> {
        let text = |name: HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
        let forbidden = |sentence: &str| Some(Problem::new("refused", sentence));
        // A foreign name that resolves to this machine is the way in for other people's pages.
        if !text(header::HOST).is_some_and(|host| self.hosts.iter().any(|known| known == host)) {
            return forbidden("this address answers only under its own name");
        }
        if headers.contains_key(header::ORIGIN)
            && !text(header::ORIGIN).is_some_and(|origin| {
                origin
                    .strip_prefix("http://")
                    .is_some_and(|host| self.hosts.iter().any(|known| known == host))
            })
        {
            return forbidden("the request comes from another page");
        }
        let site = text(HeaderName::from_static("sec-fetch-site"));
        if site.is_some_and(|site| site != "same-origin" && site != "none") {
            return forbidden("the request comes from another page");
        }
        // Forms and scripts of other pages can send only the three plain types without asking first.
        let writes = !matches!(*method, Method::GET | Method::HEAD | Method::OPTIONS);
        let kind = text(header::CONTENT_TYPE).unwrap_or_default();
        if writes && !(kind.starts_with("application/json") || kind.starts_with("application/octet-stream")) {
            return Some(
                Problem::new(
                    "content-type",
                    "a change is sent as application/json, a file as application/octet-stream",
                )
                .hint("set the content type"),
            );
        }
        None
    }
}

/// Refuses what must not be answered and gives every answer its headers.
pub(crate) async fn guard(State(address): State<Address>, request: Request, next: Next) -> Response {
    let is_interface = request.uri().path().starts_with("/api/");
    let mut response = match address.refusal(request.method(), request.headers()) {
        Some(problem) => problem.into_response(),
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    for (name, value) in [
        ("content-security-policy", POLICY),
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "no-referrer"),
        ("cross-origin-opener-policy", "same-origin"),
        ("cross-origin-resource-policy", "same-origin"),
    ] {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
    if is_interface && !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::Address;
    use axum::http::{HeaderMap, HeaderName, HeaderValue, Method};

    fn refused(method: &Method, headers: &[(&'static str, &'static str)]) -> bool {
        let mut map = HeaderMap::new();
        for (name, value) in headers {
            map.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
        }
        let address = Address::new("127.0.0.1:8417".parse().unwrap());
        address.refusal(method, &map).is_some()
    }

    #[test]
    fn only_this_page_and_plain_programs_are_answered() {
        let host = ("host", "127.0.0.1:8417");
        let json = ("content-type", "application/json");
        assert!(!refused(&Method::GET, &[host]));
        assert!(!refused(
            &Method::GET,
            &[("host", "localhost:8417"), ("sec-fetch-site", "none")]
        ));
        assert!(!refused(
            &Method::POST,
            &[host, json, ("origin", "http://127.0.0.1:8417")]
        ));
        assert!(refused(&Method::GET, &[]));
        assert!(refused(&Method::GET, &[("host", "rebound.example:8417")]));
        assert!(refused(&Method::GET, &[("host", "127.0.0.1:80")]));
        assert!(refused(&Method::GET, &[host, ("sec-fetch-site", "cross-site")]));
        assert!(refused(&Method::GET, &[host, ("sec-fetch-site", "same-site")]));
        assert!(refused(
            &Method::POST,
            &[host, json, ("origin", "http://elsewhere.example")]
        ));
        assert!(refused(&Method::POST, &[host, json, ("origin", "null")]));
        assert!(refused(&Method::POST, &[host, ("content-type", "text/plain")]));
        assert!(refused(&Method::POST, &[host]));
    }
}
