//! `caddis serve`.

use crate::arguments::ServeArguments;
use crate::command::print;
use crate::failure::{DONE, Failure};
use crate::shape_child::ChildReader;
use caddis_server::{ServeOptions, has_page, openapi_json, serve};
use std::path::PathBuf;
use std::sync::Arc;

pub(crate) fn run(options: &ServeArguments) -> Result<u8, Failure> {
    let library =
        crate::library_folder::folder(&options.library, options.jobs.first().map(PathBuf::as_path))?;
    let data = match &options.data {
        Some(folder) => folder.clone(),
        None => data_folder()?,
    };
    std::fs::create_dir_all(&data).map_err(|reason| Failure::Write {
        path: data.display().to_string(),
        reason,
    })?;
    if !has_page() {
        eprintln!(
            "this program was built without its page; build it with `npm --prefix web ci` and `npm --prefix web run build`, then build the program again"
        );
    }
    let kept = data.display().to_string();
    serve(
        ServeOptions {
            data,
            library,
            address: options.address,
            port: options.port,
            shapes: Arc::new(ChildReader),
            sheets: Arc::new(|bytes: &[u8]| crate::workbook_child::read(bytes)),
            jobs: options.jobs.clone(),
        },
        |served| {
            for name in &served.taken_in {
                eprintln!("took in job {name}");
            }
            eprintln!("everything is kept in {kept}");
            eprintln!("open http://{}/ in a browser; end with Ctrl-C", served.address);
        },
    )?;
    Ok(DONE)
}

/// The description of the interface.
pub(crate) fn interface() -> Result<u8, Failure> {
    print(&openapi_json().map_err(Failure::Internal)?)?;
    Ok(DONE)
}

/// `$XDG_DATA_HOME/caddis`, else `~/.local/share/caddis` (XDG base directory specification).
fn data_folder() -> Result<PathBuf, Failure> {
    let named = |key: &str| {
        std::env::var_os(key)
            .map(PathBuf::from)
            .filter(|path| path.is_absolute())
    };
    named("XDG_DATA_HOME")
        .or_else(|| named("HOME").map(|home| home.join(".local/share")))
        .map(|folder| folder.join("caddis"))
        .ok_or_else(|| Failure::Use {
            problem: "there is no home folder to keep anything in".to_owned(),
            hint: "name one with `--data DIR`".to_owned(),
        })
}
