//! Long work that was asked for and has not ended: what a crash interrupts is found again at the next start.

/// Work under way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Work {
    /// The job's name.
    pub name: String,
    /// What is being done (`arrange`).
    pub task: String,
    /// On which revision.
    pub revision: u64,
}
