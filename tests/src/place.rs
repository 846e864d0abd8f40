//! Where things are.

use std::path::{Path, PathBuf};

/// The root of the workspace.
///
/// # Panics
/// Never in a checkout: this package lies one folder below the root.
pub fn workspace_root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .expect("tests/ lies below the root")
        .to_owned()
}

/// The folder of real input beside the repository, or why it is not used.
#[derive(Debug, Clone)]
pub enum Inputs {
    /// The folder that `CADDIS_INPUTS` names.
    There(PathBuf),
    /// `CADDIS_INPUTS` is not set.
    LeftOut,
}

/// Reads `CADDIS_INPUTS`.
///
/// # Panics
/// It is set and names no folder: that is a mistake, not a machine without real input.
pub fn inputs() -> Inputs {
    match std::env::var_os("CADDIS_INPUTS") {
        None => Inputs::LeftOut,
        Some(folder) => {
            let folder = PathBuf::from(folder);
            assert!(
                folder.is_dir(),
                "CADDIS_INPUTS names {}, which is no folder",
                folder.display()
            );
            Inputs::There(folder)
        }
    }
}

/// The generic GLB models of the MIT-licensed npm package `@webxr-input-profiles/assets`, sorted by path. Models named
/// after a maker's product are not read.
///
/// # Panics
/// The package is not installed.
pub fn open_models() -> Vec<PathBuf> {
    let folder = std::env::var_os("CADDIS_OPEN_MESHES").map_or_else(
        || workspace_root().join("tests/node_modules/@webxr-input-profiles/assets/dist/profiles"),
        PathBuf::from,
    );
    let mut models = Vec::new();
    gather(&folder, &["glb"], &mut models);
    models.retain(|path| {
        path.strip_prefix(&folder)
            .is_ok_and(|below| below.to_string_lossy().starts_with("generic-"))
    });
    models.sort();
    assert!(
        !models.is_empty(),
        "no open models in {}: run scripts/test, which installs them",
        folder.display()
    );
    models
}

/// The demonstration's own meshes, sorted by path.
///
/// # Panics
/// There are fewer than three.
pub fn demonstration_meshes() -> Vec<PathBuf> {
    let mut found = Vec::new();
    gather(
        &workspace_root().join("jobs/tindra-ridge"),
        &["stl", "3mf", "glb"],
        &mut found,
    );
    found.sort();
    assert!(
        found.len() >= 3,
        "the demonstration has at least three meshes, but {} were found",
        found.len()
    );
    found
}

/// Metres in one of a demonstration file's units, for libraries that do not rescale: GLB is metres, the others are
/// millimetres.
pub fn metres_per_unit(path: &Path) -> &'static str {
    if path.extension().is_some_and(|ending| ending == "glb") {
        "1"
    } else {
        "0.001"
    }
}

fn gather(folder: &Path, endings: &[&str], models: &mut Vec<PathBuf>) {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return;
    };
    for entry in entries.flatten() {
        let path = entry.path();
        if path.is_dir() {
            gather(&path, endings, models);
        } else if path
            .extension()
            .is_some_and(|ending| endings.iter().any(|known| ending == *known))
        {
            models.push(path);
        }
    }
}
