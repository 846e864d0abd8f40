//! `manifest.json`: what made an output folder, and the hash of every file in it.

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fmt::Write;
use utoipa::ToSchema;

/// One file of the set.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ManifestFile {
    /// Path below its folder, with `/`.
    pub path: String,
    /// SHA-256 of its bytes, hexadecimal.
    pub sha256: String,
    /// Length in bytes.
    pub bytes: u64,
}

/// A program that helped.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HelperProgram {
    /// Its name.
    pub name: String,
    /// What it says its version is.
    pub version: String,
}

/// `manifest.json`. It does not list itself.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Manifest {
    /// Schema number.
    pub schema: u32,
    /// Version of Caddis.
    pub version: String,
    /// Job id.
    pub job: String,
    /// Seed of the search.
    pub seed: u64,
    /// Steps the search used.
    pub steps: u64,
    /// Helper programs, sorted by name.
    pub helpers: Vec<HelperProgram>,
    /// What was read, in reading order.
    pub inputs: Vec<ManifestFile>,
    /// What was written, sorted by path.
    pub files: Vec<ManifestFile>,
}

impl Manifest {
    /// A manifest with its lists in order.
    pub fn new(version: impl Into<String>, job: impl Into<String>, seed: u64, steps: u64) -> Self {
        Self {
            schema: crate::document::SCHEMA,
            version: version.into(),
            job: job.into(),
            seed,
            steps,
            helpers: Vec::new(),
            inputs: Vec::new(),
            files: Vec::new(),
        }
    }

    /// Adds a written file, keeping the list sorted.
    pub fn add(&mut self, path: impl Into<String>, bytes: &[u8]) {
        self.files.push(ManifestFile::of(path, bytes));
        self.files.sort();
    }

    /// Pretty JSON with a final newline.
    ///
    /// # Errors
    /// Never for a manifest made here; serde's words otherwise.
    pub fn to_json(&self) -> Result<String, String> {
        crate::result::to_json(self)
    }
}

impl ManifestFile {
    /// The entry of a file.
    pub fn of(path: impl Into<String>, bytes: &[u8]) -> Self {
        Self {
            path: path.into(),
            sha256: sha256_hex(bytes),
            bytes: bytes.len() as u64,
        }
    }
}

/// SHA-256 as 64 hexadecimal digits.
///
/// # Source
/// FIPS 180-4, by the `sha2` crate.
pub fn sha256_hex(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(64);
    for byte in Sha256::digest(bytes) {
        let _ = write!(text, "{byte:02x}");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4 example values.
    #[test]
    fn hashes_match_the_standard() {
        assert_eq!(
            sha256_hex(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        assert_eq!(
            sha256_hex(b""),
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
        );
    }

    #[test]
    fn files_stand_sorted() {
        let mut manifest = Manifest::new("0.1.0", "TR-1", 1, 10);
        manifest.add("report.pdf", b"x");
        manifest.add("layers/B1.dxf", b"y");
        assert_eq!(manifest.files[0].path, "layers/B1.dxf");
    }
}
