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
        /// A template of the library to start from, by its name; otherwise one that names every key most jobs need.
        #[arg(long, value_name = "NAME")]
        template: Option<String>,
        #[command(flatten)]
        library: LibraryOptions,
    },
    /// What a shell really offers inside: sections, clear depths, usable volume and where the nominal box loses it.
    Survey(SurveyOptions),
    /// What the packing list holds, and what is unlikely about it; or what one shape file holds.
    Contents(ContentsOptions),
    /// A budget price before any design exists: least, expected and most, from block, layers and cavities.
    Budget(BudgetArguments),
    /// Try every shell of a library for the packing list, rank those that hold it and say why the others do not.
    Select(SelectArguments),
    /// Arrange the equipment and its foam.
    Arrange(JobOptions),
    /// Arrange, and verify by calculation; hold measured drops against the calculation with --results.
    Verify {
        #[command(flatten)]
        options: JobOptions,
        /// Measured drops to hold against the calculation: TOML as `present` writes it to fill in, or CSV.
        #[arg(long, value_name = "FILE")]
        results: Option<PathBuf>,
    },
    /// Arrange, verify, and split into layers, nests and a bill; cut files into --out if the design is released.
    Make(JobOptions),
    /// All of it, papers only into --out.
    Present(JobOptions),
    /// All stages; everything into --out.
    Run(JobOptions),
    /// Foams: laws from a shop's own tests.
    #[command(subcommand)]
    Foam(FoamCommand),
    /// Serve the page on this machine: the whole job in a browser.
    Serve(ServeArguments),
    /// Print the page's interface description; for this project's own use.
    #[command(hide = true)]
    Interface,
    /// Reads one shape file from standard input under limits; for this program's own use.
    #[command(hide = true)]
    ReadShape {
        /// What the job calls the file.
        #[arg(long)]
        name: String,
        /// The unit of its numbers.
        #[arg(long)]
        unit: Option<String>,
        /// What makes a solid of a drawing, as JSON.
        #[arg(long)]
        profile: Option<String>,
    },
    /// Reads one workbook from standard input under limits; for this program's own use.
    #[command(hide = true)]
    ReadWorkbook,
}

/// What is known before there is a design.
#[derive(Debug, Args, Clone)]
pub(crate) struct BudgetArguments {
    /// Length, width and height of all foam, stacked: `600x400x250 mm`.
    #[arg(long, value_name = "SIZES")]
    pub(crate) block: String,
    /// Foam by its name in the library.
    #[arg(long)]
    pub(crate) foam: String,
    /// Foam layers in all.
    #[arg(long)]
    pub(crate) layers: u32,
    /// Blocks they are glued to: base, trays, lid pad.
    #[arg(long, default_value_t = 2)]
    pub(crate) blocks: u32,
    /// Cavities.
    #[arg(long)]
    pub(crate) cavities: u32,
    /// Shop by its name in the library.
    #[arg(long, default_value = "coldwater")]
    pub(crate) shop: String,
    /// Process by its name in the library; the shop's own unless named.
    #[arg(long)]
    pub(crate) process: Option<String>,
    #[command(flatten)]
    pub(crate) library: LibraryOptions,
    #[command(flatten)]
    pub(crate) output: OutputOptions,
}

/// What to do with foams.
#[derive(Debug, Subcommand)]
pub(crate) enum FoamCommand {
    /// Fit a law to drop tests or a compression test, and write a library entry and a plot.
    ///
    /// Drops: columns density, thickness, drop height, static stress, peak and impact (1 is the first on a specimen).
    /// Compression: columns strain and stress. Units stand in the headers, e.g. `drop height (mm)`.
    Fit(FitOptions),
}

/// Tests, and what to make of them.
#[derive(Debug, Args, Clone)]
pub(crate) struct FitOptions {
    /// The tests as CSV.
    pub(crate) tests: PathBuf,
    /// Name of the entry in the library; that of the file without it.
    #[arg(long, value_parser = entry_name)]
    pub(crate) name: Option<String>,
    /// Base material as the trade says it.
    #[arg(long)]
    pub(crate) material: Option<String>,
    /// For a compression test of closed-cell foam: the foam's density over its polymer's, e.g. 0.036. The entry then holds
    /// the gas law fitted with it in place of the table of readings.
    #[arg(long, value_name = "R")]
    pub(crate) solid_fraction: Option<f64>,
    /// The folder the entry and its plot go to.
    #[arg(long, value_name = "DIR", default_value = ".")]
    pub(crate) out: PathBuf,
    /// Write over an entry of that name.
    #[arg(long)]
    pub(crate) replace: bool,
    #[command(flatten)]
    pub(crate) output: OutputOptions,
}

/// A name that is safe as a file's name and as a word in a job.
fn entry_name(text: &str) -> Result<String, String> {
    let is_safe = !text.is_empty()
        && !text.starts_with('-')
        && text
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
    if is_safe {
        Ok(text.to_owned())
    } else {
        Err("use small letters, digits and hyphens, e.g. `own-pe-30`".to_owned())
    }
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

/// What to ask of a shell.
#[derive(Debug, Args, Clone)]
pub(crate) struct SurveyOptions {
    /// A shell file, or the name of a shell in the library.
    #[arg(required_unless_present_any = ["worksheet", "fit"], conflicts_with = "fit")]
    pub(crate) shell: Option<String>,
    /// Whether a rigid block goes in, which way up, where, and how much is left.
    #[arg(long, value_name = "LxWxH UNIT", conflicts_with = "cylinder")]
    pub(crate) block: Option<String>,
    /// Whether a rigid cylinder goes in: its diameter and its length.
    #[arg(long, value_name = "DxL UNIT")]
    pub(crate) cylinder: Option<String>,
    /// Where the paper, the clear-depth maps and the curves of what goes in are written; replaced as a whole.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Write the sheet to measure a shell by as PDF (`--worksheet=FILE`; worksheet.pdf without a name); with SHELL it also
    /// says what its survey has.
    #[arg(
        long,
        value_name = "FILE",
        num_args = 0..=1,
        require_equals = true,
        default_missing_value = "worksheet.pdf",
        conflicts_with_all = ["block", "cylinder", "out"]
    )]
    pub(crate) worksheet: Option<PathBuf>,
    /// A scan or drawing of the interior surface (STL, OBJ, PLY, 3MF, GLB, STEP), z up: whole, or the base alone; its sizes are
    /// recovered, with --out written as a survey and a map of what is left over.
    #[arg(long, value_name = "MESH", conflicts_with_all = ["block", "cylinder", "worksheet"])]
    pub(crate) fit: Option<PathBuf>,
    /// The lid's surface in a file of its own.
    #[arg(long, value_name = "MESH", requires = "fit")]
    pub(crate) lid: Option<PathBuf>,
    /// The unit of the scans' numbers, where their format carries none.
    #[arg(long, requires = "fit")]
    pub(crate) unit: Option<String>,
    /// The rim plane over the floor, where it is known better than the scan says.
    #[arg(long, value_name = "HEIGHT", requires = "fit")]
    pub(crate) rim: Option<String>,
    /// Keep sections cut straight from the scan in the survey, so that what no form was found for takes its room too.
    #[arg(long, requires = "fit")]
    pub(crate) sections: bool,
    /// What to call the shell; the scan's name without it.
    #[arg(long, requires = "fit", value_parser = entry_name)]
    pub(crate) name: Option<String>,
    /// Outside length, width and height closed, which no scan of the inside holds; needed for the survey.
    #[arg(long, value_name = "LxWxH UNIT", requires = "fit")]
    pub(crate) outside: Option<String>,
    /// Wall thickness; needed for the survey.
    #[arg(long, value_name = "THICKNESS", requires = "fit")]
    pub(crate) wall: Option<String>,
    /// Mass without interior; needed for the survey.
    #[arg(long, value_name = "MASS", requires = "fit")]
    pub(crate) empty_mass: Option<String>,
    /// The date on papers, YYYY-MM-DD; today's without it.
    #[arg(long)]
    pub(crate) date: Option<String>,
    #[command(flatten)]
    pub(crate) library: LibraryOptions,
    #[command(flatten)]
    pub(crate) output: OutputOptions,
}

/// What to look at: the packing list of a job, or one shape file.
#[derive(Debug, Args, Clone)]
pub(crate) struct ContentsOptions {
    /// The job folder (holds job.toml).
    #[arg(required_unless_present_any = ["shape", "list", "template"], conflicts_with_all = ["shape", "list", "template"])]
    pub(crate) job: Option<PathBuf>,
    /// One shape file on its own: what was read, what was mended, what is doubtful.
    #[arg(long, value_name = "FILE")]
    pub(crate) shape: Option<PathBuf>,
    /// A customer's packing list (CSV, XLSX): its rows as items of a job, and every row that cannot be used.
    #[arg(long, value_name = "FILE", conflicts_with = "shape")]
    pub(crate) list: Option<PathBuf>,
    /// Print an empty packing list to fill in; with a name that ends in .csv or .xlsx, write it there.
    #[arg(long, value_name = "FILE", num_args = 0..=1, default_missing_value = "-", conflicts_with_all = ["shape", "list"])]
    pub(crate) template: Option<PathBuf>,
    /// How high a drawing (DXF, SVG) makes its piece, e.g. "20 mm".
    #[arg(long, requires = "shape", value_name = "LENGTH")]
    pub(crate) depth: Option<String>,
    /// The layer of a drawing its outline is on (in SVG: the id of a group or a path).
    #[arg(long, requires = "depth")]
    pub(crate) layer: Option<String>,
    /// Inner outlines of a drawing go through.
    #[arg(long, requires = "depth")]
    pub(crate) holes: bool,
    /// The unit of the shape's numbers, where its format carries none.
    #[arg(long, requires = "shape")]
    pub(crate) unit: Option<String>,
    #[command(flatten)]
    pub(crate) library: LibraryOptions,
    #[command(flatten)]
    pub(crate) output: OutputOptions,
}

/// What to select from, and by what.
#[derive(Debug, Args, Clone)]
pub(crate) struct SelectArguments {
    /// The job folder (holds job.toml); its own shell is one of many here.
    pub(crate) job: PathBuf,
    /// Library folders whose shells are tried; without any the library of the job.
    #[arg(long, value_name = "DIR", num_args = 1..)]
    pub(crate) library: Vec<PathBuf>,
    /// What to rank by: gross-mass, linear-size, chargeable-weight, price or spare-room.
    #[arg(long, default_value = "gross-mass")]
    pub(crate) by: String,
    /// No case may weigh more than one person lifts from the floor; the list is split over several where it must be.
    #[arg(long)]
    pub(crate) one_person_lift: bool,
    /// Cases the packing list may be split over; 1 for no splitting.
    #[arg(long, default_value_t = 4, value_parser = clap::value_parser!(u8).range(1..=12))]
    pub(crate) most_cases: u8,
    /// How many of the best are arranged in full and verified.
    #[arg(long, default_value_t = 3, value_name = "N")]
    pub(crate) in_full: usize,
    /// Stop laying out once N hold everything and no other can rank before them.
    #[arg(long, value_name = "N")]
    pub(crate) best: Option<usize>,
    /// Where `selection.json`, `selection.csv` and `selection.pdf` go; replaced as a whole.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Seed of the search; the job's own without it.
    #[arg(long)]
    pub(crate) seed: Option<u64>,
    /// Step budget of the search; the job's own without it.
    #[arg(long)]
    pub(crate) steps: Option<u64>,
    /// Workers; never changes the result.
    #[arg(long, default_value_t = 2, value_parser = clap::value_parser!(u8).range(1..=64))]
    pub(crate) threads: u8,
    /// The date on the page, YYYY-MM-DD; the job's own, or today's, without it.
    #[arg(long)]
    pub(crate) date: Option<String>,
    #[command(flatten)]
    pub(crate) output: OutputOptions,
}

/// How to serve the page.
#[derive(Debug, Args, Clone)]
pub(crate) struct ServeArguments {
    /// A job folder to take in, where no job of that name is kept yet. May be given again.
    #[arg(long = "job", value_name = "DIR")]
    pub(crate) jobs: Vec<PathBuf>,
    /// Where everything is kept; without it `caddis` in the user's data folder.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
    /// The port; 0 lets the system choose one.
    #[arg(long, default_value_t = 8417)]
    pub(crate) port: u16,
    /// The address; loopback only, since there are no accounts.
    #[arg(long, default_value = "127.0.0.1")]
    pub(crate) address: std::net::IpAddr,
    #[command(flatten)]
    pub(crate) library: LibraryOptions,
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
    /// Process the foam is cut by, of those the shop offers; the job's or the shop's own without it.
    #[arg(long, value_name = "NAME")]
    pub(crate) process: Option<String>,
    /// Language of the papers by its tag: `en`, or one whose catalogue `languages/TAG.ftl` the library holds; the shop's own without it
    #[arg(long, value_name = "TAG")]
    pub(crate) language: Option<String>,
    /// The `result.json` (or its folder) of what was delivered: everything stays where it lay when it can, and what the
    /// revision changes is said, priced and, with papers, marked in `changes.pdf`.
    #[arg(long, value_name = "RESULT")]
    pub(crate) since: Option<PathBuf>,
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
