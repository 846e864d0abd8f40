//! Drawings: each takes what it shows and gives a finished sheet.

mod case;
mod cushion;
mod dimension;
mod fall_map;
mod foam_tests;
mod frame;
mod layer;
mod manner;
mod marks;
mod nest;
mod ordinates;
mod packing;
mod room;
mod scan;
mod section;
mod shock;
mod spectrum;
mod square_code;
mod view;
mod worksheet;

pub(crate) use worksheet::worksheet_picture;

pub use case::case_plan;
pub(crate) use case::{bounds_on_paper, case_plan_in};
pub use cushion::cushion_plot;
pub(crate) use fall_map::SHADES;
pub use fall_map::{FallMark, MapSize, fall_map_plot};
pub use foam_tests::{stress_energy_plot, stress_strain_plot};
pub use frame::Stamp;
pub(crate) use frame::{cut as cut_words, wrapped as wrapped_words};
pub use layer::layer_drawing;
pub(crate) use layer::{Feature, block_words, datum, features, part_drawn};
pub(crate) use manner::{Manner, projection_words, sized, units_words};
pub use marks::handling_mark;
pub use nest::nest_drawing;
pub(crate) use ordinates::{Ordinate, REACH, along, beside};
pub use packing::packing_plan;
pub(crate) use packing::packing_plan_in;
pub use room::{clear_sizes_plot, depth_map_plot};
pub use scan::residual_plot;
pub(crate) use section::section_in;
pub use section::{Section, section_drawing};
pub use shock::{ShockCurves, shock_plot};
pub use spectrum::{SpectrumCurve, spectrum_plot};
pub use square_code::square_code;
pub(crate) use view::{NARROW, TYPE, View, WIDE, scale_bar};
