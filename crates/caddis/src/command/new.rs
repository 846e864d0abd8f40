//! `caddis new DIR`.

use crate::arguments::LibraryOptions;
use crate::failure::{DONE, Failure};
use crate::library_folder;
use caddis_files::{find_template, new_job};
use std::path::Path;

pub(crate) fn run(dir: &Path, template: Option<&str>, options: &LibraryOptions) -> Result<u8, Failure> {
    let text = template
        .map(|name| Ok::<_, Failure>(find_template(&library_folder::find(options, dir.parent())?, name)?.0))
        .transpose()?;
    new_job(dir, text.as_deref())?;
    eprintln!(
        "wrote {}; edit it, then `caddis run {} --out out`",
        dir.join("job.toml").display(),
        dir.display()
    );
    Ok(DONE)
}
