//! A shelf with its photos as one file, to be handed on: a ZIP with the shelf as the book keeps it, and beside it the photos that its parts name. Whoever has no Tickover unpacks it.

use super::{
    everything::{Zip, is_as_written},
    new_file, shelf,
};
use anyhow::{anyhow, bail};
use jobbook::{
    Attachment, Blob, Book, BookError, Draft, MOST_BLOB_BYTES, Media, MediaError, Place, Present, Stage, Stamp, UnixSeconds,
};
use sheets::words::{self, page, part as text, part::share};
use std::{
    collections::BTreeSet,
    io::{Cursor, Read},
    path::Path,
};
use workshop::study::part::{Kinds, Shelf};
use zip::ZipArchive;

/// Largest such file, packed and unpacked [bytes] (own choice): a shelf and some hundred photos of a telephone.
pub const MOST_BYTES: u64 = 4 * MOST_BLOB_BYTES as u64;

/// Whether bytes begin as a ZIP archive does (APPNOTE 6.3.10, 4.3.7).
pub fn is_one(bytes: &[u8]) -> bool {
    bytes.starts_with(&[0x50, 0x4b, 0x03, 0x04])
}

/// A file on its way into the book.
pub struct Coming {
    /// Its name.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
    /// What it shows or holds, in words.
    pub words: String,
}

/// Why files are not kept.
#[derive(Debug)]
pub enum NotKept {
    /// One is of no kind that the book takes.
    Media(MediaError),
    /// This one is neither photo nor shelf.
    NoPhoto(String),
    /// The book.
    Book(BookError),
}

impl From<BookError> for NotKept {
    fn from(why: BookError) -> Self {
        Self::Book(why)
    }
}

/// Files that are judged and can be kept.
pub struct Judged(Vec<(Attachment, Blob)>);

impl Judged {
    /// The hash of the first.
    pub fn hash(&self) -> String {
        self.0.first().map_or_else(String::new, |(a, _)| a.hash.to_string())
    }
}

/// Judges files by what is in them.
///
/// # Errors
/// [`NotKept`].
pub fn judge(coming: Vec<Coming>) -> Result<Judged, NotKept> {
    let one = |Coming { name, bytes, words }: Coming| {
        let media = Media::of(&bytes).map_err(NotKept::Media)?;
        if !media.is_picture() && !shelf::may_be_one(&name) {
            return Err(NotKept::NoPhoto(name));
        }
        let blob = Blob::new(bytes)?;
        let (media, hash) = (media.name().to_owned(), blob.hash().clone());
        Ok((Attachment { file: name, media, hash, stage: Stage::AsFound, words, reading: None }, blob))
    };
    coming.into_iter().map(one).collect::<Result<_, _>>().map(Judged)
}

/// Keeps them: all or none. A file takes the place of the one of its name; the same one again changes nothing.
///
/// # Errors
/// [`BookError`].
pub fn keep(book: &mut Book, Judged(blobs): &Judged, stamp: Stamp<'_>) -> Result<(), BookError> {
    let present = book.present(Place::Workshop)?;
    let mut drafts = Vec::new();
    for (attachment, blob) in blobs {
        let draft = Draft::new(attachment.clone());
        let before = present.attachments().rfind(|(_, a)| a.file.eq_ignore_ascii_case(&attachment.file));
        match before {
            Some((_, a)) if a.hash == attachment.hash => {}
            Some((standing, _)) => drafts.push((draft.replacing(standing.entry.id), blob)),
            None => drafts.push((draft, blob)),
        }
    }
    book.attach_all(Place::Workshop, stamp, &drafts)?;
    Ok(())
}

/// The shelf of a name that the book keeps, and its bytes.
///
/// # Errors
/// A sentence: which shelves there are; what is wrong with the book.
pub fn kept(book: &Book, name: &str) -> anyhow::Result<(String, Vec<u8>)> {
    let said = |e: BookError| anyhow!(words::book_error(&e));
    let present = book.present(Place::Workshop).map_err(said)?;
    let shelves = || present.attachments().map(|(_, a)| a).filter(|a| shelf::may_be_one(&a.file));
    let Some(found) = shelves().rfind(|a| a.file.eq_ignore_ascii_case(name)) else {
        let names: BTreeSet<String> = shelves().map(|a| a.file.clone()).collect();
        bail!(share::no_such_shelf(name, &Vec::from_iter(names)));
    };
    Ok((found.file.clone(), book.blob(&found.hash).map_err(said)?))
}

/// Writes a shelf that the book keeps to a new file, with the photos of it that the book has: how many parts and photos.
///
/// # Errors
/// A sentence: as [`kept`]; what is wrong with the shelf or the file. No file is left then.
pub fn export(book: &Book, kinds: &Kinds, name: &str, target: &Path, at: UnixSeconds) -> anyhow::Result<(usize, usize)> {
    let said = |e: BookError| anyhow!(words::book_error(&e));
    let (name, bytes) = kept(book, name)?;
    let read = shelf::any(kinds, &name, Cursor::new(&bytes))?.map_err(|(_, defects)| anyhow!(text::refused(&name, &defects)))?;
    let named = named(&read);
    let present = book.present(Place::Workshop).map_err(said)?;
    let mut photos: Vec<(String, Vec<u8>)> = Vec::new();
    for photo in &named {
        if let Some(found) = photo_of(&present, photo) {
            photos.push((found.file.clone(), book.blob(&found.hash).map_err(said)?));
        }
    }
    let counts = (read.parts().len(), photos.len());
    new_file::make(
        target,
        |file| {
            let mut zip = Zip::new(file, at);
            zip.put(name.clone(), &bytes)?;
            for (name, bytes) in &photos {
                zip.put(name.clone(), bytes)?;
            }
            zip.finish()
        },
        is_as_written,
    )?;
    Ok(counts)
}

/// The picture of a name, whatever its capitals.
fn photo_of<'p>(present: &'p Present, name: &str) -> Option<&'p Attachment> {
    let picture = |a: &Attachment| Media::named(&a.media).is_some_and(Media::is_picture);
    present.attachments().map(|(_, a)| a).rfind(|a| picture(a) && a.file.to_lowercase() == *name)
}

/// Photos that the parts of a shelf name, in small letters.
fn named(shelf: &Shelf) -> BTreeSet<String> {
    shelf.parts().iter().flat_map(|p| &p.photos).map(|name| name.to_lowercase()).collect()
}

/// A shelf from elsewhere, found sound, with its photos.
pub struct Received {
    /// The shelf, then the photos.
    pub files: Judged,
    /// Its name.
    pub name: String,
    /// How many parts are on it.
    pub parts: usize,
    /// Photos that it names and that are not with it.
    pub absent: usize,
}

impl Received {
    /// What it is, in words, and what of the book it would take the place of.
    pub fn words(&self, book: Option<&Book>) -> Result<Vec<String>, BookError> {
        let mut said = vec![share::there(&self.name, self.parts, self.files.0.len() - 1, self.absent)];
        if let Some(book) = book {
            let present = book.present(Place::Workshop)?;
            let other = |a: &Attachment| {
                present.attachments().rfind(|(_, b)| b.file.eq_ignore_ascii_case(&a.file)).is_some_and(|(_, b)| b.hash != a.hash)
            };
            let names: Vec<String> = self.files.0.iter().map(|(a, _)| a).filter(|a| other(a)).map(|a| a.file.clone()).collect();
            if !names.is_empty() {
                said.push(share::takes_place(&names));
            }
        }
        Ok(said)
    }
}

/// Judges such a file whole.
///
/// # Errors
/// Sentences: everything that is wrong with it; nothing of it is to be kept then.
pub fn read(kinds: &Kinds, bytes: &[u8]) -> Result<Received, Vec<String>> {
    let mut zip = ZipArchive::new(Cursor::new(bytes)).map_err(|_| vec![share::BROKEN.to_owned()])?;
    let (mut wrong, mut seen, mut left) = (Vec::new(), BTreeSet::new(), MOST_BYTES);
    let (mut shelves, mut photos) = (Vec::new(), Vec::new());
    for n in 0..zip.len() {
        let mut file = zip.by_index(n).map_err(|_| vec![share::BROKEN.to_owned()])?;
        let Ok(name) = file.name().map(|name| name.to_string()) else { return Err(vec![share::BROKEN.to_owned()]) };
        let plain = !name.starts_with('.')
            && !name.contains(['/', '\\', ':'])
            && super::hidden_sign(&name).is_none()
            && !name.contains(char::is_control);
        if !plain || name.is_empty() {
            wrong.push(share::bad_name(&name.replace(char::is_control, "?")));
            continue;
        }
        if !seen.insert(name.to_lowercase()) {
            wrong.push(share::twice(&name));
            continue;
        }
        // What an archive says of its own sizes is not believed.
        let mut bytes = Vec::new();
        if (&mut file).take(left + 1).read_to_end(&mut bytes).is_err() {
            return Err(vec![share::BROKEN.to_owned()]);
        }
        let Some(rest) = left.checked_sub(bytes.len() as u64) else { return Err(vec![share::too_large(MOST_BYTES)]) };
        left = rest;
        match Media::of(&bytes) {
            _ if shelf::may_be_one(&name) => shelves.push((name, bytes)),
            Ok(media) if media.is_picture() => photos.push(Coming { name, bytes, words: String::new() }),
            _ => wrong.push(share::stray(&name)),
        }
    }
    if shelves.len() != 1 {
        wrong.push(share::shelves(shelves.len()));
    }
    let (Some((name, bytes)), true) = (shelves.pop(), shelves.is_empty()) else { return Err(wrong) };
    let read = shelf::any(kinds, &name, Cursor::new(&bytes)).map_err(|why| vec![why.to_string()])?;
    let read = match read {
        Ok(read) => read,
        Err((whole, defects)) => {
            wrong.extend(defects.iter().map(|d| text::defect(d, &name, &whole)));
            return Err(wrong);
        }
    };
    let named = named(&read);
    wrong.extend(photos.iter().filter(|p| !named.contains(&p.name.to_lowercase())).map(|p| share::unnamed(&p.name)));
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let absent = named.len() - photos.len();
    let parts = read.parts().len();
    let words = text::page::parts_on_it(parts);
    let coming = std::iter::once(Coming { name: name.clone(), bytes, words }).chain(photos).collect();
    let files = judge(coming).map_err(|why| vec![told(&why)])?;
    Ok(Received { files, name, parts, absent })
}

/// Why files are not kept, in words.
pub fn told(why: &NotKept) -> String {
    match why {
        NotKept::Media(why) => page::media_error(why),
        NotKept::NoPhoto(name) => text::page::no_photo(name),
        NotKept::Book(why) => words::book_error(why),
    }
}
