//! The press: sets a template with its data and figures, and gives back PDF, in the archive form PDF/A-2u (ISO 19005-2). No network, no packages, no clock.

use crate::{Document, DocumentError, Words};
use std::collections::BTreeMap;
use std::sync::OnceLock;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_kit::fonts::FontStore;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

/// What is printed: the main page and everything it may read, by path without a leading slash.
pub(crate) struct Job<'a> {
    /// The template.
    pub(crate) main: &'static str,
    /// The language.
    pub(crate) words: &'a Words,
    /// Data and figures.
    pub(crate) files: BTreeMap<String, Vec<u8>>,
    /// Year, month, day.
    pub(crate) date: (i32, u8, u8),
    /// Stays the same for the same document.
    pub(crate) ident: String,
}

impl Job<'_> {
    /// Prints it as a PDF of this name.
    ///
    /// # Errors
    /// A template that does not fit its data; pages that cannot be written.
    pub(crate) fn document(self, name: &str) -> Result<Document, DocumentError> {
        Ok(Document {
            name: name.to_owned(),
            media_type: "application/pdf",
            bytes: print(self)?,
        })
    }
}

/// A world without a file system.
struct Press {
    library: LazyHash<Library>,
    fonts: &'static FontStore,
    main: Source,
    /// What customers' papers share; templates import it by its name.
    paper: Source,
    files: BTreeMap<String, Bytes>,
}

impl World for Press {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        self.fonts.book()
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() {
            Ok(self.main.clone())
        } else if id == self.paper.id() {
            Ok(self.paper.clone())
        } else {
            Err(missing(id))
        }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let path = id.get().vpath().get_without_slash();
        self.files.get(path).cloned().ok_or_else(|| missing(id))
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.font(index)
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

fn missing(id: FileId) -> FileError {
    FileError::NotFound(id.get().vpath().get_with_slash().into())
}

/// Prints a job.
///
/// # Errors
/// A template that does not fit its data; pages that cannot be written.
fn print(job: Job) -> Result<Vec<u8>, DocumentError> {
    let source = |name: &str, text: &str| {
        let path = VirtualPath::new(name).map_err(|error| DocumentError::Layout(error.to_string()))?;
        let id = FileId::new(RootedPath::new(VirtualRoot::Project, path));
        Ok::<Source, DocumentError>(Source::new(id, text.to_owned()))
    };
    let press = Press {
        library: LazyHash::new(Library::default()),
        fonts: fonts(),
        main: source("main.typ", job.main)?,
        paper: source("paper.typ", include_str!("typst/paper.typ"))?,
        files: job
            .files
            .into_iter()
            .map(|(path, bytes)| (path, Bytes::new(bytes)))
            .chain([(
                "words.json".to_owned(),
                Bytes::new(job.words.templates().to_vec()),
            )])
            .collect(),
    };
    let pages: PagedDocument = typst::compile(&press)
        .output
        .map_err(|errors| DocumentError::Layout(sentences(&press, &errors)))?;
    let (year, month, day) = job.date;
    let options = |standards| PdfOptions {
        ident: Smart::Custom(job.ident.clone()),
        creator: Smart::Custom(Some("Caddis".to_owned())),
        timestamp: Datetime::from_ymd_hms(year, month, day, 0, 0, 0).map(Timestamp::new_utc),
        standards,
        ..PdfOptions::default()
    };
    let archival = PdfStandards::new(&[PdfStandard::A_2u])
        .map_err(|error| DocumentError::Pdf(error.message().to_string()))?;
    // The archive form refuses a character that no face holds, or a photograph in colours of its own. Such a paper is printed all the
    // same, and the file then does not claim that form.
    let bytes = typst_pdf::pdf(&pages, &options(archival))
        .or_else(|_| typst_pdf::pdf(&pages, &options(PdfStandards::default())))
        .map_err(|errors| DocumentError::Pdf(sentences(&press, &errors)))?;
    // The typesetter remembers its work between calls; a report is set once, so nothing is kept.
    typst::comemo::evict(0);
    Ok(bytes)
}

/// The faces of all papers, read once.
fn fonts() -> &'static FontStore {
    static FONTS: OnceLock<FontStore> = OnceLock::new();
    FONTS.get_or_init(|| {
        let mut fonts = FontStore::new();
        fonts.extend(typst_kit::fonts::embedded());
        // The face of drawings.
        for face in [notosans::REGULAR_TTF, notosans::BOLD_TTF] {
            fonts.extend(Font::iter(Bytes::new(face)).map(|font| {
                let info = font.info().clone();
                (font, info)
            }));
        }
        fonts
    })
}

fn sentences(press: &Press, errors: &[SourceDiagnostic]) -> String {
    let lines: Vec<String> = errors
        .iter()
        .map(|error| {
            let text = if error.span.id() == Some(press.paper.id()) {
                &press.paper
            } else {
                &press.main
            };
            let line = typst::WorldExt::range(press, error.span)
                .and_then(|range| text.lines().byte_to_line(range.start))
                .map_or_else(String::new, |line| {
                    format!(" (line {} of the template)", line + 1)
                });
            format!("{}{line}", error.message)
        })
        .collect();
    lines.join("; ")
}
