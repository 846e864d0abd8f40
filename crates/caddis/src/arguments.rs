//! The command line, and the exit codes it promises.

use clap::{Args, Parser, Subcommand};
use std::path::PathBuf;

/// From a measured transport case and a packing list to a verified foam interior, cut files and a report.
///
/// Exit codes: 0 done; 1 done, but the design is not released (no cut files are written); 2 wrong use; 3 broken input;
/// 4 internal.
#[derive(Debug, Parser)]
#[command(name = "caddis", version, disable_help_subcommand = true)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Write a new job folder to start from.
    New {
        /// The folder to make.
        dir: PathBuf,
    },
    /// What a shell really offers inside: sections, clear depths, usable volume and where the nominal box loses it.
    Survey {
        /// A shell file, or the name of a shell in the library.
        shell: String,
        /// Whether a rigid block goes in, which way up, where, and how much is left.
        #[arg(long, value_name = "LxWxH UNIT", conflicts_with = "cylinder")]
        block: Option<String>,
        /// Whether a rigid cylinder goes in: its diameter and its length.
        #[arg(long, value_name = "DxL UNIT")]
        cylinder: Option<String>,
        #[command(flatten)]
        library: LibraryOptions,
        #[command(flatten)]
        output: OutputOptions,
    },
    /// What the packing list holds, and what is unlikely about it.
    Contents(JobOptions),
    /// Arrange the equipment and its foam.
    Arrange(JobOptions),
    /// Arrange, and verify by calculation.
    Verify(JobOptions),
    /// Arrange, verify, and split into layers, nests and a bill; cut files into --out if the design is released.
    Make(JobOptions),
    /// All of it, papers only into --out.
    Present(JobOptions),
    /// All stages; everything into --out.
    Run(JobOptions),
    /// Reads one shape file from standard input under limits; for this program's own use.
    #[command(hide = true)]
    ReadShape {
        /// What the job calls the file.
        #[arg(long)]
        name: String,
        /// The unit of its numbers.
        #[arg(long)]
        unit: Option<String>,
    },
}

/// Where the library is.
#[derive(Debug, Args, Clone)]
pub(crate) struct LibraryOptions {
    /// The library folder; without it the folder `library` beside the job or above it, or what `CADDIS_LIBRARY` names.
    #[arg(long, value_name = "DIR")]
    pub(crate) library: Option<PathBuf>,
}

/// How results are printed.
#[derive(Debug, Args, Clone)]
pub(crate) struct OutputOptions {
    /// Print the result as JSON on standard output.
    #[arg(long)]
    pub(crate) json: bool,
}

/// A job, and how to work on it.
#[derive(Debug, Args, Clone)]
pub(crate) struct JobOptions {
    /// The job folder (holds job.toml).
    pub(crate) job: PathBuf,
    /// Where the results go; replaced as a whole once everything is written.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) library: LibraryOptions,
    /// Seed of the search; the job's own without it.
    #[arg(long)]
    pub(crate) seed: Option<u64>,
    /// Step budget of the search; the job's own without it.
    #[arg(long)]
    pub(crate) steps: Option<u64>,
    /// Search workers; never changes the result.
    #[arg(long, default_value_t = 2, value_parser = clap::value_parser!(u8).range(1..=64))]
    pub(crate) threads: u8,
    /// The date on papers, YYYY-MM-DD; the job's own, or today's, without it.
    #[arg(long)]
    pub(crate) date: Option<String>,
    /// The revision on papers.
    #[arg(long, default_value = "A")]
    pub(crate) revision: String,
    #[command(flatten)]
    pub(crate) output: OutputOptions,
}
