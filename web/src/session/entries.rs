//! Records by name, written as one object.

use serde::{Serialize, Serializer};

/// Names and what they stand for, in the order they are to be written in. A list that is written as an object: a tree that is only
/// written out costs the module some kilobytes for every type of record.
#[derive(Debug, Clone, PartialEq)]
pub struct Entries<K, V>(pub Vec<(K, V)>);

impl<K: Serialize, V: Serialize> Serialize for Entries<K, V> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(name, value)| (name, value)))
    }
}

impl<K, V> FromIterator<(K, V)> for Entries<K, V> {
    fn from_iter<I: IntoIterator<Item = (K, V)>>(entries: I) -> Self {
        Self(entries.into_iter().collect())
    }
}
