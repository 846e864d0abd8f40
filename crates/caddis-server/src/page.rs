//! The built page, part of the binary. Without it the program still builds, and says how to build it.

use axum::http::{StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;

#[derive(RustEmbed)]
#[folder = "../../web/built/page"]
#[allow_missing = true]
struct Page;

/// What a browser is told when there is no page in this binary.
const NO_PAGE: &str = "<!doctype html><html lang=en><meta charset=utf-8><title>Caddis</title>
<h1>The page is not built</h1>
<p>This program was built without its page. Build it and then the program again:</p>
<pre>npm --prefix web ci
npm --prefix web run build
cargo build --release</pre>
<p>The interface at <a href=/api/openapi.json>/api/openapi.json</a> works without it.</p></html>";

/// Whether a page was built into this program.
pub fn has_page() -> bool {
    Page::get("index.html").is_some()
}

/// A file of the page; any other path is one of the page's own places and gets the page.
pub(crate) async fn page(uri: Uri) -> Response {
    let path = uri.path().trim_start_matches('/');
    if let Some(file) = Page::get(path) {
        let lasting = path.starts_with("assets/");
        let caching = if lasting {
            "public, max-age=31536000, immutable"
        } else {
            "no-cache"
        };
        return (
            [
                (header::CONTENT_TYPE, media_type(path)),
                (header::CACHE_CONTROL, caching),
            ],
            file.data,
        )
            .into_response();
    }
    if path.contains('.') {
        return StatusCode::NOT_FOUND.into_response();
    }
    let html = [
        (header::CONTENT_TYPE, media_type(".html")),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    match Page::get("index.html") {
        Some(index) => (html, index.data).into_response(),
        None => (html, NO_PAGE).into_response(),
    }
}

fn media_type(path: &str) -> &'static str {
    match path.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("woff2") => "font/woff2",
        Some("json") => "application/json",
        _ => "application/octet-stream",
    }
}
