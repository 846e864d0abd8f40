//! What people and their programs read and open: drawings, report, scene, solids.
//!
//! Guarantees: a drawing becomes a finished [`Sheet`] (paper millimetres) and every writer only transcribes it; type on a
//! sheet is at least 2.5 mm high; colour never carries meaning alone; the same input gives the same bytes; without a
//! release every page says NOT RELEASED. Prints what it is given and computes nothing that verification did not.
//! Knows nothing about databases or HTTP.

mod changes;
mod check_print;
mod contents_list;
mod date;
mod deck;
mod document;
mod drawing;
mod drawing_set;
mod dxf;
mod exchange;
mod fall_case;
mod first_article;
mod glb;
mod labels;
mod packing_list;
mod paper;
mod photo;
mod picture;
mod press;
mod quotation;
mod report;
mod scene;
mod selection;
mod sheet;
mod survey;
mod svg;
mod test_plan;
mod told;
mod words;
mod workbook;

pub use drawing::{clear_sizes_plot, depth_map_plot, residual_plot, traced_plot};

pub use changes::changes;
pub use check_print::check_print;
pub use contents_list::contents_list;
pub use deck::deck;
pub use document::{Document, DocumentError};
pub use drawing::{
    FallMark, MapSize, Section, ShockCurves, SpectrumCurve, Stamp, case_plan, cushion_plot, fall_map_plot,
    handling_mark, layer_drawing, nest_drawing, packing_plan, section_drawing, shock_plot, spectrum_plot,
    square_code, stress_energy_plot, stress_strain_plot,
};
pub use drawing_set::{DrawingSheets, drawing_files, drawing_sheets, drawings};
pub use exchange::{ExchangeInput, INCOMPLETE, Solids, interior_3mf, interior_step, interior_stl};
pub use fall_case::fall_scene;
pub use first_article::first_article;
pub use labels::labels;
pub use packing_list::packing_list;
pub use paper::{PaperInput, Pictures};
pub use picture::{Picture, exploded, item_picture, open_case};
pub use quotation::quotation;
pub use report::{item_cushion, report};
pub use scene::{item_scene, scene, shell_scene};
pub use selection::{SelectionInput, SelectionRow, selection_page};
pub use sheet::{Anchor, Dash, Fill, Mark, Outline, Segment, Sheet, Stroke, Text};
pub use survey::{SurveyInput, survey_paper, worksheet};
pub use svg::svg;
pub use test_plan::{TestPlanInput, test_plan_document};
pub use words::{Words, WordsError};
pub use workbook::{bill_values, bill_workbook};
