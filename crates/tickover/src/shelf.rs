//! Where computed surfaces wait for the next time.

use jobbook::UnixSeconds;
use physics::surface::{Grid, Surface};
use std::hash::Hasher;

/// A place for bytes under keys. Losing one costs time, never a fact, so trouble with it is no error.
pub trait Shelf {
    /// The bytes kept under a key.
    fn take(&self, key: &str) -> Option<Vec<u8>>;
    /// Keeps bytes.
    fn keep(&self, key: &str, bytes: &[u8]);
}

/// A shelf that keeps nothing.
#[derive(Debug)]
pub struct NoShelf;

impl Shelf for NoShelf {
    fn take(&self, _: &str) -> Option<Vec<u8>> {
        None
    }
    fn keep(&self, _: &str, _: &[u8]) {}
}
