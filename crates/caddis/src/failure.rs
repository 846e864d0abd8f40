//! How a command fails, and with which exit code.

use caddis_basis::Finding;
use caddis_files::FileError;
use std::process::ExitCode;

/// Done.
pub(crate) const DONE: u8 = 0;
/// Done, but not released.
pub(crate) const NOT_RELEASED: u8 = 1;
/// Wrong use of the command line.
pub(crate) const WRONG_USE: u8 = 2;
/// Broken input.
pub(crate) const BROKEN_INPUT: u8 = 3;
/// A fault of this program.
pub(crate) const INTERNAL: u8 = 4;

/// Why a command did not finish.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Failure {
    /// A file that cannot be used.
    #[error("{0}")]
    Input(#[from] FileError),
    /// The equipment does not fit: every reason.
    #[error("the equipment does not fit this shell")]
    DoesNotFit(Vec<Finding>),
    /// No shell of a library holds the equipment.
    #[error("none of the {tried} shells tried holds the equipment")]
    NoShell {
        /// How many were tried.
        tried: usize,
        /// Shells by name, each with its one reason; those that lack least.
        reasons: Vec<(String, Finding)>,
    },
    /// Something the command line asks for makes no sense.
    #[error("{problem}")]
    Use {
        /// What is wrong.
        problem: String,
        /// What would do.
        hint: String,
    },
    /// The shop cannot make it as its file stands.
    #[error("{0}")]
    Make(#[from] caddis_shop::MakeError),
    /// The page cannot be served.
    #[error("{0}")]
    Serve(#[from] caddis_server::ServeError),
    /// Results cannot be written.
    #[error("failed to write {path}: {reason}")]
    Write {
        /// Where.
        path: String,
        /// What the system says.
        reason: std::io::Error,
    },
    /// A fault of this program.
    #[error("{0}")]
    Internal(String),
}

impl Failure {
    fn code(&self) -> u8 {
        match self {
            Self::Input(_) | Self::DoesNotFit(_) | Self::NoShell { .. } | Self::Make(_) => BROKEN_INPUT,
            Self::Use { .. } | Self::Write { .. } | Self::Serve(_) => WRONG_USE,
            Self::Internal(_) => INTERNAL,
        }
    }

    /// Says it on standard error: the sentence, the reasons, the hint.
    pub(crate) fn report(&self) -> ExitCode {
        eprintln!("error: {self}");
        if let Self::DoesNotFit(reasons) = self {
            for reason in reasons {
                eprintln!("  {}: {}", reason.place, reason.sentence);
                if let Some(remedy) = &reason.remedy {
                    eprintln!("    what would help: {remedy}");
                }
            }
        }
        if let Self::NoShell { reasons, .. } = self {
            for (shell, reason) in reasons {
                eprintln!("  {shell}: {}", reason.sentence);
            }
        }
        let hint = match self {
            Self::Input(error) => error.hint().map(str::to_owned),
            Self::Use { hint, .. } => Some(hint.clone()),
            Self::Write { .. } => {
                Some("name a folder in a place you may write to; earlier results are untouched".to_owned())
            }
            Self::Internal(_) => {
                Some("this is a fault of the program; please report the job folder with it".to_owned())
            }
            Self::Serve(caddis_server::ServeError::Listen { .. }) => {
                Some("is it served already? Or name another port with `--port`".to_owned())
            }
            Self::DoesNotFit(_) | Self::NoShell { .. } | Self::Make(_) | Self::Serve(_) => None,
        };
        if let Some(hint) = hint {
            eprintln!("\nhint: {hint}");
        }
        ExitCode::from(self.code())
    }
}
