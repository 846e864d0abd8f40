//! A shell of the library as a file: the survey as it was taken, read and written.

mod form;
mod read;
mod write;

pub use read::read_shell;
pub use write::write_shell;

pub(crate) use removed::remove_intrusions;

mod removed;
