//! `caddis new DIR`.

use crate::failure::{DONE, Failure};
use caddis_files::new_job;
use std::path::Path;

pub(crate) fn run(dir: &Path) -> Result<u8, Failure> {
    new_job(dir)?;
    eprintln!(
        "wrote {}; edit it, then `caddis run {} --out out`",
        dir.join("job.toml").display(),
        dir.display()
    );
    Ok(DONE)
}
