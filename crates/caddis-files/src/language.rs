//! The language of papers: which one, and its catalogue as the library holds it. What a catalogue must say is `documents`' to judge.

use crate::error::{FileError, FilePlace};
use crate::files::{read, shown};
use crate::library::Library;

/// The language that stands in the program.
pub const OWN_LANGUAGE: &str = "en";

/// The language of papers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Language {
    /// Its tag.
    pub tag: String,
    /// The catalogue's file, for messages; empty for the one in the program.
    pub file: String,
    /// The catalogue; `None` for the one in the program.
    pub text: Option<String>,
}

impl Language {
    /// The one in the program.
    pub fn own() -> Self {
        Self {
            tag: OWN_LANGUAGE.to_owned(),
            file: String::new(),
            text: None,
        }
    }
}

impl Library {
    /// The language `tag`, which `place` asks for: the one in the program, or `languages/TAG.ftl` of the first folder that holds it.
    ///
    /// # Errors
    /// A tag that is none, a catalogue that is not there or is no text.
    pub fn language(&self, tag: &str, place: FilePlace) -> Result<Language, FileError> {
        if tag == OWN_LANGUAGE {
            return Ok(Language::own());
        }
        let plain = !tag.is_empty() && tag.chars().all(|c| c.is_ascii_alphanumeric() || c == '-');
        if !plain || tag.starts_with('-') {
            return Err(FileError::Content {
                place: Box::new(place),
                problem: format!("`{tag}` is not the tag of a language"),
                hint: Some("write one after BCP 47, e.g. `en`, `de` or `pt-BR`".to_owned()),
            });
        }
        let candidates: Vec<_> = self
            .folders()
            .iter()
            .map(|folder| folder.join("languages").join(format!("{tag}.ftl")))
            .collect();
        let Some(path) = candidates.iter().find(|path| path.is_file()) else {
            return Err(FileError::Missing {
                place: Box::new(place),
                what: format!("language `{tag}`"),
                looked: candidates.iter().map(|path| shown(path)).collect(),
                hint: Some("put a catalogue there, as docs/files.md says, or take `en`".to_owned()),
            });
        };
        let file = shown(path);
        let text = String::from_utf8(read(path)?).map_err(|error| FileError::Content {
            place: Box::new(FilePlace {
                file: file.clone(),
                line: None,
                field: String::new(),
            }),
            problem: format!("it is not UTF-8 text: {error}"),
            hint: Some("save it as UTF-8".to_owned()),
        })?;
        Ok(Language {
            tag: tag.to_owned(),
            file,
            text: Some(text),
        })
    }
}
