//! What the shop makes of an interior: layers, lamination, nests, cut files, machine programs, bill and cost.
//!
//! Guarantees: foam is never removed that verification did not see (the layers' solids are compared with the interior's);
//! cut files exist only with a release and hold the net size; machine programs alone are compensated. Knows nothing about paper or databases.

mod bill;
mod breaks;
mod budget;
mod change_order;
mod check;
mod cut_file;
mod drawing;
mod dxf;
mod engrave;
mod fitting;
#[cfg(test)]
mod fitting_tests;
mod lamination;
mod layer;
mod make;
mod mark;
mod nest;
mod offcut;
#[cfg(test)]
mod offcut_tests;
mod process;
mod program;
mod slit;
mod split;
mod stock;
mod stroke_font;
mod svg;
#[cfg(test)]
mod testing;
#[cfg(test)]
mod tests;

pub use bill::{Bill, BillLine, CostLine, Work};
pub use breaks::{PriceBreak, price_breaks};
pub use budget::{BudgetError, BudgetPractice, BudgetPrice, BudgetQuestion, Spread, budget};
pub use change_order::{
    ChangeOrder, Delivered, PartBefore, PartChange, PieceBefore, PieceChange, change_order,
};
pub use cut_file::{CutFile, CutFiles, WITHHELD, cut_files};
pub use dxf::{DxfAlign, DxfDrawing, DxfEntity, DxfLayer, DxfLineType, DxfPaper, DxfShape, dxf};
pub use engrave::Engraving;
pub use fitting::{Board, Fittings, PullStrap};
pub use layer::{Glue, LayerPart, Pocket};
pub use make::{BoardPart, MakeError, ShopSet, make};
pub use nest::{NestedPart, SheetNest};
pub use offcut::{OffcutPractice, offcuts};
pub use process::{Blade, Motion, Process, ProcessKind, ToleranceRow};
pub use program::{EngravingTool, Machine, SheetPath};
pub use stock::{DrawingPractice, DrawingUnits, Projection, Quoting, Rates, SheetSize, Shop, StockSheet};
