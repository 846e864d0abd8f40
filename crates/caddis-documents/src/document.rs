//! A finished document and why one could not be made.

/// A finished document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Document {
    /// File name (`report.pdf`, `scene.glb`).
    pub name: String,
    /// Media type.
    pub media_type: &'static str,
    /// The bytes.
    pub bytes: Vec<u8>,
}

/// Why a document could not be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DocumentError {
    /// A paper's template and its data disagree.
    #[error("set the pages of the paper: {0}")]
    Layout(String),
    /// The finished pages cannot be written as PDF.
    #[error("write the paper as PDF: {0}")]
    Pdf(String),
    /// A picture cannot be written.
    #[error("write a picture as PNG: {0}")]
    Picture(String),
    /// The bill cannot be written as a workbook.
    #[error("write the bill as a workbook: {0}")]
    Workbook(String),
    /// The interior cannot be written for other programs.
    #[error("write the interior for other programs: {0}")]
    Exchange(String),
    /// The date is not one.
    #[error("read the date `{0}` (write year-month-day, e.g. 2026-11-25)")]
    Date(String),
    /// An interior that names an item, a foam or a stock sheet its brief or shop does not have.
    #[error("match the interior with its brief: {0}")]
    Mismatch(String),
}
