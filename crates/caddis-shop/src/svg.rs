//! SVG writer at 1:1.
