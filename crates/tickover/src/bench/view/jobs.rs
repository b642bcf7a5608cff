//! Lists of jobs: what waits, what a search found, a machine's history.

use super::job::{area, field, field_as};
use jobbook::{Body, Custody, Due, Found, JobRecord, MachineRecord, Standing};
use maud::{Markup, html};
use sheets::words::{exchange as text, page as words};

/// What waits in the book.
pub struct Waiting {
    /// Jobs being worked on.
    pub open: Vec<JobRecord>,
    /// Jobs that wait for something.
    pub waiting: Vec<JobRecord>,
    /// Reminders that are due.
    pub due: Vec<Due>,
}

/// A field to search the book.
pub fn search(typed: &str) -> Markup {
    html! {
        form.find role="search" action="/find" {
            label for="find" { (words::FIND_WHAT) }
            input #find type="search" name="q" value=(typed) autocomplete="off" spellcheck="false";
            button { (words::FIND) }
        }
    }
}

/// Jobs and reminders on the first page.
pub fn waiting(waiting: &Waiting) -> Markup {
    html! {
        (search(""))
        @if !waiting.due.is_empty() {
            section.plain-part {
                h2 { (words::DUE) }
                ul.said { @for due in &waiting.due { (due_line(due)) } }
            }
        }
        @for (title, jobs) in [(words::OPEN_JOBS, &waiting.open), (words::WAITING_JOBS, &waiting.waiting)] {
            @if !jobs.is_empty() { section.plain-part { h2 { (title) } (lines(jobs)) } }
        }
    }
}

fn due_line(due: &Due) -> Markup {
    let Body::Reminder(reminder) = &due.entry.body else { return html! {} };
    html! {
        li.watch {
            (sheets::words::on(reminder.due)) ": " (reminder.what)
            @if let Some(machine) = &due.machine_name { ", " (machine) }
            @if let Some(number) = &due.job_number { ", " a href={ "/job/" (number) } { (number) } }
        }
    }
}

fn lines(jobs: &[JobRecord]) -> Markup {
    html! {
        ul.jobs {
            @for job in jobs {
                li {
                    a href={ "/job/" (job.number) } { (job.number) " " (job.machine_name) }
                    span.soft { (words::state(job.headline.state)) ", " (sheets::words::on(job.opened_at))
                        @if job.headline.write_up.is_some() { ", " (text::FROM_ANOTHER_WORKSHOP) } }
                    p { (job.headline.complaint) }
                }
            }
        }
    }
}

/// What a search found.
pub fn found(typed: &str, found: &Found, most: u32) -> Markup {
    let many = |n: usize| (n >= most as usize).then(|| words::only_the_first(most));
    html! {
        div.title { h1 { (words::FIND) } }
        (search(typed))
        section.plain-part {
            h2 { (words::MACHINES) }
            @if found.machines.is_empty() { p.soft { (words::NONE_FOUND) } }
            ul.jobs {
                @for machine in &found.machines {
                    li { a href={ "/machine/" (machine.slug) } { (machine.name) } span.soft { (words::jobs(machine.jobs)) } }
                }
            }
            @if let Some(words) = many(found.machines.len()) { p.soft { (words) } }
            h2 { (words::JOBS) }
            @if found.jobs.is_empty() { p.soft { (words::NONE_FOUND) } }
            (lines(&found.jobs))
            @if let Some(words) = many(found.jobs.len()) { p.soft { (words) } }
        }
    }
}

/// The jobs of a machine over the years, whose it is, and a form for the next job.
pub fn history(
    record: &MachineRecord,
    jobs: &[JobRecord],
    custody: Option<(&Standing, &Custody)>,
    who: &str,
    token: &str,
) -> Markup {
    let (keeper, whose) = custody.map_or((None, Custody::default()), |(s, c)| (Some(s.entry.id), c.clone()));
    html! {
        div.title { h1 { (record.name) } p { (words::jobs(jobs.len() as u32)) } p { a href={ "/machine/" (record.slug) } { (words::TO_THE_MACHINE) } " · " a href={ "/machine/" (record.slug) "/readings.csv" } { (text::READINGS_CSV) } } }
        section.plain-part { h2 { (words::JOBS) } (lines(jobs)) }
        section.plain-part {
            h2 { (words::NEW_JOB) }
            form method="post" action={ "/machine/" (record.slug) "/jobs" } {
                input type="hidden" name="token" value=(token);
                (area("complaint", "complaint", words::COMPLAINT_WORDS, "", true))
                (field("odometer", words::ODOMETER, "", ""))
                (field("may_cut", words::MAY_CUT, "", ""))
                (field("who", words::WHO, who, ""))
                button { (words::OPEN_JOB) }
            }
        }
        section.plain-part #whose {
            h2 { (words::WHOSE) }
            form method="post" action={ "/machine/" (record.slug) "/whose" } {
                @if let Some(id) = keeper { input type="hidden" name="replaces" value=(id.0); }
                (field("owner", words::OWNER, &whose.owner, ""))
                (field("contact", words::CONTACT, &whose.contact, ""))
                (field("plate", words::PLATE, &whose.plate, ""))
                (field("frame", words::FRAME, &whose.frame, ""))
                (field_as("whose-who", "who", words::WHO, who, ""))
                button { (words::KEEP) }
            }
        }
    }
}
