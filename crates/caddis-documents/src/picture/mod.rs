//! Pictures: shaded views of the case, its foam and its equipment, drawn by the processor alone; and the edges that are seen.

mod hidden_line;
mod raster;
mod views;

pub(crate) use hidden_line::{joined, visible_edges};
pub use raster::Picture;
pub(crate) use raster::{Eye, Light, picture};
pub use views::{exploded, item_picture, open_case};
pub(crate) use views::{exploded_of, open_case_of, opened};
