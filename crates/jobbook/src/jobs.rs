//! Lists: jobs, machines, what is due.

use crate::{Book, BookError, Entry, Headline, JobId, JobState, SearchStep, UnixSeconds, body::Body, entry};
use rusqlite::{OptionalExtension, Row, params};
use std::fmt;

/// A job as a list shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct JobRecord {
    /// Its place in the book.
    pub id: JobId,
    /// Its number on paper and in addresses, such as `2026-0014`.
    pub number: String,
    /// Slug of the machine.
    pub machine: String,
    /// Name of the machine as its newest revision has it.
    pub machine_name: String,
    /// When it was opened.
    pub opened_at: UnixSeconds,
    /// How it stands.
    pub headline: Headline,
}

/// A machine as a list shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MachineLine {
    /// Its place in addresses.
    pub slug: String,
    /// Name as the newest revision has it.
    pub name: String,
    /// How many jobs it ever had.
    pub jobs: u32,
    /// When the last of them was opened.
    pub last_opened: Option<UnixSeconds>,
}

/// A reminder that is due.
#[derive(Clone, Debug, PartialEq)]
pub struct Due {
    /// The reminder.
    pub entry: Entry,
    /// Name of the machine, unless it is the workshop's.
    pub machine_name: Option<String>,
    /// Number of the job, unless it is the machine's or the workshop's.
    pub job_number: Option<String>,
}

/// The search for a fault of a job that was handed over.
#[derive(Clone, Debug, PartialEq)]
pub struct FinishedSearch {
    /// The job.
    pub job: JobId,
    /// Its number.
    pub number: String,
    /// Its steps that stand.
    pub steps: Vec<SearchStep>,
}

impl fmt::Display for JobId {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(f, "#{}", self.0)
    }
}

/// Columns of a job; `j` is the job, `m` its machine, `e` its present headline.
pub(crate) const JOB: &str = "j.id, j.number, m.slug, m.name, j.opened_at, e.body";
/// Where they come from, but for the table to begin with.
pub(crate) const STANDS: &str = "NOT EXISTS (SELECT 1 FROM entry later WHERE later.replaces = e.id)";

/// The query for jobs under a condition.
fn jobs_where(condition: &str) -> String {
    format!(
        "SELECT {JOB} FROM job j JOIN machine m ON m.id = j.machine
         JOIN entry e ON e.job = j.id AND e.kind = 'headline' AND {STANDS} WHERE {condition}"
    )
}

pub(crate) fn job(row: &Row) -> rusqlite::Result<JobRecord> {
    let headline = match Body::read("headline", row.get_ref(5)?.as_str()?) {
        Body::Headline(headline) => headline,
        // Of a newer version: the job is listed all the same.
        _ => Headline::default(),
    };
    Ok(JobRecord {
        id: JobId(row.get(0)?),
        number: row.get(1)?,
        machine: row.get(2)?,
        machine_name: row.get(3)?,
        opened_at: UnixSeconds(row.get(4)?),
        headline,
    })
}

impl Book {
    /// One job.
    ///
    /// # Errors
    /// [`BookError::UnknownJob`], [`BookError::Database`].
    pub fn job(&self, id: JobId) -> Result<JobRecord, BookError> {
        let mut query = self.db.prepare_cached(&jobs_where("j.id = ?1"))?;
        query.query_row([id.0], job).optional()?.ok_or_else(|| BookError::UnknownJob { job: id.to_string() })
    }

    /// The job of that number.
    ///
    /// # Errors
    /// [`BookError::UnknownJob`], [`BookError::Database`].
    pub fn job_by_number(&self, number: &str) -> Result<JobRecord, BookError> {
        let mut query = self.db.prepare_cached(&jobs_where("j.number = ?1"))?;
        query.query_row([number], job).optional()?.ok_or_else(|| BookError::UnknownJob { job: number.to_owned() })
    }

    /// Jobs of one machine over the years, newest first.
    ///
    /// # Errors
    /// [`BookError::UnknownMachine`], [`BookError::Database`].
    pub fn jobs_of(&self, slug: &str) -> Result<Vec<JobRecord>, BookError> {
        let mut query = self.db.prepare_cached(&jobs_where("m.slug = ?1 ORDER BY j.id DESC"))?;
        let found: Vec<_> = query.query_map([slug], job)?.collect::<Result<_, _>>()?;
        if found.is_empty() {
            self.machine(slug)?;
        }
        Ok(found)
    }

    /// A page of jobs, newest first: at most `most` that were opened before the job `before`, in one state or in any.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn jobs(&self, state: Option<JobState>, before: Option<JobId>, most: u32) -> Result<Vec<JobRecord>, BookError> {
        let before = before.map_or(i64::MAX, |job| job.0);
        let rows = match state {
            None => {
                let mut query = self.db.prepare_cached(&jobs_where("j.id < ?1 ORDER BY j.id DESC LIMIT ?2"))?;
                query.query_map(params![before, most], job)?.collect::<Result<_, _>>()?
            }
            Some(state) => {
                // From the headlines of that state: few jobs are open in a book of many years.
                let mut query = self.db.prepare_cached(&format!(
                    "SELECT {JOB} FROM entry e JOIN job j ON j.id = e.job JOIN machine m ON m.id = j.machine
                     WHERE e.kind = 'headline' AND json_extract(e.body, '$.state') = ?3 AND e.job < ?1 AND {STANDS}
                     ORDER BY e.job DESC LIMIT ?2"
                ))?;
                query.query_map(params![before, most, state.name()], job)?.collect::<Result<_, _>>()?
            }
        };
        Ok(rows)
    }

    /// Searches for a fault, job by job, of jobs that were handed over.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn finished_searches(&self) -> Result<Vec<FinishedSearch>, BookError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT e.job, e.body, j.number FROM entry e JOIN job j ON j.id = e.job WHERE e.kind = 'search_step' AND {STANDS}
             AND EXISTS (SELECT 1 FROM entry h WHERE h.job = e.job AND h.kind = 'headline'
                 AND json_extract(h.body, '$.state') = ?1
                 AND NOT EXISTS (SELECT 1 FROM entry later WHERE later.replaces = h.id))
             ORDER BY e.job, e.id"
        ))?;
        let mut rows = query.query([JobState::HandedOver.name()])?;
        let mut all: Vec<FinishedSearch> = Vec::new();
        while let Some(row) = rows.next()? {
            let job = JobId(row.get(0)?);
            // One of a newer version is left to that version.
            let Body::SearchStep(step) = Body::read("search_step", row.get_ref(1)?.as_str()?) else { continue };
            match all.last_mut() {
                Some(last) if last.job == job => last.steps.push(step),
                _ => all.push(FinishedSearch { job, number: row.get(2)?, steps: vec![step] }),
            }
        }
        Ok(all)
    }

    /// How many jobs are in that state.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn count_jobs(&self, state: JobState) -> Result<u32, BookError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT count(*) FROM entry e WHERE e.kind = 'headline' AND json_extract(e.body, '$.state') = ?1 AND {STANDS}"
        ))?;
        Ok(query.query_row([state.name()], |row| row.get(0))?)
    }

    /// A page of machines by name: at most `most`, after the first `skip`.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn machine_lines(&self, skip: u32, most: u32) -> Result<Vec<MachineLine>, BookError> {
        let mut query = self.db.prepare_cached(
            "SELECT m.slug, m.name, (SELECT count(*) FROM job WHERE machine = m.id),
                    (SELECT opened_at FROM job WHERE machine = m.id ORDER BY id DESC LIMIT 1)
             FROM machine m ORDER BY m.name COLLATE NOCASE, m.id LIMIT ?2 OFFSET ?1",
        )?;
        let rows = query.query_map(params![skip, most], line)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Reminders not done, due at `by` or before, the most urgent first.
    ///
    /// # Errors
    /// [`BookError::Database`].
    pub fn reminders_due(&self, by: UnixSeconds) -> Result<Vec<Due>, BookError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {}, m.name, j.number FROM {} LEFT JOIN job j ON j.id = e.job
             WHERE e.due <= ?1 AND {STANDS} ORDER BY e.due, e.id",
            entry::COLUMNS,
            entry::FROM
        ))?;
        let rows = query
            .query_map([by.0], |row| Ok(Due { entry: entry::read(row)?, machine_name: row.get(8)?, job_number: row.get(9)? }))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

pub(crate) fn line(row: &Row) -> rusqlite::Result<MachineLine> {
    Ok(MachineLine {
        slug: row.get(0)?,
        name: row.get(1)?,
        jobs: row.get(2)?,
        last_opened: row.get::<_, Option<i64>>(3)?.map(UnixSeconds),
    })
}
