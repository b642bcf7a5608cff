//! What the log comes to, now or at any earlier moment.

use crate::*;
use entry::{COLUMNS, FROM};
use std::collections::HashMap;

/// A moment in the life of the log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moment {
    /// When this entry had just been written. It may be of another job.
    Entry(EntryId),
    /// The last state of the log that was there at this time: up to the last entry of the place with this time or an
    /// earlier one. (So it is a state that really was, even if a clock was set back in between.)
    Time(UnixSeconds),
}

/// An entry that stands: it has not been replaced.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// The entry.
    pub entry: Entry,
    /// The first version of it; the entry itself if it was never replaced.
    pub first: EntryId,
    /// Which version this is, counted from 1.
    pub version: u32,
}

/// The entries that stand, in the order in which their first versions were written; a corrected reading keeps its place.
/// What was taken back is left out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Present {
    /// In order.
    pub standing: Vec<Standing>,
    /// The last entry of the log that went into it, if there was any.
    pub upto: Option<EntryId>,
}

impl Present {
    /// Adds up a log that is in order.
    pub fn of(log: impl IntoIterator<Item = Entry>) -> Present {
        // Position of the standing entry of that id.
        let mut at: HashMap<EntryId, usize> = HashMap::new();
        let mut present = Present::default();
        for entry in log {
            let id = entry.id;
            present.upto = Some(id);
            match entry.replaces.and_then(|old| at.remove(&old)) {
                Some(position) => {
                    let slot = &mut present.standing[position];
                    *slot = Standing { entry, first: slot.first, version: slot.version + 1 };
                    at.insert(id, position);
                }
                None => {
                    at.insert(id, present.standing.len());
                    present.standing.push(Standing { entry, first: id, version: 1 });
                }
            }
        }
        present.standing.retain(|s| s.entry.body.kind() != Some(Kind::Withdrawn));
        present
    }

    /// Entries of one kind.
    pub fn of_kind(&self, kind: Kind) -> impl Iterator<Item = &Standing> {
        self.standing.iter().filter(move |s| s.entry.body.kind() == Some(kind))
    }

    /// The job's headline; there is none for a machine.
    pub fn headline(&self) -> Option<&Headline> {
        self.standing.iter().find_map(|s| if let Body::Headline(h) = &s.entry.body { Some(h) } else { None })
    }

    /// The last word on whose machine it is.
    pub fn custody(&self) -> Option<(&Standing, &Custody)> {
        self.standing.iter().rev().find_map(|s| if let Body::Custody(c) = &s.entry.body { Some((s, c)) } else { None })
    }
}

macro_rules! by_kind {
    ($($(#[$says:meta])* $name:ident: $kind:ident),+ $(,)?) => {
        impl Present {
            $($(#[$says])*
            pub fn $name(&self) -> impl DoubleEndedIterator<Item = (&Standing, &$kind)> {
                self.standing.iter().filter_map(|s| if let Body::$kind(body) = &s.entry.body { Some((s, body)) } else { None })
            })+
        }
    };
}

by_kind! {
    /// Readings of all stages.
    readings: Reading,
    /// Notes.
    notes: Note,
    /// Pictures, recordings, papers.
    attachments: Attachment,
    /// Findings.
    findings: Finding,
    /// Alterations, planned or done.
    alterations: Alteration,
    /// Consents.
    consents: Consent,
    /// Parts.
    parts: Part,
    /// Times.
    works: Work,
    /// Steps of searches for a fault.
    search_steps: SearchStep,
    /// Reminders, done ones too.
    reminders: Reminder,
}

impl Book {
    /// All that was ever written in a place, in order. A machine's log has only what belongs to no job.
    ///
    /// # Errors
    /// [`BookError::UnknownMachine`], [`BookError::UnknownJob`], [`BookError::Database`].
    pub fn log(&self, place: Place) -> Result<Vec<Entry>, BookError> {
        let all = |condition: &str, of: &[&dyn rusqlite::ToSql]| -> Result<Vec<Entry>, BookError> {
            let mut query = self.db.prepare_cached(&format!("SELECT {COLUMNS} FROM {FROM} WHERE {condition} ORDER BY e.id"))?;
            let rows = query.query_map(of, entry::read)?;
            Ok(rows.collect::<Result<_, _>>()?)
        };
        match place {
            Place::Workshop => all("e.machine IS NULL AND e.job IS NULL", &[]),
            Place::Machine(slug) => {
                let found = all("e.machine = (SELECT id FROM machine WHERE slug = ?1) AND e.job IS NULL", &[&slug])?;
                // An empty log may be that of a machine that is not there.
                if found.is_empty() {
                    self.machine(slug)?;
                }
                Ok(found)
            }
            Place::Job(job) => {
                let found = all("e.job = ?1", &[&job.0])?;
                // A job has its headline from the beginning.
                if found.is_empty() { Err(BookError::UnknownJob { job: job.to_string() }) } else { Ok(found) }
            }
        }
    }

    /// How a job, a machine or the workshop stands.
    ///
    /// # Errors
    /// As [`Book::log`].
    pub fn present(&self, place: Place) -> Result<Present, BookError> {
        Ok(Present::of(self.log(place)?))
    }

    /// How it stood at an earlier moment.
    ///
    /// # Errors
    /// As [`Book::log`].
    pub fn as_of(&self, place: Place, moment: Moment) -> Result<Present, BookError> {
        let mut log = self.log(place)?;
        let end = match moment {
            Moment::Entry(id) => log.partition_point(|e| e.id <= id),
            Moment::Time(time) => log.iter().rposition(|e| e.at <= time).map_or(0, |last| last + 1),
        };
        log.truncate(end);
        Ok(Present::of(log))
    }

    /// One entry, standing or not.
    ///
    /// # Errors
    /// [`BookError::UnknownEntry`], [`BookError::Database`].
    pub fn entry(&self, id: EntryId) -> Result<Entry, BookError> {
        entry::by_id(&self.db, id)
    }

    /// All versions of what this entry says, from the first to the one that stands.
    ///
    /// # Errors
    /// [`BookError::UnknownEntry`], [`BookError::Database`].
    pub fn versions(&self, id: EntryId) -> Result<Vec<Entry>, BookError> {
        let one = self.entry(id)?;
        let mut versions = vec![one];
        while let Some(before) = versions[0].replaces {
            versions.insert(0, self.entry(before)?);
        }
        while let Some(after) = entry::next(&self.db, versions[versions.len() - 1].id)? {
            versions.push(after);
        }
        Ok(versions)
    }
}
