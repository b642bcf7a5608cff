//! The shared write-up: its own text, what is taken out of it, and what is wrong with one from elsewhere.

use super::super::reading::short;
use super::many;
use std::path::Path;

/// Stands where something was taken out of a write-up.
pub const MARK: &str = "(taken out)";
/// Title.
pub const WRITE_UP: &str = "Write-up";
/// Heading.
pub const COMPLAINT: &str = "The complaint";
/// Heading.
pub const WORK: &str = "Work on the machine";
/// Beside work.
pub const FOR_GOOD: &str = "it cannot be undone";
/// Heading.
pub const PICTURES: &str = "Pictures";
/// A picture without words.
pub const A_PICTURE: &str = "A picture without a description";
/// Heading.
pub const FINDINGS: &str = "Findings";
/// Heading.
pub const MACHINE_FILE: &str = "The machine file";
/// Over it.
pub const MACHINE_FILE_IS: &str = "Every reading of the machine, with its ± and how it was come by";
/// Foot of a write-up.
pub fn write_up_foot(version: &str) -> String {
    format!(
        "Written by Tickover {version} for other mechanics. Owner, contact, plate, frame number, names and job numbers are not in it. It carries the same as data: Tickover takes it in as a new machine and job."
    )
}
/// Place in a write-up.
pub const PLACE_COMPLAINT: &str = "the complaint";
/// Place in a write-up.
pub const PLACE_MACHINE: &str = "the machine file";
/// Place in a write-up.
pub const PLACE_VERSION: &str = "the version";
/// Place in a write-up; line 0 is not known.
pub fn place_file(line: usize) -> String {
    if line == 0 { PLACE_MACHINE.to_owned() } else { format!("the machine file, line {line}") }
}
/// Place in a write-up.
pub fn place_reading(n: usize) -> String {
    format!("reading {n}")
}
/// Place in a write-up.
pub fn place_finding(n: usize) -> String {
    format!("finding {n}")
}
/// Place in a write-up.
pub fn place_work(n: usize) -> String {
    format!("work {n}")
}
/// Place in a write-up.
pub fn place_note(n: usize) -> String {
    format!("note {n}")
}
/// Place in a write-up.
pub fn place_picture(n: usize) -> String {
    format!("the words of picture {n}")
}
/// An attachment to choose.
pub fn attachment(file: &str, words: &str) -> String {
    if words.is_empty() { file.to_owned() } else { format!("{words} ({file})") }
}
/// Name of a picture that came with a write-up.
pub fn picture_file(n: usize, media: &str) -> String {
    format!("picture-{n}.{}", if media == "image/png" { "png" } else { "jpg" })
}
/// Something counted.
pub const COUNTED_READINGS: &str = "readings";
/// Something counted.
pub const COUNTED_WORK: &str = "pieces of work";
/// Something counted.
pub const COUNTED_NOTES: &str = "notes";
/// Something counted.
pub const COUNTED_FINDINGS: &str = "findings";
/// Something counted.
pub const COUNTED_PICTURES: &str = "pictures";
/// What is wrong, and where.
pub fn at(place: &str, said: &str) -> String {
    format!("In {place}: {said}")
}
/// What is wrong, with what, and where.
pub fn at_value(place: &str, value: &str, said: &str) -> String {
    format!("In {place}, “{}”: {said}", short(value))
}
/// A defect of the machine file in a write-up.
pub fn in_machine_file(line: usize, column: usize, defect: &str) -> String {
    format!("In the machine file, line {line}, column {column}: {defect}")
}
/// A file beyond its limit.
pub fn too_large(most: usize) -> String {
    format!("This is larger than a write-up can be; {} MB are the most.", most >> 20)
}
/// No write-up.
pub const NO_WRITE_UP: &str = "This is not a write-up of Tickover: the data that a write-up carries is not in it.";
/// A write-up with more than one block of data.
pub const SEVERAL_BLOCKS: &str = "There is more than one block of data in this file, so it is not clear which one counts.";
/// A write-up of a later version.
pub fn newer_write_up(found: u64, known: u32) -> String {
    format!("A newer Tickover wrote this (write-up {found}; this one knows {known}). Use the newer one to take it in.")
}
/// Data nested too deeply.
pub fn too_deep(most: usize) -> String {
    format!("Its data is nested more than {most} deep. No write-up is.")
}
/// Data without the form of a write-up.
pub fn wrong_form(said: &str) -> String {
    format!("Its data does not have the form of a write-up: {}.", long(said))
}
/// Too many of something.
pub fn too_many(what: &str, found: usize, most: usize) -> String {
    format!("It has {found} {what}; {most} are the most.")
}
/// A sign that is not to be seen.
pub fn hidden(sign: u32) -> String {
    format!("There is a sign in it that is not to be seen, or that turns the direction of the text (U+{sign:04X}).")
}
/// Nothing where something is needed.
pub const EMPTY: &str = "Nothing is written here.";
/// A length or an angle beyond reason.
pub const NO_MEASURE: &str = "This is not a length up to one metre, or not an angle up to one turn.";
/// A picture.
pub const PICTURE_MISSING: &str = "The picture is not in the file.";
/// A picture.
pub const PICTURE_UNREADABLE: &str = "The picture cannot be read.";
/// A picture.
pub const PICTURE_OTHER_HASH: &str = "The picture is not the one that belongs here: its hash is another one.";
/// A picture.
pub const PICTURE_CONTENT: &str = "This is not a whole JPEG or PNG, or something else is hidden in it.";
/// A picture.
pub const PICTURE_TWICE: &str = "The same picture is named twice.";
/// Long text cut down; longer than [`short`] leaves it.
fn long(text: &str) -> String {
    const MOST: usize = 300;
    let clean: String = text.chars().map(|c| if c.is_control() { '·' } else { c }).take(MOST).collect();
    if text.chars().count() > MOST { format!("{clean}…") } else { clean }
}
/// Note of the revision that came with a write-up.
pub const FROM_ELSEWHERE: &str = "from another workshop";
/// A program's version in another workshop.
pub fn elsewhere(program: &str) -> String {
    format!("{program}, in another workshop")
}
/// First note of a job that came with a write-up.
pub fn came_from(hash: &str, version: &str) -> String {
    format!(
        "From another workshop: a write-up of Tickover {version}, SHA-256 {hash}. What stands below was measured and noted there."
    )
}
/// What a write-up has, in lines.
pub fn write_up_has(machine: &str, complaint: &str, counts: [usize; 5]) -> String {
    const COUNTED: [(&str, &str); 5] = [
        ("reading", "readings"),
        ("piece of work", "pieces of work"),
        ("note", "notes"),
        ("finding", "findings"),
        ("picture", "pictures"),
    ];
    let counted = counts.into_iter().zip(COUNTED).filter(|(n, _)| *n > 0).map(|(n, (one, more))| many(n, one, more));
    let counts: Vec<String> = std::iter::once("the machine file".to_owned()).chain(counted).collect();
    format!("A write-up from another workshop.\nMachine: {machine}\nComplaint: {complaint}\nIt has: {}", counts.join(", "))
}
/// A write-up that was kept.
pub fn write_up_kept(job: &str, machine: &str) -> String {
    format!("Kept as job {job} on the new machine “{machine}”, from another workshop.")
}
/// A write-up that is in the book.
pub fn write_up_kept_before(job: &str) -> String {
    format!("This write-up is in the book already, as job {job}. Nothing was added.")
}
/// What is given away.
pub const SECRETS: [&str; 8] =
    ["owner", "contact", "number plate", "frame number", "a name", "name of a device", "job number", "your word"];
/// What was taken out.
pub fn taken_out(n: usize) -> String {
    match n {
        0 => "Nothing had to be taken out of what people wrote.".to_owned(),
        1 => "Taken out in one place:".to_owned(),
        n => format!("Taken out in {n} places:"),
    }
}
/// One thing that was taken out.
pub fn taken_line(place: &str, text: &str, secret: &str) -> String {
    format!("In {place}: “{}” ({secret})", short(text))
}
/// What was left out.
pub const LEFT_OUT: &str = "Left out:";
/// A reading that was left out.
pub fn left_out_reading(typed: &str) -> String {
    format!("A reading of a kind or unit that is not known here: {}", short(typed))
}
/// A picture that was left out.
pub fn left_out_picture(file: &str, kind: bool) -> String {
    let why =
        if kind { "only JPEG and PNG can be freed of what a camera writes beside the picture" } else { "the picture is broken" };
    format!("{}: {why}", short(file))
}
/// Notes that may go in.
pub const NOTES_TO_TICK: &str = "Notes, each of which goes in only if it is named with --note:";
/// Pictures that may go in.
pub const PICTURES_TO_TICK: &str =
    "Pictures, each of which goes in only if it is named with --picture. A plate, a face or a house number may be seen on one:";
/// Something to tick, in a line.
pub fn to_tick(entry: i64, words: &str, ticked: bool) -> String {
    format!("{entry}: {}{}", short(words), if ticked { " (goes in)" } else { "" })
}
/// A write-up that was written.
pub fn written(file: &Path) -> String {
    format!(
        "{} was written and read again. Read it before you pass it on: only you know what else would tell whose machine it is.",
        file.display()
    )
}
/// A machine file with defects.
pub const MACHINE_HAS_DEFECTS: &str = "There is no write-up, because the machine file has defects:";
/// A machine file that needs what must be taken out.
pub const MACHINE_NEEDS_IT: &str =
    "There is no write-up: without what must be taken out the machine file can no longer be read. Change its words first.";
/// Something that was found again.
pub fn still_there(place: &str) -> String {
    format!("There is no write-up: in {place} something is written in a way that could not be taken out. Change it there first.")
}
/// A write-up that would be refused where it is taken in; what is wrong follows.
pub const WOULD_BE_REFUSED: &str = "There is no write-up, because it could not be taken in by another Tickover:";
/// An entry that is none of the job's.
pub fn no_such_entry(entry: i64) -> String {
    format!("Entry {entry} is no note or picture of this job.")
}
/// Link.
pub const TO_WRITE_UP: &str = "Write-up for other mechanics";
/// Beside a job that came from elsewhere.
pub const FROM_ANOTHER_WORKSHOP: &str = "From another workshop";
/// Title.
pub const WRITE_UP_OF: &str = "Write-up of job";
/// Under it.
pub const WRITE_UP_IS: &str = "One file that another mechanic can open in any browser, or take into Tickover. It has no place for owner, contact, plate, frame number, names, devices and job numbers, and where people wrote them into other words they are taken out. Nothing is written before you have seen it.";
/// A file that is not the one that was shown.
pub const LOOK_FIRST: &str =
    "This is not what you saw before: something was ticked, typed or noted since. Nothing was written. Look at it, then save it.";
/// Heading.
pub const TAKEN_OUT: &str = "What is taken out";
/// Label.
pub const ALSO: &str = "Further words to take out, one a line";
/// Legend.
pub const TICK_NOTES: &str = "Notes to put in";
/// Legend.
pub const TICK_PICTURES: &str = "Pictures to put in";
/// Caution.
pub const TICK_CAUTION: &str = "Place, time and device that a camera wrote into a picture are taken off it. What is to be seen on it stays: look for plates, faces and house numbers before you tick it.";
/// Button.
pub const LOOK: &str = "Show it again";
/// Heading.
pub const WILL_BE_WRITTEN: &str = "What will be written";
/// Under it.
pub const READ_IT: &str = "Read it through below. Only you know what else would tell whose machine it is.";
/// Button.
pub const SAVE_FILE: &str = "Save this file";
/// Title.
pub const NO_WRITE_UP_OF_IT: &str = "No write-up";
/// Button.
pub const KEEP_IT: &str = "Keep as a new machine and job";
/// Over a write-up.
pub const RECEIVED_IS: &str =
    "A write-up of another workshop. Nobody here measured this. Its machine file was judged as any other.";
/// All figures of a finding.
pub fn numbers_of(study: &str, program: &str) -> String {
    format!("All figures: {study}, Tickover {program}")
}
/// Over a finding of another workshop.
pub fn found_elsewhere(program: &str) -> String {
    format!("Found in another workshop, with Tickover {program}:")
}
