//! The tables, and how an older book is brought forward.

/// One step per version; the book's `user_version` is the number of steps done. A step that was ever released is
/// never edited: a change is a new step at the end.
const STEPS: [&str; 5] = [MACHINES, SURFACES, JOBS, DEVICES, SEARCHES];

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

/// Jobs, the log, and what hangs on it. All four tables are only ever added to, and the triggers see to it;
/// `INSERT OR REPLACE`, which removes without being asked, is refused as well. An entry belongs to a job (then its
/// machine is the job's), to a machine, or to the workshop as a whole. The `…_words` tables are an index of the present
/// state and hold no text of their own; they can be made again from the log.
const JOBS: &str = "
CREATE TABLE job (
    id        INTEGER PRIMARY KEY,
    machine   INTEGER NOT NULL REFERENCES machine (id) ON DELETE RESTRICT,
    number    TEXT NOT NULL UNIQUE CHECK (number GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9][0-9][0-9]*'),
    opened_at INTEGER NOT NULL,
    UNIQUE (machine, id)
) STRICT;
CREATE TABLE blob (
    hash    TEXT PRIMARY KEY CHECK (length(hash) = 64),
    bytes   BLOB NOT NULL,
    kept_at INTEGER NOT NULL
) STRICT;
CREATE TABLE entry (
    id       INTEGER PRIMARY KEY,
    job      INTEGER,
    machine  INTEGER REFERENCES machine (id) ON DELETE RESTRICT,
    kind     TEXT NOT NULL,
    body     TEXT NOT NULL CHECK (json_valid(body)),
    replaces INTEGER UNIQUE REFERENCES entry (id) ON DELETE RESTRICT,
    who      TEXT NOT NULL,
    at       INTEGER NOT NULL,
    token    TEXT UNIQUE,
    due      INTEGER,
    FOREIGN KEY (machine, job) REFERENCES job (machine, id) ON DELETE RESTRICT,
    CHECK (job IS NULL OR machine IS NOT NULL),
    CHECK (replaces < id)
) STRICT;
CREATE INDEX entry_of_job ON entry (job) WHERE job IS NOT NULL;
CREATE INDEX entry_of_machine ON entry (machine) WHERE job IS NULL;
CREATE INDEX entry_due ON entry (due) WHERE due IS NOT NULL;
CREATE INDEX entry_headline ON entry (job) WHERE kind = 'headline';
CREATE INDEX entry_state ON entry (json_extract(body, '$.state'), job) WHERE kind = 'headline';
CREATE INDEX entry_instrument ON entry (json_extract(body, '$.name')) WHERE kind = 'instrument';

CREATE TRIGGER job_stays_as_written BEFORE UPDATE ON job
    BEGIN SELECT RAISE(ABORT, 'a job is never changed'); END;
CREATE TRIGGER job_stays BEFORE DELETE ON job
    BEGIN SELECT RAISE(ABORT, 'a job is never removed'); END;
CREATE TRIGGER job_is_added BEFORE INSERT ON job
    WHEN EXISTS (SELECT 1 FROM job WHERE id = NEW.id OR number = NEW.number)
    BEGIN SELECT RAISE(ABORT, 'a job is never replaced'); END;
CREATE TRIGGER entry_stays_as_written BEFORE UPDATE ON entry
    BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;
CREATE TRIGGER entry_stays BEFORE DELETE ON entry
    BEGIN SELECT RAISE(ABORT, 'an entry is never removed'); END;
CREATE TRIGGER entry_is_added BEFORE INSERT ON entry
    WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id OR replaces = NEW.replaces OR token = NEW.token)
    BEGIN SELECT RAISE(ABORT, 'an entry is never written over'); END;
CREATE TRIGGER blob_stays_as_written BEFORE UPDATE ON blob
    BEGIN SELECT RAISE(ABORT, 'a blob is never changed'); END;
CREATE TRIGGER blob_stays BEFORE DELETE ON blob
    BEGIN SELECT RAISE(ABORT, 'a blob is never removed'); END;
CREATE TRIGGER blob_is_added BEFORE INSERT ON blob
    WHEN EXISTS (SELECT 1 FROM blob WHERE hash = NEW.hash)
    BEGIN SELECT RAISE(ABORT, 'a blob is never written over'); END;
CREATE TRIGGER revision_is_added BEFORE INSERT ON revision
    WHEN EXISTS (SELECT 1 FROM revision WHERE machine = NEW.machine AND number = NEW.number)
    BEGIN SELECT RAISE(ABORT, 'a revision is never written over'); END;
CREATE TRIGGER machine_stays BEFORE DELETE ON machine
    BEGIN SELECT RAISE(ABORT, 'a machine is never removed'); END;

CREATE VIRTUAL TABLE machine_words USING fts5 (
    words, content = '', contentless_delete = 1, prefix = '1 2 3', tokenize = 'unicode61 remove_diacritics 2'
);
CREATE VIRTUAL TABLE job_words USING fts5 (
    words, content = '', contentless_delete = 1, prefix = '1 2 3', tokenize = 'unicode61 remove_diacritics 2'
);
INSERT INTO machine_words (rowid, words) SELECT id, name || ' ' || slug FROM machine;
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

/// Steps of searches are found without going through the whole log: those of finished jobs are counted with every search.
const SEARCHES: &str = "
CREATE INDEX entry_search ON entry (job) WHERE kind = 'search_step';
";

/// Brings an open transaction from `from` to `to`.
pub(crate) fn bring_forward(db: &rusqlite::Connection, from: u32, to: u32) -> rusqlite::Result<()> {
    for step in &STEPS[from as usize..to as usize] {
        db.execute_batch(step)?;
    }
    db.pragma_update(None, "application_id", APPLICATION_ID)?;
    db.pragma_update(None, "user_version", to)
}

/// The file has the tables, indexes and triggers that this version makes, and no others: a file from elsewhere may have
/// brought triggers of its own, which would run when something is written.
pub(crate) fn is_ours(db: &rusqlite::Connection) -> rusqlite::Result<bool> {
    let list = |db: &rusqlite::Connection| -> rusqlite::Result<Vec<(String, String, Option<String>)>> {
        let mut query = db.prepare("SELECT type, name, sql FROM sqlite_schema ORDER BY type, name")?;
        query.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?.collect()
    };
    let fresh = rusqlite::Connection::open_in_memory()?;
    bring_forward(&fresh, 0, VERSION)?;
    Ok(list(db)? == list(&fresh)?)
}
