//! Search as typed.
//!
//! A machine is found by its name, slug and what is noted on it; a job by its number, complaint, notes, papers, parts and
//! custody, and by all that finds its machine. So "corran smith" finds the jobs on Smith's Corran, though no one entry has
//! both words. Only what stands is found. Case and accents do not matter, and the beginning of a word is enough.

use crate::{
    Book, BookError, JobRecord, Kind, MachineLine,
    body::Body,
    jobs::{self, JOB},
};
use rusqlite::{Connection, params};

/// Words looked for at most [1]; the rest of a longer text is not looked at. A card is found by two or three.
const MOST_WORDS: usize = 12;
/// Letters of a word looked at [1].
const LONGEST_WORD: usize = 60;

/// What a search found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// Machines, the last added first.
    pub machines: Vec<MachineLine>,
    /// Jobs, the last opened first.
    pub jobs: Vec<JobRecord>,
}

impl Book {
    /// Machines and jobs that have all the words, at most `most` of each. Signs between words are taken for spaces;
    /// a text without letters and figures finds nothing.
    ///
    /// # Errors
    /// [`BookError::Database`], never because of the text.
    pub fn search(&self, text: &str, most: u32) -> Result<Found, BookError> {
        let Some(words) = matching(text) else { return Ok(Found::default()) };
        let mut machines = self.db.prepare_cached(
            "SELECT m.slug, m.name, (SELECT count(*) FROM job WHERE machine = m.id),
                    (SELECT opened_at FROM job WHERE machine = m.id ORDER BY id DESC LIMIT 1)
             FROM (SELECT rowid AS id FROM machine_words WHERE machine_words MATCH ?1 ORDER BY rowid DESC LIMIT ?2) found
             JOIN machine m ON m.id = found.id ORDER BY m.id DESC",
        )?;
        let mut jobs = self.db.prepare_cached(&format!(
            "SELECT {JOB} FROM (SELECT rowid AS id FROM job_words WHERE job_words MATCH ?1 ORDER BY rowid DESC LIMIT ?2) found
             JOIN job j ON j.id = found.id JOIN machine m ON m.id = j.machine
             JOIN entry e ON e.job = j.id AND e.kind = 'headline'
             AND NOT EXISTS (SELECT 1 FROM entry later WHERE later.replaces = e.id) ORDER BY j.id DESC"
        ))?;
        Ok(Found {
            machines: machines.query_map(params![words, most], jobs::line)?.collect::<Result<_, _>>()?,
            jobs: jobs.query_map(params![words, most], jobs::job)?.collect::<Result<_, _>>()?,
        })
    }
}

/// The text as an FTS5 query: every word in quotes, so that nothing in it is taken for syntax, and its end left open.
/// (SQLite, "FTS5 full-text query syntax", sections 3.1 and 3.3.)
fn matching(text: &str) -> Option<String> {
    let words: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .take(MOST_WORDS)
        .map(|w| format!("\"{}\"*", w.chars().take(LONGEST_WORD).collect::<String>()))
        .collect();
    (!words.is_empty()).then(|| words.join(" "))
}

/// Works out again by which words a job is found.
pub(crate) fn index_job(db: &Connection, job: i64) -> Result<(), BookError> {
    let (machine, mut words): (i64, String) = db
        .prepare_cached("SELECT m.id, m.name || ' ' || m.slug || ' ' || j.number FROM job j JOIN machine m ON m.id = j.machine WHERE j.id = ?1")?
        .query_row([job], |row| Ok((row.get(0)?, row.get(1)?)))?;
    gather(db, "e.job = ?1", job, &mut words)?;
    gather(db, "e.machine = ?1 AND e.job IS NULL", machine, &mut words)?;
    db.prepare_cached("INSERT OR REPLACE INTO job_words (rowid, words) VALUES (?1, ?2)")?.execute(params![job, words])?;
    Ok(())
}

/// Works out again by which words a machine and its jobs are found.
pub(crate) fn index_machine(db: &Connection, machine: i64) -> Result<(), BookError> {
    let mut words: String =
        db.prepare_cached("SELECT name || ' ' || slug FROM machine WHERE id = ?1")?.query_row([machine], |row| row.get(0))?;
    gather(db, "e.machine = ?1 AND e.job IS NULL", machine, &mut words)?;
    db.prepare_cached("INSERT OR REPLACE INTO machine_words (rowid, words) VALUES (?1, ?2)")?.execute(params![machine, words])?;
    let mut query = db.prepare_cached("SELECT id FROM job WHERE machine = ?1")?;
    let jobs: Vec<i64> = query.query_map([machine], |row| row.get(0))?.collect::<Result<_, _>>()?;
    jobs.into_iter().try_for_each(|job| index_job(db, job))
}

fn gather(db: &Connection, condition: &str, id: i64, words: &mut String) -> Result<(), BookError> {
    let kinds: Vec<String> = Kind::WORDY.iter().map(|k| format!("'{}'", k.name())).collect();
    let mut query = db.prepare_cached(&format!(
        "SELECT e.kind, e.body FROM entry e WHERE {condition} AND e.kind IN ({})
         AND NOT EXISTS (SELECT 1 FROM entry later WHERE later.replaces = e.id) ORDER BY e.id",
        kinds.join(", ")
    ))?;
    let mut rows = query.query([id])?;
    while let Some(row) = rows.next()? {
        for word in Body::read(row.get_ref(0)?.as_str()?, row.get_ref(1)?.as_str()?).words() {
            words.push(' ');
            words.push_str(word);
        }
    }
    Ok(())
}
