//! Cavities and notches from places.
