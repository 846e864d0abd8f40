//! Names and ids that survive a re-solve.

use std::fmt;

macro_rules! text_id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(String);

        impl $name {
            /// Wraps the text as it is.
            pub fn new(text: impl Into<String>) -> Self {
                Self(text.into())
            }

            /// The text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

text_id!(
    /// The name of an input, as the user knows it: a file name or a field. Used in messages only.
    Name
);
text_id!(
    /// A kind of equipment on the packing list.
    ItemId
);
text_id!(
    /// A cavity in the interior.
    CavityId
);
text_id!(
    /// A foam layer.
    LayerId
);

/// One piece of equipment: the kind, and which of its pieces (counted from 1).
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct InstanceId {
    /// The kind.
    pub item: ItemId,
    /// Which one, from 1.
    pub number: u32,
}

impl InstanceId {
    /// The `number`-th piece of `item`.
    pub fn new(item: ItemId, number: u32) -> Self {
        Self { item, number }
    }
}

impl fmt::Display for InstanceId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.item, self.number)
    }
}
