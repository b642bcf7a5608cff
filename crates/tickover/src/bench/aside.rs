//! Recordings that were sent to a machine's page: put aside while the page runs, so that they can be heard again as those are that are kept with a job.

use super::recording::Pieces;
use jobbook::{ContentHash, Unproven};
use sha2::{Digest, Sha256};
use std::{
    collections::VecDeque,
    fs::File,
    io::{self, Cursor, Read, Seek, SeekFrom, Write},
    sync::{Arc, Mutex, PoisonError},
};

/// Recordings that are held at once [1] (own choice): a before and an after of two machines. The oldest makes room, and all go with the program: the files have no
/// name from the beginning.
pub const MOST: usize = 4;
/// Bytes that are copied in one go (own choice).
const PIECE: usize = 1 << 16;

/// One of them.
#[derive(Clone)]
pub(super) struct PutAside {
    /// The machine.
    pub slug: String,
    /// Of its content, by which it is asked for.
    pub hash: ContentHash,
    /// The name with which it was sent.
    pub name: String,
    length: u64,
    file: Arc<Mutex<File>>,
}

impl PutAside {
    /// Writes down what arrives.
    ///
    /// # Errors
    /// Where there is no room for it.
    pub fn write(slug: String, name: String, mut from: Pieces) -> io::Result<Self> {
        let mut file = tempfile::tempfile()?;
        let (mut sum, mut piece, mut length) = (Sha256::new(), vec![0; PIECE], 0);
        loop {
            let n = from.read(&mut piece)?;
            if n == 0 {
                break;
            }
            sum.update(&piece[..n]);
            file.write_all(&piece[..n])?;
            length += n as u64;
        }
        let hash: String = sum.finalize().iter().map(|byte| format!("{byte:02x}")).collect();
        let hash = ContentHash::parse(&hash).ok_or_else(|| io::Error::other(hash))?;
        Ok(Self { slug, hash, name, length, file: Arc::new(Mutex::new(file)) })
    }
}

/// Those that are held.
#[derive(Default)]
pub(super) struct Aside(Mutex<VecDeque<PutAside>>);

impl Aside {
    /// Holds one more; the same one sent again takes its own place.
    pub fn hold(&self, one: PutAside) {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.retain(|o| (&o.slug, &o.hash) != (&one.slug, &one.hash));
        if all.len() >= MOST {
            all.pop_front();
        }
        all.push_back(one);
    }

    /// Those of a machine, the newest first.
    pub fn of(&self, slug: &str) -> Vec<PutAside> {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.iter().rev().filter(|o| o.slug == slug).cloned().collect()
    }
}

/// A recording that can be heard.
pub(super) enum Source {
    /// Out of the book.
    Kept(Unproven),
    /// Put aside.
    Aside(PutAside),
}

impl Source {
    /// Hears it from its beginning, by a reader and its length.
    ///
    /// # Errors
    /// Those of `hear`, and where the file is damaged or cannot be read.
    pub fn hear<T>(self, hear: impl FnOnce(&mut dyn Read, u64) -> Result<T, String>) -> Result<T, String> {
        match self {
            Source::Kept(unproven) => {
                let bytes = unproven.prove().map_err(|damaged| sheets::words::book_error(&damaged))?;
                let length = bytes.len() as u64;
                hear(&mut Cursor::new(bytes), length)
            }
            Source::Aside(one) => {
                // Whoever else hears the same one waits.
                let mut file = one.file.lock().unwrap_or_else(PoisonError::into_inner);
                file.seek(SeekFrom::Start(0)).map_err(|e| e.to_string())?;
                hear(&mut *file, one.length)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::body::Bytes;
    use tokio::sync::mpsc;

    fn sent(slug: &str, bytes: &'static [u8]) -> PutAside {
        let (to, from) = mpsc::channel(4);
        bytes.chunks(3).for_each(|piece| to.try_send(Bytes::from_static(piece)).expect("there is room"));
        drop(to);
        PutAside::write(slug.to_owned(), "a.wav".to_owned(), Pieces { from, piece: Bytes::new() }).expect("it is written")
    }

    #[test]
    fn what_was_put_aside_is_read_twice_and_known_by_its_content() {
        let one = sent("tarn", b"0123456789");
        assert_eq!(one.hash, ContentHash::of(b"0123456789"));
        for _ in 0..2 {
            let read = Source::Aside(one.clone()).hear(|from, length| {
                let mut all = Vec::new();
                from.read_to_end(&mut all).map_err(|e| e.to_string())?;
                Ok((all, length))
            });
            assert_eq!(read, Ok((b"0123456789".to_vec(), 10)));
        }
    }

    #[test]
    fn the_oldest_makes_room_and_the_same_is_held_once() {
        let aside = Aside::default();
        for bytes in [b"a", b"b", b"c", b"d", b"e", b"c"] {
            aside.hold(sent("tarn", bytes));
        }
        let held: Vec<_> = aside.of("tarn").into_iter().map(|o| o.hash).collect();
        assert_eq!(held, [b"c", b"e", b"d", b"b"].map(|b| ContentHash::of(b)));
        assert!(aside.of("corran").is_empty());
    }
}
