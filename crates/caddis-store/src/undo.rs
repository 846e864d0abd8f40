//! Undo and redo without limit, told from the history alone, so that they survive a reload and a crash.

use crate::{Revision, RevisionKind};

/// Which revision an undo and a redo would bring back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Steps {
    /// The content an undo brings back.
    pub undo: Option<u64>,
    /// The content a redo brings back.
    pub redo: Option<u64>,
}

impl Steps {
    /// Replays a history, oldest first. An edit or a restore forgets what could be redone, as everywhere.
    pub fn of(history: &[Revision]) -> Self {
        let mut done: Vec<u64> = Vec::new();
        let mut undone: Vec<u64> = Vec::new();
        for revision in history {
            match revision.kind {
                RevisionKind::Edit | RevisionKind::Restore => {
                    done.push(revision.number);
                    undone.clear();
                }
                RevisionKind::Undo => undone.extend(done.pop()),
                RevisionKind::Redo => done.extend(undone.pop()),
            }
        }
        Self {
            undo: done
                .len()
                .checked_sub(2)
                .and_then(|below| done.get(below).copied()),
            redo: undone.last().copied(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Steps;
    use crate::{Revision, RevisionKind};
    use std::collections::BTreeMap;

    fn history(kinds: &[RevisionKind]) -> Vec<Revision> {
        kinds
            .iter()
            .zip(1..)
            .map(|(&kind, number)| Revision {
                number,
                kind,
                same_as: None,
                at: String::new(),
                author: String::new(),
                note: String::new(),
                files: BTreeMap::new(),
            })
            .collect()
    }

    #[test]
    fn undo_walks_back_and_redo_forward() {
        use RevisionKind::{Edit, Redo, Restore, Undo};
        let steps = |kinds: &[RevisionKind]| {
            let steps = Steps::of(&history(kinds));
            (steps.undo, steps.redo)
        };
        assert_eq!(steps(&[Edit]), (None, None));
        assert_eq!(steps(&[Edit, Edit, Edit]), (Some(2), None));
        assert_eq!(steps(&[Edit, Edit, Edit, Undo]), (Some(1), Some(3)));
        assert_eq!(steps(&[Edit, Edit, Edit, Undo, Undo]), (None, Some(2)));
        assert_eq!(steps(&[Edit, Edit, Edit, Undo, Undo, Redo]), (Some(1), Some(3)));
        assert_eq!(steps(&[Edit, Edit, Edit, Undo, Edit]), (Some(2), None));
        assert_eq!(steps(&[Edit, Edit, Edit, Undo, Restore]), (Some(2), None));
    }
}
