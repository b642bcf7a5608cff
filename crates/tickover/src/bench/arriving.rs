//! Files on their way in: a few at a time, and none for ever.

use super::Trouble;
use axum::{
    extract::multipart::{Field, MultipartError},
    http::StatusCode,
};
use sheets::words::page as words;
use std::time::Duration;
use tokio::sync::{Semaphore, SemaphorePermit};

/// Longest time without a byte arriving: a telephone that left the workshop's network must not hold its place for ever.
const PATIENCE: Duration = Duration::from_secs(30);
/// Files that arrive, or are heard again, at the same time; each is held in memory or keeps a core busy.
const AT_ONCE: usize = 3;
static PLACES: Semaphore = Semaphore::const_new(AT_ONCE);

/// A place among the files that arrive, given back when it is dropped.
pub(super) struct Arriving {
    /// What is said of a file that is too large.
    too_large: fn() -> Trouble,
    _place: SemaphorePermit<'static>,
}

/// A place alone, for work on a file that has arrived before; `None` where all are taken.
pub(super) fn place() -> Option<SemaphorePermit<'static>> {
    PLACES.try_acquire().ok()
}

/// Why a file was not kept.
pub(super) fn not_kept(status: StatusCode, words: impl Into<String>) -> Trouble {
    Trouble { status, title: words::FILE_NOT_KEPT, words: words.into() }
}

impl Arriving {
    /// Takes a place, if there is one.
    pub fn begin(too_large: fn() -> Trouble) -> Result<Self, Trouble> {
        let place = place().ok_or_else(|| not_kept(StatusCode::SERVICE_UNAVAILABLE, words::OTHERS_FIRST))?;
        Ok(Self { too_large, _place: place })
    }

    /// Waits for what comes next, but not for ever.
    pub async fn next<T>(&self, coming: impl Future<Output = Result<T, MultipartError>>) -> Result<T, Trouble> {
        match tokio::time::timeout(PATIENCE, coming).await {
            Ok(Ok(come)) => Ok(come),
            Ok(Err(e)) if e.status() == StatusCode::PAYLOAD_TOO_LARGE => Err((self.too_large)()),
            Ok(Err(_)) => Err(not_kept(StatusCode::BAD_REQUEST, words::FORM_BROKEN)),
            Err(_) => Err(not_kept(StatusCode::REQUEST_TIMEOUT, words::STALLED)),
        }
    }

    /// All of a field, held once; `None` if it is more than `most` bytes, of which none are kept then.
    pub async fn bytes(&self, field: &mut Field<'_>, most: usize) -> Result<Option<Vec<u8>>, Trouble> {
        let mut all = Some(Vec::new());
        while let Some(part) = self.next(field.chunk()).await? {
            all = all.filter(|all| all.len() + part.len() <= most);
            if let Some(all) = &mut all {
                all.extend_from_slice(&part);
            }
        }
        Ok(all)
    }

    /// A short text beside a file.
    pub async fn text(&self, field: &mut Field<'_>, most: usize) -> Result<String, Trouble> {
        let text = self.bytes(field, most).await?.and_then(|bytes| String::from_utf8(bytes).ok());
        text.ok_or_else(|| not_kept(StatusCode::BAD_REQUEST, words::FORM_BROKEN))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_more_than_there_are_is_not_given_and_one_given_back_is() {
        let mut taken: Vec<_> = (0..AT_ONCE).map(|_| place().expect("there is one")).collect();
        assert!(place().is_none() && Arriving::begin(|| not_kept(StatusCode::PAYLOAD_TOO_LARGE, "")).is_err());
        taken.pop();
        assert!(place().is_some());
    }
}
