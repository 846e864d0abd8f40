//! What the store keeps and what it refuses.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use caddis_store::{Draft, Kind, RevisionKind, Store, StoreError, Subject, Work};
use std::collections::BTreeMap;
use std::path::PathBuf;

struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("caddis-store-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).unwrap();
        Self(folder)
    }

    fn open(&self) -> Store {
        Store::open(&self.0.join("store.sqlite")).unwrap()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn draft(text: &str) -> Draft {
    Draft {
        files: BTreeMap::from([("job.toml".to_owned(), text.as_bytes().to_vec())]),
        at: "2026-11-27T10:00:00Z".to_owned(),
        author: "test".to_owned(),
        note: text.to_owned(),
    }
}

#[test]
fn revisions_are_kept_and_read_back_after_reopening() {
    let folder = Folder::new("kept");
    let subject = Subject::job("one");
    {
        let store = folder.open();
        assert_eq!(store.create(&subject, &draft("first")).unwrap(), 1);
        assert_eq!(store.append(&subject, 1, &draft("second")).unwrap(), 2);
        assert!(matches!(
            store.create(&subject, &draft("again")),
            Err(StoreError::Taken { .. })
        ));
    }
    let store = folder.open();
    assert_eq!(store.names(Kind::Job).unwrap(), ["one"]);
    assert_eq!(store.names(Kind::Shell).unwrap(), Vec::<String>::new());
    let history = store.history(&subject).unwrap();
    assert_eq!(
        history.iter().map(|r| r.note.as_str()).collect::<Vec<_>>(),
        ["first", "second"]
    );
    assert_eq!(store.files(&history[0]).unwrap()["job.toml"], b"first");
}

#[test]
fn an_edit_of_an_older_revision_is_a_conflict_and_writes_nothing() {
    let folder = Folder::new("conflict");
    let (one, two) = (folder.open(), folder.open());
    let subject = Subject::job("shared");
    one.create(&subject, &draft("start")).unwrap();
    one.append(&subject, 1, &draft("mine")).unwrap();
    let refused = two.append(&subject, 1, &draft("yours"));
    assert!(matches!(
        refused,
        Err(StoreError::Conflict { base: 1, current: 2 })
    ));
    assert_eq!(two.revision(&subject, None).unwrap().note, "mine");
}

#[test]
fn undo_redo_and_restore_bring_contents_back_as_new_revisions() {
    let folder = Folder::new("undo");
    let store = folder.open();
    let subject = Subject::job("undone");
    store.create(&subject, &draft("a")).unwrap();
    store.append(&subject, 1, &draft("b")).unwrap();
    store.append(&subject, 2, &draft("c")).unwrap();
    let content = |number| {
        let revision = store.revision(&subject, Some(number)).unwrap();
        store.files(&revision).unwrap()["job.toml"].clone()
    };
    let steps = store.steps(&subject).unwrap();
    assert_eq!((steps.undo, steps.redo), (Some(2), None));
    store
        .bring_back(&subject, (3, 2), RevisionKind::Undo, &draft("undo"))
        .unwrap();
    assert_eq!(content(4), b"b");
    let steps = store.steps(&subject).unwrap();
    assert_eq!((steps.undo, steps.redo), (Some(1), Some(3)));
    store
        .bring_back(&subject, (4, 3), RevisionKind::Redo, &draft("redo"))
        .unwrap();
    assert_eq!(content(5), b"c");
    store
        .bring_back(&subject, (5, 1), RevisionKind::Restore, &draft("restore"))
        .unwrap();
    assert_eq!(content(6), b"a");
    assert!(matches!(
        store.bring_back(&subject, (6, 77), RevisionKind::Restore, &draft("never")),
        Err(StoreError::Missing { .. })
    ));
    assert_eq!(store.revision(&subject, None).unwrap().number, 6);
}

#[test]
fn the_database_itself_refuses_to_change_or_delete_what_is_kept() {
    let folder = Folder::new("append-only");
    folder
        .open()
        .create(&Subject::shell("s"), &draft("kept"))
        .unwrap();
    let plain = rusqlite::Connection::open(folder.0.join("store.sqlite")).unwrap();
    for statement in [
        "UPDATE revisions SET note = 'changed'",
        "DELETE FROM revisions",
        "UPDATE revision_files SET path = 'x'",
        "DELETE FROM revision_files",
        "UPDATE blobs SET bytes = x'00'",
        "DELETE FROM blobs",
    ] {
        assert!(plain.execute(statement, []).is_err(), "{statement}");
    }
}

#[test]
fn a_damaged_blob_is_an_error_not_an_answer() {
    let folder = Folder::new("damaged");
    let subject = Subject::job("d");
    folder.open().create(&subject, &draft("whole")).unwrap();
    let plain = rusqlite::Connection::open(folder.0.join("store.sqlite")).unwrap();
    plain
        .execute_batch("DROP TRIGGER blobs_stay; UPDATE blobs SET bytes = x'00'")
        .unwrap();
    let store = folder.open();
    let revision = store.revision(&subject, None).unwrap();
    assert!(matches!(store.files(&revision), Err(StoreError::Damaged { .. })));
}

#[test]
fn a_newer_store_and_a_file_that_is_none_are_refused() {
    let folder = Folder::new("newer");
    drop(folder.open());
    let path = folder.0.join("store.sqlite");
    rusqlite::Connection::open(&path)
        .unwrap()
        .pragma_update(None, "user_version", 99)
        .unwrap();
    assert!(matches!(
        Store::open(&path),
        Err(StoreError::Newer { found: 99, .. })
    ));
    let other = folder.0.join("other");
    std::fs::write(
        &other,
        "this is no database, and it is long enough to show it. ".repeat(40),
    )
    .unwrap();
    assert!(matches!(Store::open(&other), Err(StoreError::Open { .. })));
    assert!(matches!(
        Store::open(&folder.0.join("no/such/folder/store.sqlite")),
        Err(StoreError::Open { .. })
    ));
}

#[test]
fn work_that_never_ended_is_found_again() {
    let folder = Folder::new("work");
    let work = |revision| Work {
        name: "job".to_owned(),
        task: "arrange".to_owned(),
        revision,
    };
    folder.open().begin_work(&work(3)).unwrap();
    folder.open().begin_work(&work(4)).unwrap();
    let store = folder.open();
    assert_eq!(store.interrupted_work().unwrap(), [work(4)]);
    store.end_work(&work(4)).unwrap();
    assert_eq!(store.interrupted_work().unwrap(), []);
}
