//! The tables, and how an older book is brought forward.

/// One step per version; the book's `user_version` is the number of steps done. A step that was ever released is
/// never edited: a change is a new step at the end.
const STEPS: [&str; 3] = [MACHINES, SURFACES, DEVICES];

/// Newest version that this build writes and reads.
pub const VERSION: u32 = STEPS.len() as u32;

/// Marks the file as a job book: "TkOv" in ASCII, as SQLite's `application_id` wants a 32-bit number.
pub(crate) const APPLICATION_ID: u32 = 0x546B_4F76;

/// Machines, and every text that each ever had. Revisions are added, never changed or removed: the triggers refuse.
const MACHINES: &str = "
CREATE TABLE machine (
    id       INTEGER PRIMARY KEY,
    slug     TEXT NOT NULL UNIQUE,
    name     TEXT NOT NULL,
    added_at INTEGER NOT NULL
) STRICT;
CREATE TABLE revision (
    machine INTEGER NOT NULL REFERENCES machine (id) ON DELETE RESTRICT,
    number  INTEGER NOT NULL CHECK (number >= 1),
    text    TEXT NOT NULL,
    note    TEXT NOT NULL,
    kept_at INTEGER NOT NULL,
    PRIMARY KEY (machine, number)
) STRICT;
CREATE TRIGGER revision_stays_as_written BEFORE UPDATE ON revision
    BEGIN SELECT RAISE(ABORT, 'a revision is never changed'); END;
CREATE TRIGGER revision_stays BEFORE DELETE ON revision
    BEGIN SELECT RAISE(ABORT, 'a revision is never removed'); END;
";

/// Computed surfaces by the hash of all that went into them: losing one costs seconds, never a fact.
const SURFACES: &str = "
CREATE TABLE surface (
    key     TEXT PRIMARY KEY,
    data    BLOB NOT NULL,
    kept_at INTEGER NOT NULL
) STRICT;
";

/// Devices of the workshop's network that were let in. A device is not part of any job's history and can be forgotten.
const DEVICES: &str = "
CREATE TABLE device (
    id     INTEGER PRIMARY KEY,
    name   TEXT NOT NULL,
    digest TEXT NOT NULL UNIQUE,
    since  INTEGER NOT NULL
) STRICT;
";

/// Brings an open transaction from `from` to `to`.
pub(crate) fn bring_forward(db: &rusqlite::Connection, from: u32, to: u32) -> rusqlite::Result<()> {
    for step in &STEPS[from as usize..to as usize] {
        db.execute_batch(step)?;
    }
    db.pragma_update(None, "application_id", APPLICATION_ID)?;
    db.pragma_update(None, "user_version", to)
}
