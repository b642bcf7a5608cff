//! Writing to the log: one transaction, all or nothing.

use crate::{
    Body, Book, BookError, Draft, Entry, EntryId, Headline, JobId, Kind, MOST_BODY_BYTES, Place, Stamp, Withdrawn, entry, search,
};
use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};

/// Longest token [bytes]: a device's name and a counter or a random number fit well.
pub const LONGEST_TOKEN: usize = 100;

/// What became of a draft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Appended {
    /// The entry in the book.
    pub id: EntryId,
    /// It was there already: the same draft came before under the same token.
    pub again: bool,
}

/// A place with its numbers in the database.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) struct Where {
    pub job: Option<i64>,
    pub machine: Option<i64>,
}

impl Book {
    /// Opens a job on a machine. Its number is the year (UTC) of `stamp` and a count within the year. With a token, the
    /// same call again gives the same job.
    ///
    /// # Errors
    /// [`BookError::UnknownMachine`], [`BookError::Unfit`], [`BookError::TokenReused`], or the disk's.
    pub fn open_job(
        &mut self,
        machine: &str,
        stamp: Stamp,
        headline: Headline,
        token: Option<&str>,
    ) -> Result<(JobId, Appended), BookError> {
        let draft = Draft { body: headline.into(), replaces: None, token: token.map(str::to_owned) };
        let write = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let at = find(&write, Place::Machine(machine))?;
        if let Some(id) = sent_before(&write, &draft, |w| w.job.is_some() && w.machine == at.machine)? {
            let job = entry::by_id(&write, id)?.job.expect("a headline belongs to a job");
            return Ok((job, Appended { id, again: true }));
        }
        let (job, id) = open_in(&write, at.machine, stamp, &draft)?;
        search::index_job(&write, job)?;
        write.commit()?;
        Ok((JobId(job), Appended { id, again: false }))
    }

    /// Writes entries, all or none, and gives where each went. When this returns, they are on the disk.
    ///
    /// # Errors
    /// [`BookError::Replaced`] with the entry that is there now if a draft's `replaces` is no longer the newest,
    /// [`BookError::TokenReused`], [`BookError::Unfit`], [`BookError::OtherKind`], [`BookError::OneHeadline`],
    /// [`BookError::UnknownEntry`] (also when `replaces` is in another place), [`BookError::UnknownJob`],
    /// [`BookError::UnknownMachine`], [`BookError::UnknownBlob`], [`BookError::DiskFull`], [`BookError::ReadOnly`],
    /// [`BookError::Busy`]. Nothing is written then.
    pub fn append(&mut self, place: Place, stamp: Stamp, drafts: &[Draft]) -> Result<Vec<Appended>, BookError> {
        self.append_each(place, drafts.iter().map(|draft| (stamp, draft)))
    }

    /// As [`Book::append`], each entry with a stamp of its own.
    ///
    /// # Errors
    /// As [`Book::append`].
    pub fn append_each<'d>(
        &mut self,
        place: Place,
        drafts: impl IntoIterator<Item = (Stamp<'d>, &'d Draft)>,
    ) -> Result<Vec<Appended>, BookError> {
        let write = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let appended = append_in(&write, place, drafts)?;
        write.commit()?;
        Ok(appended)
    }

    /// What came before under a token. Who sends it again takes from here what the first time settled, such as the time,
    /// so that the draft is the same.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn sent(&self, token: &str) -> Result<Option<Entry>, BookError> {
        under(&self.db, token)?.map(|id| entry::by_id(&self.db, id)).transpose()
    }

    /// Takes an entry back. It stays in the log.
    ///
    /// # Errors
    /// As [`Book::append`].
    pub fn withdraw(&mut self, entry: EntryId, why: &str, stamp: Stamp, token: Option<&str>) -> Result<Appended, BookError> {
        let body = Withdrawn { why: why.to_owned() }.into();
        self.follow(entry, stamp, Draft { body, replaces: Some(entry), token: token.map(str::to_owned) })
    }

    /// Undoes what `entry` did: the entry that it replaced is written again in its place, and one that replaced nothing
    /// is taken back.
    ///
    /// # Errors
    /// As [`Book::append`].
    pub fn undo(&mut self, entry: EntryId, stamp: Stamp, token: Option<&str>) -> Result<Appended, BookError> {
        match entry::by_id(&self.db, entry)?.replaces {
            None => self.withdraw(entry, "", stamp, token),
            Some(before) => {
                let body = entry::by_id(&self.db, before)?.body;
                self.follow(entry, stamp, Draft { body, replaces: Some(entry), token: token.map(str::to_owned) })
            }
        }
    }

    /// Writes where another entry is.
    fn follow(&mut self, entry: EntryId, stamp: Stamp, draft: Draft) -> Result<Appended, BookError> {
        let old = entry::by_id(&self.db, entry)?;
        let place = match (old.job, &old.machine) {
            (Some(job), _) => Place::Job(job),
            (None, Some(machine)) => Place::Machine(machine),
            (None, None) => Place::Workshop,
        };
        Ok(self.append(place, stamp, &[draft])?[0])
    }
}

/// A job and its headline, in a transaction of the caller's, who sees to the index of words.
pub(crate) fn open_in(
    write: &Connection,
    machine: Option<i64>,
    stamp: Stamp,
    headline: &Draft,
) -> Result<(i64, EntryId), BookError> {
    let number = next_number(write, stamp.at.year())?;
    write.execute("INSERT INTO job (machine, number, opened_at) VALUES (?1, ?2, ?3)", params![machine, number, stamp.at.0])?;
    let job = write.last_insert_rowid();
    let id = insert(write, Where { job: Some(job), machine }, stamp, headline)?;
    Ok((job, id))
}

/// [`Book::append_each`] in an open transaction, which the caller ends.
pub(crate) fn append_in<'d>(
    write: &Connection,
    place: Place,
    drafts: impl IntoIterator<Item = (Stamp<'d>, &'d Draft)>,
) -> Result<Vec<Appended>, BookError> {
    let at = find(write, place)?;
    let mut appended = Vec::new();
    let mut wordy = false;
    for (stamp, draft) in drafts {
        let before = sent_before(write, draft, |w| *w == at)?;
        appended.push(match before {
            Some(id) => Appended { id, again: true },
            None => {
                wordy |= may_replace(write, at, draft)?.is_some_and(is_wordy) || draft.body.kind().is_some_and(is_wordy);
                Appended { id: insert(write, at, stamp, draft)?, again: false }
            }
        });
    }
    if wordy {
        match at {
            Where { job: Some(job), .. } => search::index_job(write, job)?,
            Where { machine: Some(machine), .. } => search::index_machine(write, machine)?,
            _ => {}
        }
    }
    Ok(appended)
}

fn is_wordy(kind: Kind) -> bool {
    Kind::WORDY.contains(&kind)
}

fn find(db: &Connection, place: Place) -> Result<Where, BookError> {
    match place {
        Place::Workshop => Ok(Where { job: None, machine: None }),
        Place::Machine(slug) => {
            let id = db.query_row("SELECT id FROM machine WHERE slug = ?1", [slug], |row| row.get(0)).optional()?;
            let machine = id.ok_or_else(|| BookError::UnknownMachine { slug: slug.to_owned() })?;
            Ok(Where { job: None, machine: Some(machine) })
        }
        Place::Job(JobId(job)) => {
            let machine = db.query_row("SELECT machine FROM job WHERE id = ?1", [job], |row| row.get(0)).optional()?;
            let machine = machine.ok_or(BookError::UnknownJob { job: JobId(job).to_string() })?;
            Ok(Where { job: Some(job), machine: Some(machine) })
        }
    }
}

/// The entry that was kept under a token.
pub(crate) fn under(db: &Connection, token: &str) -> Result<Option<EntryId>, BookError> {
    let mut query = db.prepare_cached("SELECT id FROM entry WHERE token = ?1")?;
    Ok(query.query_row([token], |row| row.get(0).map(EntryId)).optional()?)
}

/// The entry that an equal draft became before, if its token is in the book.
fn sent_before(db: &Connection, draft: &Draft, here: impl Fn(&Where) -> bool) -> Result<Option<EntryId>, BookError> {
    let Some(token) = draft.token.as_deref() else { return Ok(None) };
    if token.is_empty() || token.len() > LONGEST_TOKEN {
        return Err(BookError::Unfit { kind: draft.body.kind_name().to_owned(), field: "token" });
    }
    let Some(id) = under(db, token)? else { return Ok(None) };
    let (there, at) = place_of(db, id)?;
    if here(&at) && there.body == draft.body && there.replaces == draft.replaces {
        Ok(Some(there.id))
    } else {
        Err(BookError::TokenReused { token: token.to_owned(), there: Box::new(there) })
    }
}

/// Looks whether a draft may take the place that it wants; gives the kind of what it replaces.
fn may_replace(db: &Connection, at: Where, draft: &Draft) -> Result<Option<Kind>, BookError> {
    let kind = draft.body.kind();
    let Some(old) = draft.replaces else {
        return match kind {
            Some(Kind::Headline) => Err(BookError::OneHeadline),
            Some(Kind::Withdrawn) => Err(BookError::Unfit { kind: Kind::Withdrawn.name().to_owned(), field: "replaces" }),
            _ => Ok(None),
        };
    };
    let (there, found) = place_of(db, old)?;
    if found != at {
        return Err(BookError::UnknownEntry { entry: old });
    }
    if let Some(later) = entry::next(db, old)? {
        return Err(BookError::Replaced { wanted: old, now: Box::new(entry::newest(db, later)?) });
    }
    let first = told(db, there)?;
    match kind {
        Some(Kind::Withdrawn) if first.body.kind() == Some(Kind::Headline) => Err(BookError::OneHeadline),
        Some(Kind::Withdrawn) => Ok(first.body.kind()),
        _ if first.body.kind_name() == draft.body.kind_name() => Ok(kind),
        _ => Err(BookError::OtherKind { entry: old, is: first.body.kind_name().to_owned() }),
    }
}

fn place_of(db: &Connection, id: EntryId) -> Result<(Entry, Where), BookError> {
    let entry = entry::by_id(db, id)?;
    let mut query = db.prepare_cached("SELECT job, machine FROM entry WHERE id = ?1")?;
    let at = query.query_row([id.0], |row| Ok(Where { job: row.get(0)?, machine: row.get(1)? }))?;
    Ok((entry, at))
}

/// The last that was said before it was taken back; the entry itself if it was not.
fn told(db: &Connection, from: Entry) -> Result<Entry, BookError> {
    let mut at = from;
    while let (Some(Kind::Withdrawn), Some(before)) = (at.body.kind(), at.replaces) {
        at = entry::by_id(db, before)?;
    }
    Ok(at)
}

pub(crate) fn insert(db: &Connection, at: Where, stamp: Stamp, draft: &Draft) -> Result<EntryId, BookError> {
    let kind = draft.body.kind_name();
    let unfit = |field| BookError::Unfit { kind: kind.to_owned(), field };
    // What a newer version wrote may be written again to undo something, and only then.
    let written_again = matches!(draft.body, Body::Unknown(_)) && draft.replaces.is_some();
    if let Some(field) = draft.body.unfit().filter(|_| !written_again) {
        return Err(unfit(field));
    }
    let json = draft.body.json().map_err(|_| unfit("body"))?;
    if json.len() > MOST_BODY_BYTES {
        return Err(unfit("length"));
    }
    // The one check that covers all: what is kept reads back as what was given.
    if Body::read(kind, &json) != draft.body {
        return Err(unfit("body"));
    }
    if let Body::Attachment(attachment) = &draft.body {
        let there = db.query_row("SELECT 1 FROM blob WHERE hash = ?1", [attachment.hash.as_str()], |_| Ok(())).optional()?;
        if there.is_none() {
            return Err(BookError::UnknownBlob { hash: attachment.hash.clone() });
        }
    }
    let mut write = db.prepare_cached(
        "INSERT INTO entry (job, machine, kind, body, replaces, who, at, token, due) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
    )?;
    let (replaces, due) = (draft.replaces.map(|e| e.0), draft.body.due().map(|d| d.0));
    write.execute(params![at.job, at.machine, kind, json, replaces, stamp.who, stamp.at.0, draft.token, due])?;
    Ok(EntryId(db.last_insert_rowid()))
}

fn next_number(db: &Connection, year: i64) -> Result<String, BookError> {
    // Four figures, so that numbers of a year stand together; the clock of a machine without battery may say 1970.
    let year = format!("{:04}", year.clamp(0, 9999));
    let used: i64 = db.query_row(
        "SELECT coalesce(max(CAST(substr(number, 6) AS INTEGER)), 0) FROM job WHERE number >= ?1 || '-' AND number < ?1 || '.'",
        [&year],
        |row| row.get(0),
    )?;
    Ok(format!("{year}-{:04}", used + 1))
}
