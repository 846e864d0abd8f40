//! The built page is part of the binary: build again when it was built again.

fn main() {
    println!("cargo:rerun-if-changed=../../web/built");
}
