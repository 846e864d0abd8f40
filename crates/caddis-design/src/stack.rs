//! Blocks and layers: stacking stock thicknesses to heights.
