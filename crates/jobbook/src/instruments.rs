//! What one measures with.

use crate::{Appended, Body, Book, BookError, Draft, Instrument, JobId, Place, Stamp, append, jobs::STANDS};
use rusqlite::{Connection, OptionalExtension, TransactionBehavior};

impl Book {
    /// Every instrument of the workshop with the unit and ± that were last kept for it, by name and quantity: a meter
    /// shows volts in one place and ohms in another.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn instruments(&self) -> Result<Vec<Instrument>, BookError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT e.body, max(e.id) FROM entry e WHERE e.kind = 'instrument' AND {STANDS}
             GROUP BY json_extract(e.body, '$.name'), coalesce(json_extract(e.body, '$.what'), '')"
        ))?;
        let rows = query.query_map([], |row| Ok(Body::read("instrument", row.get_ref(0)?.as_str()?)))?;
        let mut found = Vec::new();
        for body in rows {
            if let Body::Instrument(instrument) = body? {
                found.push(instrument);
            }
        }
        Ok(found)
    }

    /// Writes a reading and what its instrument shows for next time: both or neither. Sent again under its token, it is
    /// there once and the instrument stays as it was remembered since. A reading without ± does not make the book
    /// forget the one that it remembers.
    ///
    /// # Errors
    /// As [`Book::append`].
    pub fn take(
        &mut self,
        job: JobId,
        stamp: Stamp,
        reading: Draft,
        instrument: Option<Instrument>,
    ) -> Result<Appended, BookError> {
        let write = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let kept = append::append_in(&write, Place::Job(job), [(stamp, &reading)])?[0];
        if let Some(now) = instrument.filter(|_| !kept.again) {
            let before = remembered(&write, &now)?;
            let news =
                before.is_none_or(|b| b.unit != now.unit || (b.plus_minus != now.plus_minus && !now.plus_minus.is_empty()));
            if news {
                append::append_in(&write, Place::Workshop, [(stamp, &Draft::new(now))])?;
            }
        }
        write.commit()?;
        Ok(kept)
    }
}

/// What was kept last for the same instrument and quantity.
fn remembered(db: &Connection, like: &Instrument) -> Result<Option<Instrument>, BookError> {
    let mut query = db.prepare_cached(&format!(
        "SELECT e.body FROM entry e WHERE e.kind = 'instrument' AND json_extract(e.body, '$.name') = ?1
         AND coalesce(json_extract(e.body, '$.what'), '') = ?2 AND {STANDS} ORDER BY e.id DESC LIMIT 1"
    ))?;
    let body =
        query.query_row([&like.name, &like.what], |row| Ok(Body::read("instrument", row.get_ref(0)?.as_str()?))).optional()?;
    Ok(body.and_then(|body| if let Body::Instrument(i) = body { Some(i) } else { None }))
}
