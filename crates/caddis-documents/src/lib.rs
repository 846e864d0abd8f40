//! caddis-documents
