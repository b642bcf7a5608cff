//! Recordings of jobs, heard beside the page for their faults: one at a time, each once for a machine file.

use super::{
    Bench,
    works::{Outcome, Stoppable, Work},
};
use crate::recordings::Recording;
use jobbook::ContentHash;
use sheets::words::{book_error, page as words, recording::page::BROKE_OFF};
use std::{
    io::Cursor,
    sync::{
        Arc,
        atomic::{AtomicBool, AtomicU64, Ordering::Relaxed},
    },
};

/// A recording that was heard, or a sentence why not.
pub(super) type HeardOrNot = Result<Recording, String>;

/// How far the hearing of a recording is, and the wish that it stop.
#[derive(Debug, Default)]
pub struct Hearing {
    /// The greatest share so far, as its bits: what is none thing is heard as another, from its beginning.
    share: AtomicU64,
    stopped: AtomicBool,
}

impl Stoppable for Hearing {
    fn stop(&self) {
        self.stopped.store(true, Relaxed);
    }
}

impl Hearing {
    /// 0 to 1.
    pub fn share(&self) -> f64 {
        f64::from_bits(self.share.load(Relaxed))
    }

    /// `false` once it is to stop.
    fn goes_on(&self, share: Option<f64>) -> bool {
        // The bits of floats that are not negative are in the order of the floats.
        self.share.fetch_max(share.unwrap_or(0.0).clamp(0.0, 1.0).to_bits(), Relaxed);
        !self.stopped.load(Relaxed)
    }
}

/// A recording of the book, heard or being heard.
pub(super) struct OfJob {
    /// The name of its file.
    pub name: String,
    work: Arc<Work<Hearing, HeardOrNot>>,
}

impl OfJob {
    /// Begun now, or as it stands. A hearing for the job with an older file of its machine is stopped; two jobs may keep the same recording.
    pub fn of(bench: &Arc<Bench>, (job, text): (&str, &str), name: String, hash: ContentHash) -> Self {
        let (owner, theirs, file) = (format!("{job} {hash}"), bench.clone(), text.to_owned());
        let work = bench.heard.want(&owner, text, move |hearing| {
            let found = hear(&theirs, &file, &hash, hearing);
            hearing.goes_on(None).then_some(found)
        });
        Self { name, work }
    }

    /// What came of it; `None` while it is being heard.
    pub fn outcome(&self) -> Option<Result<&Recording, &str>> {
        self.work.outcome().map(|outcome| match outcome {
            Outcome::Found(found) => found.as_ref().map_err(String::as_str),
            Outcome::Stopped | Outcome::Broken => Err(BROKE_OFF),
        })
    }

    /// How far it is; `None` where it was heard.
    pub fn share(&self) -> Option<f64> {
        self.work.outcome().is_none().then(|| self.work.progress.share())
    }
}

fn hear(bench: &Bench, text: &str, hash: &ContentHash, hearing: &Hearing) -> HeardOrNot {
    let unproven = bench.book().unproven_blob(hash).map_err(|e| book_error(&e))?;
    let bytes = unproven.prove().map_err(|e| book_error(&e))?;
    let read = bench.read(text);
    let machine = &read.as_ref().as_ref().map_err(|defects| words::defects_first(defects.len()))?.machine;
    let open = || Ok(Cursor::new(&bytes));
    Recording::of(machine, open, Some(bytes.len() as u64), &mut |_, share| hearing.goes_on(share))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_never_runs_backwards_and_a_stop_is_heeded() {
        let hearing = Hearing::default();
        assert!(hearing.goes_on(Some(0.6)) && hearing.goes_on(Some(0.1)) && hearing.goes_on(None));
        assert!((hearing.share() - 0.6).abs() < f64::EPSILON);
        hearing.stop();
        assert!(!hearing.goes_on(Some(0.7)));
    }
}
