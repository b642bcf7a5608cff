//! Devices of the workshop that may open the page.

use crate::{Book, BookError, UnixSeconds};
use rusqlite::params;

/// A device that was let in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Device {
    /// Its number in the book.
    pub id: i64,
    /// What the mechanic calls it.
    pub name: String,
    /// Since when.
    pub since: UnixSeconds,
}

impl Book {
    /// Lets a device in. Of the secret that it holds only `digest` is kept, so that a stolen book opens no door.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn add_device(&mut self, name: &str, digest: &str, since: UnixSeconds) -> Result<(), BookError> {
        self.db.execute("INSERT INTO device (name, digest, since) VALUES (?1, ?2, ?3)", params![name, digest, since.0])?;
        Ok(())
    }

    /// Is a device with this digest let in?
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn knows_device(&self, digest: &str) -> Result<bool, BookError> {
        let mut query = self.db.prepare_cached("SELECT 1 FROM device WHERE digest = ?1")?;
        Ok(query.exists([digest])?)
    }

    /// Every device, the newest first.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn devices(&self) -> Result<Vec<Device>, BookError> {
        let mut query = self.db.prepare_cached("SELECT id, name, since FROM device ORDER BY id DESC")?;
        let rows =
            query.query_map([], |row| Ok(Device { id: row.get(0)?, name: row.get(1)?, since: UnixSeconds(row.get(2)?) }))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Lets a device in no longer. One that is not there is not missed.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn forget_device(&mut self, id: i64) -> Result<(), BookError> {
        self.db.execute("DELETE FROM device WHERE id = ?1", [id])?;
        Ok(())
    }
}
