//! Pictures, recordings and papers: bytes under the hash of what they are.

use crate::{Appended, Book, BookError, Draft, Place, Stamp, UnixSeconds, append};
use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fmt;

/// Biggest blob [bytes]. A telephone's picture is 5 MB, an hour of a two-channel recording at 2 kHz some 30 MB.
pub const MOST_BLOB_BYTES: usize = 64 << 20;

/// SHA-256 (NIST FIPS 180-4) of some bytes, 64 figures of `0-9a-f`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String")]
pub struct ContentHash(String);

impl ContentHash {
    /// Of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        ContentHash(hex(&Sha256::digest(bytes)))
    }

    /// Reads one; `None` if the text is no hash.
    pub fn parse(text: &str) -> Option<Self> {
        let figures = text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
        (text.len() == 64 && figures).then(|| ContentHash(text.to_owned()))
    }

    /// As text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for ContentHash {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl TryFrom<String> for ContentHash {
    type Error = &'static str;
    fn try_from(text: String) -> Result<Self, Self::Error> {
        ContentHash::parse(&text).ok_or("no SHA-256")
    }
}

impl From<ContentHash> for String {
    fn from(hash: ContentHash) -> String {
        hash.0
    }
}

pub(crate) fn hex(bytes: &[u8]) -> String {
    use fmt::Write;
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Bytes with their hash. To hash takes longer than to write, and wants no book.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Blob {
    bytes: Vec<u8>,
    hash: ContentHash,
}

impl Blob {
    /// Hashes bytes.
    ///
    /// # Errors
    /// [`BookError::BlobTooBig`].
    pub fn new(bytes: Vec<u8>) -> Result<Self, BookError> {
        fits(&bytes)?;
        Ok(Self { hash: ContentHash::of(&bytes), bytes })
    }

    /// The bytes.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Their hash.
    pub fn hash(&self) -> &ContentHash {
        &self.hash
    }
}

/// Bytes as the file has them, not yet compared with the hash under which they were kept.
#[derive(Debug)]
pub struct Unproven(Blob);

impl Unproven {
    /// The bytes, if they still have their hash.
    ///
    /// # Errors
    /// [`BookError::DamagedBlob`].
    pub fn prove(self) -> Result<Vec<u8>, BookError> {
        let Blob { bytes, hash } = self.0;
        if ContentHash::of(&bytes) == hash { Ok(bytes) } else { Err(BookError::DamagedBlob { hash }) }
    }
}

fn fits(bytes: &[u8]) -> Result<(), BookError> {
    if bytes.len() <= MOST_BLOB_BYTES {
        return Ok(());
    }
    Err(BookError::BlobTooBig { bytes: bytes.len(), most: MOST_BLOB_BYTES })
}

fn insert(db: &Connection, hash: &ContentHash, bytes: &[u8], at: UnixSeconds) -> rusqlite::Result<usize> {
    db.execute(
        "INSERT INTO blob (hash, bytes, kept_at) SELECT ?1, ?2, ?3 WHERE NOT EXISTS (SELECT 1 FROM blob WHERE hash = ?1)",
        params![hash.as_str(), bytes, at.0],
    )
}

/// Keeps bytes, in a transaction of the caller's or one of its own.
pub(crate) fn keep_in(db: &Connection, bytes: &[u8], at: UnixSeconds) -> Result<ContentHash, BookError> {
    fits(bytes)?;
    let hash = ContentHash::of(bytes);
    insert(db, &hash, bytes, at)?;
    Ok(hash)
}

impl Book {
    /// Keeps bytes and gives their hash. The same bytes are kept once.
    ///
    /// # Errors
    /// [`BookError::BlobTooBig`], [`BookError::DiskFull`], [`BookError::ReadOnly`], [`BookError::Busy`].
    pub fn keep_blob(&mut self, bytes: &[u8], at: UnixSeconds) -> Result<ContentHash, BookError> {
        keep_in(&self.db, bytes, at)
    }

    /// Writes an entry and the bytes that it speaks of: both or neither, so that what is refused leaves no bytes behind.
    ///
    /// # Errors
    /// As [`Book::append`].
    pub fn attach(&mut self, place: Place, stamp: Stamp, draft: Draft, blob: &Blob) -> Result<Appended, BookError> {
        Ok(self.attach_all(place, stamp, &[(draft, blob)])?[0])
    }

    /// The same for several files: all of them or none.
    ///
    /// # Errors
    /// As [`Book::append`].
    pub fn attach_all(&mut self, place: Place, stamp: Stamp, all: &[(Draft, &Blob)]) -> Result<Vec<Appended>, BookError> {
        let write = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        for (_, blob) in all {
            insert(&write, &blob.hash, &blob.bytes, stamp.at)?;
        }
        let appended = append::append_in(&write, place, all.iter().map(|(draft, _)| (stamp, draft)))?;
        // What came before is there already, bytes and all.
        if appended.iter().any(|a| !a.again) {
            write.commit()?;
        }
        Ok(appended)
    }

    /// The bytes of that hash, hashed again.
    ///
    /// # Errors
    /// [`BookError::UnknownBlob`], [`BookError::DamagedBlob`], [`BookError::Database`].
    pub fn blob(&self, hash: &ContentHash) -> Result<Vec<u8>, BookError> {
        self.unproven_blob(hash)?.prove()
    }

    /// The bytes kept under that hash, to be proved when the book is no longer needed: hashing takes the longest.
    ///
    /// # Errors
    /// [`BookError::UnknownBlob`], [`BookError::Database`].
    pub fn unproven_blob(&self, hash: &ContentHash) -> Result<Unproven, BookError> {
        let mut query = self.db.prepare_cached("SELECT bytes FROM blob WHERE hash = ?1")?;
        let bytes: Option<Vec<u8>> = query.query_row([hash.as_str()], |row| row.get(0)).optional()?;
        let bytes = bytes.ok_or_else(|| BookError::UnknownBlob { hash: hash.clone() })?;
        Ok(Unproven(Blob { bytes, hash: hash.clone() }))
    }

    /// Hashes of all bytes that are kept, in order.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn blobs(&self) -> Result<Vec<ContentHash>, BookError> {
        let mut query = self.db.prepare_cached("SELECT hash FROM blob ORDER BY hash")?;
        let rows = query.query_map([], |row| Ok(ContentHash(row.get(0)?)))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST FIPS 180-2, appendix B.1: the hash of "abc".
    #[test]
    fn a_known_hash() {
        let hash = ContentHash::of(b"abc");
        assert_eq!(hash.as_str(), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        assert_eq!(ContentHash::parse(hash.as_str()), Some(hash.clone()));
        for bad in ["", "ba", &hash.as_str().to_uppercase(), &format!("{}x", &hash.as_str()[1..])] {
            assert_eq!(ContentHash::parse(bad), None, "{bad}");
        }
    }
}
