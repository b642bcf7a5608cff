//! Computed torque surfaces, kept so that a machine opens at once the next time.

use crate::{Book, BookError, UnixSeconds};
use rusqlite::{OptionalExtension, params};

/// Surfaces kept at most. Beyond it the oldest go: each is some 100 kB and costs seconds to compute again.
const MOST_SURFACES: u32 = 200;

impl Book {
    /// The bytes kept under `key`, the hash of all that went into the computation and of the model's version.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn surface(&self, key: &str) -> Result<Option<Vec<u8>>, BookError> {
        let mut query = self.db.prepare_cached("SELECT data FROM surface WHERE key = ?1")?;
        Ok(query.query_row([key], |row| row.get(0)).optional()?)
    }

    /// Keeps a surface. The same key again replaces it: the same inputs give the same surface.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn keep_surface(&mut self, key: &str, data: &[u8], at: UnixSeconds) -> Result<(), BookError> {
        let write = self.db.transaction()?;
        write.execute("INSERT OR REPLACE INTO surface (key, data, kept_at) VALUES (?1, ?2, ?3)", params![key, data, at.0])?;
        write.execute(
            "DELETE FROM surface WHERE key NOT IN (SELECT key FROM surface ORDER BY kept_at DESC, key LIMIT ?1)",
            [MOST_SURFACES],
        )?;
        write.commit()?;
        Ok(())
    }
}
