//! caddis-design
