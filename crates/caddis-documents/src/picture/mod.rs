//! Pictures: shaded views of the case, its foam and its equipment, drawn by the processor alone.

mod raster;
mod views;

pub use raster::Picture;
pub(crate) use raster::{Eye, Light, picture};
pub use views::{exploded, open_case};
