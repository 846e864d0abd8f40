//! Starts the server and keeps it going.

use crate::api::router;
use crate::app::App;
use crate::guard::{Address, guard};
use crate::page::page;
use crate::shapes::{SharedReader, SheetReader};
use crate::solve::resume;
use axum::extract::DefaultBodyLimit;
use caddis_files::FileError;
use caddis_store::StoreError;
use std::net::{IpAddr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use tokio::net::TcpListener;
use tower_http::catch_panic::CatchPanicLayer;

/// The largest request body: one shape file of some millions of triangles.
pub(crate) const LARGEST_UPLOAD: usize = 256 << 20;

/// How to serve.
pub struct ServeOptions {
    /// Where everything is kept.
    pub data: PathBuf,
    /// The library folder that ships.
    pub library: PathBuf,
    /// Where to listen; loopback only.
    pub address: IpAddr,
    /// The port; 0 lets the system choose.
    pub port: u16,
    /// Reads shape files.
    pub shapes: SharedReader,
    /// Reads workbooks.
    pub sheets: SheetReader,
    /// Job folders to take in where no job of that name is kept yet.
    pub jobs: Vec<PathBuf>,
}

/// What is being served.
#[derive(Debug, Clone)]
pub struct Served {
    /// The address.
    pub address: SocketAddr,
    /// Jobs taken in at this start.
    pub taken_in: Vec<String>,
}

/// Why it cannot be served.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// Not a loopback address.
    #[error(
        "{0} is not an address of this machine alone; without accounts the page is served to 127.0.0.1 or ::1 only"
    )]
    NotLoopback(IpAddr),
    /// The system refuses the address.
    #[error("cannot listen on {address}: {reason}")]
    Listen {
        /// The address.
        address: SocketAddr,
        /// What the system says.
        reason: String,
    },
    /// The folder for the store cannot be used.
    #[error("the folder {} cannot be used: {reason}", folder.display())]
    Data {
        /// The folder.
        folder: PathBuf,
        /// What the system says.
        reason: String,
    },
    /// The store refuses.
    #[error("{0}")]
    Store(#[from] StoreError),
    /// A job that was to be taken in cannot be read.
    #[error("{0}")]
    Job(#[from] FileError),
}

/// Serves until the process ends; `announce` is called once the page can be opened.
///
/// # Errors
/// Why it cannot be served; nothing has been served then.
pub fn serve(options: ServeOptions, announce: impl FnOnce(&Served)) -> Result<(), ServeError> {
    if !options.address.is_loopback() {
        return Err(ServeError::NotLoopback(options.address));
    }
    let wanted = SocketAddr::new(options.address, options.port);
    let listen = |error: std::io::Error| ServeError::Listen {
        address: wanted,
        reason: error.to_string(),
    };
    let (app, taken_in) = App::open(options)?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(listen)?;
    runtime.block_on(async {
        let listener = TcpListener::bind(wanted).await.map_err(listen)?;
        let address = listener.local_addr().map_err(listen)?;
        let app = Arc::new(app);
        resume(&app)?;
        let (api, _) = router().with_state(app).split_for_parts();
        let routes = api
            .fallback(page)
            .layer(DefaultBodyLimit::max(LARGEST_UPLOAD))
            .layer(CatchPanicLayer::new())
            .layer(axum::middleware::from_fn_with_state(Address::new(address), guard));
        announce(&Served { address, taken_in });
        axum::serve(listener, routes).await.map_err(listen)
    })
}
