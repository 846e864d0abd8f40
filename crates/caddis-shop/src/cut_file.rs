//! Cut files: the only way to DXF and SVG for cutting, and only with a release.

use crate::{Shop, ShopSet};
use caddis_design::Release;

/// One file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutFile {
    /// Path below the output folder (`layers/B1.dxf`, `nests/sheet-1.svg`).
    pub path: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// All cut files of a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutFiles {
    /// In a fixed order.
    pub files: Vec<CutFile>,
}

/// What is printed on every cut file.
pub fn cut_files(set: &ShopSet, shop: &Shop, job: &str, revision: &str, release: &Release) -> CutFiles {
    let _ = (set, shop, job, revision, release);
    todo!()
}
