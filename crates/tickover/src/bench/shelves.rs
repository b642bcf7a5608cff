//! Shelves of parts that the book keeps for every job, and photos of parts.

use super::{
    Bench, Room, Trouble,
    arriving::not_kept,
    attachments::{given, of_place},
    jobs::stamp,
    view::parts as view,
};
use crate::exchange::{
    shelf::may_be_one,
    shelf_file::{self, Coming, NotKept},
};
use axum::{
    extract::{Path, State},
    http::{HeaderMap, StatusCode},
    response::{IntoResponse, Redirect, Response},
};
use jobbook::{Attachment, Book, BookError, JobRecord, Media, Place};

/// Keeps a shelf that was found sound, and photos: all or none. A file takes the place of the one of its name; the same one again changes nothing.
///
/// # Errors
/// A photo that is no picture; what the disk says.
pub(super) fn keep(bench: &Bench, coming: Vec<Coming>) -> Result<(), Trouble> {
    let judged = shelf_file::judge(coming).map_err(|why| match why {
        NotKept::Book(why) => Trouble::from(why),
        why => not_kept(StatusCode::UNSUPPORTED_MEDIA_TYPE, shelf_file::told(&why)),
    })?;
    bench.apart(|book| shelf_file::keep(book, &judged, stamp("")))??;
    Ok(())
}

/// The shelves that are kept, the newest first.
///
/// # Errors
/// [`BookError`].
pub(super) fn list(book: &Book) -> Result<Vec<view::KeptShelf>, BookError> {
    let present = book.present(Place::Workshop)?;
    let shelves = present.attachments().rev().filter(|(_, a)| may_be_one(&a.file));
    let one = |(standing, a): (&jobbook::Standing, &Attachment)| view::KeptShelf {
        hash: a.hash.to_string(),
        name: a.file.clone(),
        words: a.words.clone(),
        when: sheets::words::at(standing.entry.at),
    };
    Ok(shelves.map(one).collect())
}

/// Photos by the small letters of their names: those of the book, and before them those of the job.
///
/// # Errors
/// [`BookError`].
pub(super) fn photos(book: &Book, job: Option<&JobRecord>) -> Result<view::Photos, BookError> {
    let mut all = view::Photos::new();
    let mut add = |place: Place, at: &str| -> Result<(), BookError> {
        for (_, a) in book.present(place)?.attachments() {
            if Media::named(&a.media).is_some_and(Media::is_picture) {
                all.insert(a.file.to_lowercase(), format!("{at}/file/{}", a.hash));
            }
        }
        Ok(())
    };
    add(Place::Workshop, "/parts")?;
    if let Some(job) = job {
        add(Place::Job(job.id), &format!("/job/{}", job.number))?;
    }
    Ok(all)
}

/// A photo, or a shelf as it came.
pub(super) async fn file(State(bench): Room, Path(hash): Path<String>, headers: HeaderMap) -> Result<Response, Trouble> {
    let (name, unproven) = of_place(&bench, Place::Workshop, &hash)?;
    given(name, unproven, headers).await
}

/// Takes a shelf out. It stays in the log.
pub(super) async fn out(State(bench): Room, Path((slug, hash)): Path<(String, String)>) -> Result<Response, Trouble> {
    let mut book = bench.book();
    let present = book.present(Place::Workshop)?;
    let kept = present.attachments().rfind(|(_, a)| a.hash.as_str() == hash).map(|(s, _)| s.entry.id);
    if let Some(entry) = kept {
        book.withdraw(entry, "", stamp(""), None)?;
    }
    Ok(Redirect::to(&format!("/machine/{slug}/parts")).into_response())
}
