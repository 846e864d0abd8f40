//! Pictures: shaded views of the case, its foam and its equipment, drawn by the processor alone.

mod raster;
mod views;

pub use raster::Picture;
pub use views::{exploded, item_picture, open_case, packed_base};
