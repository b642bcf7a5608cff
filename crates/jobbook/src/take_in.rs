//! A machine and its job that come from elsewhere, all of it or nothing.

use crate::{
    Book, BookError, Draft, Headline, JobId, Kept, Stamp,
    append::{self, Where},
    blobs, entry, machines, search,
};
use rusqlite::TransactionBehavior;

/// What comes in.
#[derive(Clone, Debug)]
pub struct Parcel<'a> {
    /// Slug for the machine, which is a new one.
    pub slug: &'a str,
    /// Its file.
    pub machine: Kept<'a>,
    /// What the job is.
    pub headline: Headline,
    /// Bytes that the entries name by their hash.
    pub blobs: Vec<&'a [u8]>,
    /// Entries of the job.
    pub entries: Vec<Draft>,
    /// Mark of the parcel. What came before under it is not taken in again.
    pub token: &'a str,
}

impl Book {
    /// Takes in a new machine with one job, in one transaction, and gives the job. `true` beside it if the parcel came
    /// before and nothing was written.
    ///
    /// # Errors
    /// As [`Book::add`], [`Book::open_job`], [`Book::append`] and [`Book::keep_blob`]. Nothing is kept then.
    pub fn take_in(&mut self, parcel: &Parcel, stamp: Stamp) -> Result<(JobId, bool), BookError> {
        let write = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        if let Some(before) = append::under(&write, parcel.token)? {
            let there = entry::by_id(&write, before)?;
            return match there.job {
                Some(job) => Ok((job, true)),
                None => Err(BookError::TokenReused { token: parcel.token.to_owned(), there: Box::new(there) }),
            };
        }
        let machine = Some(machines::add_to(&write, parcel.slug, &parcel.machine)?);
        for bytes in &parcel.blobs {
            blobs::keep_in(&write, bytes, stamp.at)?;
        }
        let headline = Draft::new(parcel.headline.clone()).token(parcel.token);
        let (job, _) = append::open_in(&write, machine, stamp, &headline)?;
        for draft in &parcel.entries {
            append::insert(&write, Where { job: Some(job), machine }, stamp, draft)?;
        }
        search::index_job(&write, job)?;
        write.commit()?;
        Ok((JobId(job), false))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Attachment, ContentHash, Note, Place, Stage, UnixSeconds};

    #[test]
    fn all_of_it_or_nothing_and_once() {
        let mut book = Book::in_memory().unwrap();
        let at = UnixSeconds(1_700_000_000);
        let picture = Attachment {
            file: "a.png".into(),
            media: "image/png".into(),
            hash: ContentHash::of(b"picture"),
            stage: Stage::AsFound,
            words: String::new(),
            reading: None,
        };
        let note = Note { words: "mist test: no change".into(), about: String::new() };
        let mut parcel = Parcel {
            slug: "tarn",
            machine: Kept { name: "Tarn", text: "x", note: "", at },
            headline: Headline { complaint: "hangs".into(), ..Headline::default() },
            blobs: Vec::new(),
            entries: vec![Draft::new(note), Draft::new(picture)],
            token: "parcel",
        };
        let stamp = Stamp { who: "", at };
        assert!(matches!(book.take_in(&parcel, stamp), Err(BookError::UnknownBlob { .. })));
        assert!(book.machines().unwrap().is_empty(), "nothing is half kept");

        parcel.blobs = vec![b"picture"];
        let (job, again) = book.take_in(&parcel, stamp).unwrap();
        assert!(!again);
        assert_eq!(book.present(Place::Job(job)).unwrap().standing.len(), 3);
        assert_eq!(book.search("mist", 5).unwrap().jobs.len(), 1, "found by its words");
        assert_eq!(book.take_in(&parcel, stamp).unwrap(), (job, true));
        assert_eq!(book.machines().unwrap().len(), 1);
    }
}
