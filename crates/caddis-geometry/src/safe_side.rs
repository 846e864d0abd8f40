//! Approximations that name their safe side in the type.

/// On which side of the exact shape an approximation may lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// Never leaves the exact shape (room that is really there).
    Inner,
    /// Never falls short of the exact shape (room that is really taken).
    Outer,
}

/// A shape that never leaves the exact one.
#[derive(Debug, Clone, PartialEq)]
pub struct Inner<T>(pub T);

/// A shape that never falls short of the exact one.
#[derive(Debug, Clone, PartialEq)]
pub struct Outer<T>(pub T);
