//! Compiles the bridge and links the toolkits of the system's `OpenCASCADE`.

use std::path::Path;

/// Needed whatever the version.
const TOOLKITS: [&str; 10] = [
    "TKXSBase",
    "TKMesh",
    "TKShHealing",
    "TKTopAlgo",
    "TKBRep",
    "TKGeomBase",
    "TKG3d",
    "TKG2d",
    "TKMath",
    "TKernel",
];
/// The STEP toolkits up to 7.7, and the one that holds them from 7.8 on.
const STEP_BEFORE_7_8: [&str; 4] = ["TKSTEP", "TKSTEPBase", "TKSTEPAttr", "TKSTEP209"];
const STEP_FROM_7_8: &str = "TKDESTEP";

fn main() {
    let include =
        std::env::var("CADDIS_OPENCASCADE_INCLUDE").unwrap_or_else(|_| "/usr/include/opencascade".to_owned());
    assert!(
        Path::new(&include).join("STEPControl_Reader.hxx").is_file(),
        "OpenCASCADE's headers are not in {include}: install the Debian package libocct-data-exchange-dev, or set \
         CADDIS_OPENCASCADE_INCLUDE"
    );
    cc::Build::new()
        .cpp(true)
        .std("c++17")
        .include(&include)
        .warnings(false)
        // Without it a signal inside the library ends the program instead of becoming an exception.
        .define("OCC_CONVERT_SIGNALS", None)
        .file("bridge/bridge.cpp")
        .compile("caddis_step_bridge");
    let is_new = std::fs::read_to_string(Path::new(&include).join("Standard_Version.hxx"))
        .is_ok_and(|text| version_of(&text) >= (7, 8));
    let step: &[&str] = if is_new {
        &[STEP_FROM_7_8]
    } else {
        &STEP_BEFORE_7_8
    };
    for toolkit in step.iter().chain(&TOOLKITS) {
        println!("cargo:rustc-link-lib=dylib={toolkit}");
    }
    println!("cargo:rerun-if-changed=bridge/bridge.cpp");
    println!("cargo:rerun-if-env-changed=CADDIS_OPENCASCADE_INCLUDE");
}

fn version_of(header: &str) -> (u32, u32) {
    let number = |key: &str| {
        header
            .lines()
            .find_map(|line| {
                line.strip_prefix("#define ")?
                    .strip_prefix(key)?
                    .trim()
                    .parse()
                    .ok()
            })
            .unwrap_or(0)
    };
    (number("OCC_VERSION_MAJOR"), number("OCC_VERSION_MINOR"))
}
