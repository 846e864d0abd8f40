//! Why a file cannot be used.

use std::fmt;

/// Where in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FilePlace {
    /// The file as the user named it.
    pub file: String,
    /// Line, from 1, where it can be told.
    pub line: Option<usize>,
    /// The field (`items[2].mass`); empty for the file as a whole.
    pub field: String,
}

impl fmt::Display for FilePlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(line) = self.line {
            write!(f, ", line {line}")?;
        }
        if !self.field.is_empty() {
            write!(f, ", {}", self.field)?;
        }
        Ok(())
    }
}

/// Why a file cannot be used. The message says where and what was found; [`FileError::hint`] says what would do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FileError {
    /// Something in the file is wrong.
    #[error("{place}: {problem}")]
    Content {
        /// Where.
        place: Box<FilePlace>,
        /// What was found.
        problem: String,
        /// What would do.
        hint: Option<String>,
    },
    /// A file that is not there.
    #[error("{place}: there is no {what}; looked in {}", looked.join(", "))]
    Missing {
        /// What names it, or the folder itself.
        place: Box<FilePlace>,
        /// What is missing.
        what: String,
        /// Where it was looked for.
        looked: Vec<String>,
        /// What would do.
        hint: Option<String>,
    },
    /// The system refuses to read or write it.
    #[error("{place}: {reason}")]
    Unreadable {
        /// The file.
        place: Box<FilePlace>,
        /// What the system says.
        reason: String,
    },
}

impl FileError {
    /// Where.
    pub fn place(&self) -> &FilePlace {
        match self {
            Self::Content { place, .. } | Self::Missing { place, .. } | Self::Unreadable { place, .. } => {
                place
            }
        }
    }

    /// What would do.
    pub fn hint(&self) -> Option<&str> {
        match self {
            Self::Content { hint, .. } | Self::Missing { hint, .. } => hint.as_deref(),
            Self::Unreadable { .. } => None,
        }
    }

    /// Something wrong with a file as a whole.
    pub fn content(file: impl Into<String>, problem: String, hint: Option<String>) -> Self {
        Self::Content {
            place: Box::new(FilePlace {
                file: file.into(),
                line: None,
                field: String::new(),
            }),
            problem,
            hint,
        }
    }

    /// What the system says against reading or writing a file.
    pub fn unreadable(file: impl Into<String>, reason: &std::io::Error) -> Self {
        Self::Unreadable {
            place: Box::new(FilePlace {
                file: file.into(),
                line: None,
                field: String::new(),
            }),
            reason: reason.to_string(),
        }
    }
}

/// Something wrong in a field, before file and line are known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Fault {
    pub(crate) field: String,
    pub(crate) problem: String,
    pub(crate) hint: Option<String>,
}

impl Fault {
    pub(crate) fn new(field: impl Into<String>, problem: impl Into<String>) -> Self {
        Self {
            field: field.into(),
            problem: problem.into(),
            hint: None,
        }
    }

    pub(crate) fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// From a core message of the form "`field` is found; advice": the advice becomes the hint, the field goes after
    /// `prefix`.
    pub(crate) fn from_core(prefix: &str, message: &str) -> Self {
        let (problem, hint) = match message.split_once("; ") {
            Some((problem, advice)) => (problem, Some(advice.to_owned())),
            None => (message, None),
        };
        let named = message
            .strip_prefix('`')
            .and_then(|rest| rest.split_once('`'))
            .map_or("", |(field, _)| field);
        let field = match (prefix.is_empty(), named.is_empty()) {
            (_, true) => prefix.to_owned(),
            (true, false) => named.to_owned(),
            (false, false) => format!("{prefix}.{named}"),
        };
        Self {
            field,
            problem: problem.to_owned(),
            hint,
        }
    }
}

/// `path.key`, or the key alone at the top.
pub(crate) fn join(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_owned()
    } else {
        format!("{path}.{key}")
    }
}
