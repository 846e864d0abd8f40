//! The tables, version by version. A version that has shipped is never edited; a new one is added below it.

use crate::StoreError;
use rusqlite::{Connection, TransactionBehavior};

/// One step a version, oldest first.
const MIGRATIONS: [&str; 1] = ["
    CREATE TABLE blobs (
        hash TEXT PRIMARY KEY,
        bytes BLOB NOT NULL
    ) WITHOUT ROWID;
    CREATE TABLE subjects (
        id INTEGER PRIMARY KEY,
        kind TEXT NOT NULL,
        name TEXT NOT NULL,
        UNIQUE (kind, name)
    );
    CREATE TABLE revisions (
        subject INTEGER NOT NULL REFERENCES subjects (id),
        number INTEGER NOT NULL,
        kind TEXT NOT NULL,
        same_as INTEGER,
        at TEXT NOT NULL,
        author TEXT NOT NULL,
        note TEXT NOT NULL,
        PRIMARY KEY (subject, number)
    ) WITHOUT ROWID;
    CREATE TABLE revision_files (
        subject INTEGER NOT NULL,
        number INTEGER NOT NULL,
        path TEXT NOT NULL,
        hash TEXT NOT NULL REFERENCES blobs (hash),
        PRIMARY KEY (subject, number, path),
        FOREIGN KEY (subject, number) REFERENCES revisions (subject, number)
    ) WITHOUT ROWID;
    CREATE TABLE work (
        id INTEGER PRIMARY KEY,
        name TEXT NOT NULL,
        task TEXT NOT NULL,
        revision INTEGER NOT NULL,
        UNIQUE (name, task)
    );
    CREATE TRIGGER revisions_stay BEFORE UPDATE ON revisions BEGIN SELECT RAISE(ABORT, 'a revision is never changed'); END;
    CREATE TRIGGER revisions_are_kept BEFORE DELETE ON revisions BEGIN SELECT RAISE(ABORT, 'a revision is never deleted'); END;
    CREATE TRIGGER files_stay BEFORE UPDATE ON revision_files BEGIN SELECT RAISE(ABORT, 'a revision is never changed'); END;
    CREATE TRIGGER files_are_kept BEFORE DELETE ON revision_files BEGIN SELECT RAISE(ABORT, 'a revision is never deleted'); END;
    CREATE TRIGGER blobs_stay BEFORE UPDATE ON blobs BEGIN SELECT RAISE(ABORT, 'a blob is never changed'); END;
    CREATE TRIGGER blobs_are_kept BEFORE DELETE ON blobs BEGIN SELECT RAISE(ABORT, 'a blob is never deleted'); END;
"];

/// Brings the tables to this program's version; each step is whole or not at all.
pub(crate) fn migrate(connection: &mut Connection) -> Result<(), StoreError> {
    let known = MIGRATIONS.len() as u32;
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let found: u32 = transaction.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    if found > known {
        return Err(StoreError::Newer { found, known });
    }
    for step in &MIGRATIONS[found as usize..] {
        transaction.execute_batch(step)?;
    }
    transaction.pragma_update(None, "user_version", known)?;
    transaction.commit()?;
    Ok(())
}
