//! Pages for what goes out of the book and comes in.

use super::job::{area, field};
use crate::exchange::{
    readings::Incoming,
    write_up::{self, Choice, Gathered, Received, Shown, Wanted},
};
use jobbook::{ContentHash, JobRecord};
use maud::{Markup, html};
use sheets::words::{exchange as text, page as words};

/// Hash of the file as it was shown, so that no other is written.
pub fn seen(gathered: &Gathered) -> String {
    ContentHash::of(write_up::page(gathered).as_bytes()).as_str().to_owned()
}

/// What will be written, what was taken out of it, and what may go in.
pub fn write_up(gathered: &Gathered, wanted: &Wanted, changed: bool) -> Markup {
    let number = &gathered.job.number;
    let at = |hash: &ContentHash| {
        gathered.entries.get(hash).map(|entry| format!("/job/{number}/write-up/picture/{}", entry.0)).unwrap_or_default()
    };
    html! {
        div.title {
            h1 { (text::WRITE_UP_OF) " " (number) }
            p { (text::WRITE_UP_IS) }
            p { a href={ "/job/" (number) "#hand-over" } { (text::BACK_TO_JOB) } }
        }
        form method="post" action={ "/job/" (number) "/write-up" } {
            section.plain-part {
                @if changed { p.error role="alert" { (text::LOOK_FIRST) } }
                h2 { (text::TAKEN_OUT) }
                p { (text::taken_out(gathered.taken.len())) }
                ul.said { @for taken in &gathered.taken { li.watch { (taken.words()) } } }
                @if !gathered.left_out.is_empty() {
                    p { (text::LEFT_OUT) }
                    ul.said { @for left in &gathered.left_out { li.watch { (left.words()) } } }
                }
                (area("also", "also", text::ALSO, &wanted.also.join("\n"), false))
                @if !gathered.notes.is_empty() { (ticks("note", text::TICK_NOTES, "", &gathered.notes)) }
                @if !gathered.attachments.is_empty() { (ticks("picture", text::TICK_PICTURES, text::TICK_CAUTION, &gathered.attachments)) }
                button.plain name="do" value="look" { (text::LOOK) }
            }
            section.plain-part {
                h2 { (text::WILL_BE_WRITTEN) }
                p { (text::READ_IT) }
                input type="hidden" name="seen" value=(seen(gathered));
                button name="do" value="write" { (text::SAVE_FILE) }
            }
        }
        div.plain-part.write-up { h2 { (text::WRITE_UP) ": " (gathered.name()) } (write_up::body(&gathered.write_up, &Shown::At(&at))) }
    }
}

fn ticks(name: &str, legend: &str, caution: &str, choices: &[Choice]) -> Markup {
    html! {
        fieldset.part {
            legend { (legend) }
            @if !caution.is_empty() { p.caution { (caution) } }
            @for choice in choices {
                @let id = format!("{name}-{}", choice.entry.0);
                div.field.tick {
                    input type="checkbox" id=(id) name=(name) value=(choice.entry.0) checked[choice.ticked];
                    label for=(id) { span.lines { (choice.words) } }
                }
            }
        }
    }
}

/// Where a file is chosen, over what was wrong with the last one.
pub fn choose(job: Option<&JobRecord>, wrong: Option<&[String]>) -> Markup {
    html! {
        div.title {
            h1 { (text::TAKE_IN) }
            @match job {
                Some(job) => { p { (text::take_in_for(&job.number)) } p { a href={ "/job/" (job.number) } { (text::BACK_TO_JOB) } } }
                None => { p { (text::TAKE_IN_IS) } }
            }
        }
        section.plain-part {
            @if let Some(wrong) = wrong {
                div role="alert" {
                    h2 { (text::CANNOT_TAKE_IN) }
                    ul.said { @for said in wrong { li.watch { (said) } } }
                }
            }
            form method="post" action="/take-in" enctype="multipart/form-data" {
                @if let Some(job) = job { input type="hidden" name="job" value=(job.number); }
                div.field { label for="file" { (text::FILE) } input #file name="file" type="file" required; }
                p { (text::SHOWN_FIRST) }
                button { (text::SHOW_FILE) }
            }
        }
    }
}

fn keep(hash: &ContentHash, job: Option<&JobRecord>, who: &str, button: &str) -> Markup {
    html! {
        form method="post" action={ "/take-in/" (hash) "/keep" } {
            @if let Some(job) = job { input type="hidden" name="job" value=(job.number); }
            (field("who", words::WHO, who, ""))
            div.row { button { (button) } a.button.plain href="/take-in" { (text::ANOTHER_FILE) } }
        }
    }
}

/// Readings that can be kept.
pub fn incoming(rows: &[Incoming], job: &JobRecord, hash: &ContentHash, who: &str) -> Markup {
    html! {
        div.title {
            h1 { (text::TAKE_IN) }
            p { (text::take_in_for(&job.number)) }
            p { (text::readings_there(rows.len())) }
        }
        section.plain-part {
            ul.said { @for row in rows { li { (row.words()) } } }
            (keep(hash, Some(job), who, text::KEEP_THEM))
        }
    }
}

/// A write-up that can be kept.
pub fn received(received: &Received, before: Option<&JobRecord>, who: &str) -> Markup {
    let at = |hash: &ContentHash| format!("/take-in/{}/picture/{hash}", received.file);
    html! {
        div.title { h1 { (text::TAKE_IN) } p { (text::RECEIVED_IS) } }
        section.plain-part {
            @match before {
                Some(job) => { p { (text::write_up_kept_before(&job.number)) } p { a href={ "/job/" (job.number) } { (job.number) " " (job.machine_name) } } }
                None => { (keep(&received.file, None, who, text::KEEP_IT)) }
            }
        }
        div.plain-part.write-up { h2 { (text::WRITE_UP) ": " (received.name) } (write_up::body(&received.write_up, &Shown::At(&at))) }
    }
}
