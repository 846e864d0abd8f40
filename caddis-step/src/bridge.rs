//! The C door to `OpenCASCADE`, and the only unsafe code of Caddis.

use std::ffi::{CStr, CString, c_char, c_double, c_int, c_uint};

/// One triangulated body, millimetres.
pub(crate) struct Body {
    /// What the file calls it; empty where it does not.
    pub(crate) name: String,
    /// What the product it belongs to is called; empty where the file names none.
    pub(crate) product: String,
    /// Whether it is a solid, which has an exact volume; a loose shell or face has none.
    pub(crate) is_solid: bool,
    /// Whether it passes the library's own check of its faces, edges and orientation.
    pub(crate) is_valid: bool,
    /// mm³, from the exact faces.
    pub(crate) exact_volume: f64,
    /// mm², from the exact faces.
    pub(crate) exact_area: f64,
    /// Faces that got no triangles.
    pub(crate) unmeshed: usize,
    /// x, y, z of each vertex.
    pub(crate) positions: Vec<f64>,
    /// Three vertices each.
    pub(crate) triangles: Vec<u32>,
}

/// What one file held.
pub(crate) struct Model {
    pub(crate) bodies: Vec<Body>,
    /// Names of the length units in the file.
    pub(crate) units: Vec<String>,
    /// Complaints of the library about entities, and about turning them into shapes.
    pub(crate) load_fails: usize,
    pub(crate) transfer_fails: usize,
}

#[repr(C)]
struct RawModel {
    _opaque: [u8; 0],
}

unsafe extern "C" {
    fn caddis_step_read(path: *const c_char, chord: c_double, angle: c_double) -> *mut RawModel;
    fn caddis_step_error(model: *const RawModel) -> *const c_char;
    fn caddis_step_units(model: *const RawModel) -> *const c_char;
    fn caddis_step_load_fails(model: *const RawModel) -> usize;
    fn caddis_step_transfer_fails(model: *const RawModel) -> usize;
    fn caddis_step_bodies(model: *const RawModel) -> usize;
    fn caddis_step_is_solid(model: *const RawModel, body: usize) -> c_int;
    fn caddis_step_is_valid(model: *const RawModel, body: usize) -> c_int;
    fn caddis_step_name(model: *const RawModel, body: usize) -> *const c_char;
    fn caddis_step_product(model: *const RawModel, body: usize) -> *const c_char;
    fn caddis_step_exact_volume(model: *const RawModel, body: usize) -> c_double;
    fn caddis_step_exact_area(model: *const RawModel, body: usize) -> c_double;
    fn caddis_step_unmeshed(model: *const RawModel, body: usize) -> usize;
    fn caddis_step_positions(model: *const RawModel, body: usize, out: *mut *const c_double) -> usize;
    fn caddis_step_triangles(model: *const RawModel, body: usize, out: *mut *const c_uint) -> usize;
    fn caddis_step_free(model: *mut RawModel);
}

/// Owns what the library allocated.
struct Owned(*mut RawModel);

impl Drop for Owned {
    fn drop(&mut self) {
        // SAFETY: the pointer came from `caddis_step_read`, is not null and is freed here alone.
        unsafe { caddis_step_free(self.0) }
    }
}

/// Reads a file; chords stay within `chord` millimetres of its faces and turn by at most `angle` radians.
///
/// After an error the library's state is not to be trusted: end the program.
pub(crate) fn read(path: &str, chord: f64, angle: f64) -> Result<Model, String> {
    let path = CString::new(path).map_err(|e| e.to_string())?;
    // SAFETY: the path is a terminated string that outlives the call; every exception and signal is caught inside.
    let model = Owned(unsafe { caddis_step_read(path.as_ptr(), chord, angle) });
    if model.0.is_null() {
        return Err("there was no memory for it".to_owned());
    }
    // SAFETY: the model is alive, and its texts are terminated strings that live as long as it does.
    let text = |of: unsafe extern "C" fn(*const RawModel) -> *const c_char| unsafe {
        CStr::from_ptr(of(model.0)).to_string_lossy().into_owned()
    };
    let error = text(caddis_step_error);
    if !error.is_empty() {
        return Err(error);
    }
    // SAFETY: the model is alive.
    let (count, load_fails, transfer_fails) = unsafe {
        (
            caddis_step_bodies(model.0),
            caddis_step_load_fails(model.0),
            caddis_step_transfer_fails(model.0),
        )
    };
    let bodies = (0..count)
        .map(|body| {
            let (mut positions, mut triangles) = (std::ptr::null(), std::ptr::null());
            // SAFETY: the model is alive, `body` is below its count, and both out-pointers are valid for writing.
            unsafe {
                let positions_len = caddis_step_positions(model.0, body, &raw mut positions);
                let triangles_len = caddis_step_triangles(model.0, body, &raw mut triangles);
                Body {
                    name: CStr::from_ptr(caddis_step_name(model.0, body))
                        .to_string_lossy()
                        .into_owned(),
                    product: CStr::from_ptr(caddis_step_product(model.0, body))
                        .to_string_lossy()
                        .into_owned(),
                    is_solid: caddis_step_is_solid(model.0, body) != 0,
                    is_valid: caddis_step_is_valid(model.0, body) != 0,
                    exact_volume: caddis_step_exact_volume(model.0, body),
                    exact_area: caddis_step_exact_area(model.0, body),
                    unmeshed: caddis_step_unmeshed(model.0, body),
                    positions: copied(positions, positions_len),
                    triangles: copied(triangles, triangles_len),
                }
            }
        })
        .collect();
    Ok(Model {
        bodies,
        units: text(caddis_step_units).lines().map(str::to_owned).collect(),
        load_fails,
        transfer_fails,
    })
}

/// # Safety
/// `start` points to `len` values that do not change meanwhile; it may be null where there are none.
unsafe fn copied<T: Copy>(start: *const T, len: usize) -> Vec<T> {
    if start.is_null() || len == 0 {
        return Vec::new();
    }
    // SAFETY: as the caller promises.
    unsafe { std::slice::from_raw_parts(start, len) }.to_vec()
}
