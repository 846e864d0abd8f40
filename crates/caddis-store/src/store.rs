//! The store itself.

use crate::migrations::migrate;
use crate::{Draft, Kind, Revision, RevisionKind, Steps, StoreError, Subject, Work};
use caddis_files::sha256_hex;
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// How long a write waits for another process that writes.
const PATIENCE: Duration = Duration::from_secs(10);

/// An open store. Calls may come from any thread; they take turns.
#[derive(Debug)]
pub struct Store {
    connection: Mutex<Connection>,
}

impl Store {
    /// Opens the file, makes it if it is not there, and brings its tables to this version.
    ///
    /// # Errors
    /// It cannot be opened, is no store, or was written by a newer version.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let fail = |error: rusqlite::Error| StoreError::Open {
            path: path.to_owned(),
            reason: error.to_string(),
        };
        let mut connection = Connection::open(path).map_err(fail)?;
        connection.busy_timeout(PATIENCE).map_err(fail)?;
        // In write-ahead mode FULL syncs the log at every commit: an acknowledged write is on the disk.
        connection
            .pragma_update(None, "journal_mode", "WAL")
            .map_err(fail)?;
        connection
            .pragma_update(None, "synchronous", "FULL")
            .map_err(fail)?;
        connection
            .pragma_update(None, "foreign_keys", true)
            .map_err(fail)?;
        migrate(&mut connection).map_err(|error| match error {
            StoreError::Database(reason) => StoreError::Open {
                path: path.to_owned(),
                reason,
            },
            other => other,
        })?;
        Ok(Self {
            connection: Mutex::new(connection),
        })
    }

    /// A panic elsewhere leaves no half-written transaction behind: the database rolls it back.
    fn connection(&self) -> MutexGuard<'_, Connection> {
        self.connection.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The names of all things of a kind, sorted.
    ///
    /// # Errors
    /// The database refuses.
    pub fn names(&self, kind: Kind) -> Result<Vec<String>, StoreError> {
        let connection = self.connection();
        let mut statement = connection.prepare("SELECT name FROM subjects WHERE kind = ?1 ORDER BY name")?;
        let names = statement
            .query_map([kind.word()], |row| row.get(0))?
            .collect::<Result<_, _>>()?;
        Ok(names)
    }

    /// Keeps the first revision of something new.
    ///
    /// # Errors
    /// The name is taken, or the database refuses.
    pub fn create(&self, subject: &Subject, draft: &Draft) -> Result<u64, StoreError> {
        let mut connection = self.connection();
        let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let made = transaction.execute(
            "INSERT OR IGNORE INTO subjects (kind, name) VALUES (?1, ?2)",
            params![subject.kind.word(), subject.name],
        )?;
        if made == 0 {
            return Err(StoreError::Taken {
                what: subject.to_string(),
            });
        }
        let id = transaction.last_insert_rowid();
        let files = keep_blobs(&transaction, &draft.files)?;
        keep_revision(&transaction, id, 1, (RevisionKind::Edit, None), draft, &files)?;
        transaction.commit()?;
        Ok(1)
    }

    /// Keeps an edit made on revision `base`.
    ///
    /// # Errors
    /// A newer revision is there ([`StoreError::Conflict`]); there is no such thing; the database refuses.
    pub fn append(&self, subject: &Subject, base: u64, draft: &Draft) -> Result<u64, StoreError> {
        let mut connection = self.connection();
        let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let (id, current) = newest(&transaction, subject)?;
        if current != base {
            return Err(StoreError::Conflict { base, current });
        }
        let files = keep_blobs(&transaction, &draft.files)?;
        keep_revision(
            &transaction,
            id,
            current + 1,
            (RevisionKind::Edit, None),
            draft,
            &files,
        )?;
        transaction.commit()?;
        Ok(current + 1)
    }

    /// Takes up the content of an older revision as a new one: an undo, a redo or a restore. The files of `draft` are
    /// not looked at.
    ///
    /// # Errors
    /// As [`Store::append`].
    pub fn bring_back(
        &self,
        subject: &Subject,
        (base, old): (u64, u64),
        kind: RevisionKind,
        draft: &Draft,
    ) -> Result<u64, StoreError> {
        let mut connection = self.connection();
        let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let (id, current) = newest(&transaction, subject)?;
        if current != base {
            return Err(StoreError::Conflict { base, current });
        }
        let files = revision(&transaction, subject, id, old)?.files;
        keep_revision(&transaction, id, current + 1, (kind, Some(old)), draft, &files)?;
        transaction.commit()?;
        Ok(current + 1)
    }

    /// One revision, the newest without a number.
    ///
    /// # Errors
    /// There is no such thing or revision; the database refuses.
    pub fn revision(&self, subject: &Subject, number: Option<u64>) -> Result<Revision, StoreError> {
        let connection = self.connection();
        let (id, current) = newest(&connection, subject)?;
        revision(&connection, subject, id, number.unwrap_or(current))
    }

    /// All revisions, oldest first.
    ///
    /// # Errors
    /// As [`Store::revision`].
    pub fn history(&self, subject: &Subject) -> Result<Vec<Revision>, StoreError> {
        let connection = self.connection();
        let (id, current) = newest(&connection, subject)?;
        (1..=current)
            .map(|number| revision(&connection, subject, id, number))
            .collect()
    }

    /// What undo and redo would bring back.
    ///
    /// # Errors
    /// As [`Store::revision`].
    pub fn steps(&self, subject: &Subject) -> Result<Steps, StoreError> {
        Ok(Steps::of(&self.history(subject)?))
    }

    /// A blob by its hash.
    ///
    /// # Errors
    /// It is not there, or is not what its hash says.
    pub fn blob(&self, hash: &str) -> Result<Vec<u8>, StoreError> {
        let bytes: Option<Vec<u8>> = self
            .connection()
            .query_row("SELECT bytes FROM blobs WHERE hash = ?1", [hash], |row| {
                row.get(0)
            })
            .optional()?;
        let bytes = bytes.ok_or_else(|| StoreError::Missing {
            what: format!("blob {hash}"),
        })?;
        if sha256_hex(&bytes) == hash {
            Ok(bytes)
        } else {
            Err(StoreError::Damaged {
                hash: hash.to_owned(),
            })
        }
    }

    /// The files of a revision, whole.
    ///
    /// # Errors
    /// As [`Store::blob`].
    pub fn files(&self, revision: &Revision) -> Result<BTreeMap<String, Vec<u8>>, StoreError> {
        revision
            .files
            .iter()
            .map(|(path, hash)| Ok((path.clone(), self.blob(hash)?)))
            .collect()
    }

    /// Notes that work has begun; the newest of a job and task stands.
    ///
    /// # Errors
    /// The database refuses.
    pub fn begin_work(&self, work: &Work) -> Result<(), StoreError> {
        self.connection().execute(
            "INSERT OR REPLACE INTO work (name, task, revision) VALUES (?1, ?2, ?3)",
            params![work.name, work.task, work.revision],
        )?;
        Ok(())
    }

    /// Notes that work has ended, however it ended.
    ///
    /// # Errors
    /// The database refuses.
    pub fn end_work(&self, work: &Work) -> Result<(), StoreError> {
        self.connection().execute(
            "DELETE FROM work WHERE name = ?1 AND task = ?2 AND revision = ?3",
            params![work.name, work.task, work.revision],
        )?;
        Ok(())
    }

    /// Work that began and never ended, in the order it began.
    ///
    /// # Errors
    /// The database refuses.
    pub fn interrupted_work(&self) -> Result<Vec<Work>, StoreError> {
        let connection = self.connection();
        let mut statement = connection.prepare("SELECT name, task, revision FROM work ORDER BY id")?;
        let work = statement
            .query_map([], |row| {
                Ok(Work {
                    name: row.get(0)?,
                    task: row.get(1)?,
                    revision: row.get(2)?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(work)
    }
}

/// The id of a thing and the number of its newest revision.
fn newest(connection: &Connection, subject: &Subject) -> Result<(i64, u64), StoreError> {
    connection
        .query_row(
            "SELECT s.id, max(r.number) FROM subjects s JOIN revisions r ON r.subject = s.id
             WHERE s.kind = ?1 AND s.name = ?2 GROUP BY s.id",
            params![subject.kind.word(), subject.name],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )
        .optional()?
        .ok_or_else(|| StoreError::Missing {
            what: subject.to_string(),
        })
}

fn revision(
    connection: &Connection,
    subject: &Subject,
    id: i64,
    number: u64,
) -> Result<Revision, StoreError> {
    let mut statement =
        connection.prepare("SELECT path, hash FROM revision_files WHERE subject = ?1 AND number = ?2")?;
    let files = statement
        .query_map(params![id, number], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<Result<_, _>>()?;
    connection
        .prepare("SELECT kind, same_as, at, author, note FROM revisions WHERE subject = ?1 AND number = ?2")?
        .query_row(params![id, number], |row| {
            let kind: String = row.get(0)?;
            Ok(Revision {
                number,
                kind: RevisionKind::of(&kind).unwrap_or(RevisionKind::Edit),
                same_as: row.get(1)?,
                at: row.get(2)?,
                author: row.get(3)?,
                note: row.get(4)?,
                files,
            })
        })
        .optional()?
        .ok_or_else(|| StoreError::Missing {
            what: format!("revision {number} of {subject}"),
        })
}

fn keep_blobs(
    transaction: &Transaction<'_>,
    files: &BTreeMap<String, Vec<u8>>,
) -> Result<BTreeMap<String, String>, StoreError> {
    let mut statement = transaction.prepare("INSERT OR IGNORE INTO blobs (hash, bytes) VALUES (?1, ?2)")?;
    files
        .iter()
        .map(|(path, bytes)| {
            let hash = sha256_hex(bytes);
            statement.execute(params![hash, bytes])?;
            Ok((path.clone(), hash))
        })
        .collect()
}

fn keep_revision(
    transaction: &Transaction<'_>,
    id: i64,
    number: u64,
    (kind, same_as): (RevisionKind, Option<u64>),
    draft: &Draft,
    files: &BTreeMap<String, String>,
) -> Result<(), StoreError> {
    transaction.execute(
        "INSERT INTO revisions (subject, number, kind, same_as, at, author, note) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        params![id, number, kind.word(), same_as, draft.at, draft.author, draft.note],
    )?;
    let mut statement = transaction
        .prepare("INSERT INTO revision_files (subject, number, path, hash) VALUES (?1, ?2, ?3, ?4)")?;
    for (path, hash) in files {
        statement.execute(params![id, number, path, hash])?;
    }
    Ok(())
}
