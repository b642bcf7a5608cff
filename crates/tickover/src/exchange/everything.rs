//! The whole book in open formats: one ZIP file with machine files as TOML, logs as JSON, readings as CSV, attachments as
//! they came, and a page in plain words that says what is what.

use super::{
    job_file::{self, LogFile},
    new_file, readings, when,
};
use anyhow::Context;
use jobbook::{Book, ContentHash, JobId, Media, Place, UnixSeconds};
use sheets::words::exchange as text;
use std::{
    collections::BTreeMap,
    fs::File,
    io::{Read, Write},
    path::Path,
};
use workshop::machine;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter, write::SimpleFileOptions};

/// Jobs read at a time.
const PAGE: u32 = 500;

/// What an export has.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Exported {
    /// Machines.
    pub machines: usize,
    /// Jobs.
    pub jobs: usize,
    /// Readings that stand.
    pub readings: usize,
    /// Pictures, recordings, papers.
    pub attachments: usize,
}

/// Writes the whole book, as it stands at one moment, to a new file. Others may write meanwhile. The file has its name only
/// when it was read again and found to be what was written.
///
/// # Errors
/// A sentence: what is wrong with the book or the file. No file is left then.
pub fn export(book: &Book, target: &Path, at: UnixSeconds) -> anyhow::Result<Exported> {
    let made = new_file::make(
        target,
        |file| {
            let mut zip = Zip::new(file, at);
            let exported = book.at_one_moment(|book| all(book, &mut zip, at)).map_err(said)?;
            let exported = exported.map_err(|e| e.downcast().map_or_else(|other| other, said))?;
            Ok((zip.finish()?, exported))
        },
        |file, (written, _)| is_as_written(file, written),
    )?;
    Ok(made.1)
}

/// A time as part of a file's name.
pub fn stamp(at: UnixSeconds) -> String {
    when::written(at).replace(':', "-")
}

fn said(e: jobbook::BookError) -> anyhow::Error {
    anyhow::anyhow!(sheets::words::book_error(&e))
}

/// The archive, and the hash of every file in it.
pub(super) struct Zip<'f> {
    files: ZipWriter<&'f mut File>,
    options: SimpleFileOptions,
    written: BTreeMap<String, ContentHash>,
}

impl<'f> Zip<'f> {
    pub(super) fn new(file: &'f mut File, at: UnixSeconds) -> Self {
        let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
        Zip { files: ZipWriter::new(file), options: options.last_modified_time(dos_time(at)), written: BTreeMap::new() }
    }

    pub(super) fn put(&mut self, name: String, bytes: &[u8]) -> anyhow::Result<()> {
        self.files.start_file(&name, self.options)?;
        self.files.write_all(bytes)?;
        self.written.insert(name, ContentHash::of(bytes));
        Ok(())
    }

    /// Ends the archive: what was written.
    pub(super) fn finish(self) -> anyhow::Result<BTreeMap<String, ContentHash>> {
        self.files.finish()?;
        Ok(self.written)
    }
}

/// The time as an archive has it; one that it cannot have is left at its beginning, 1980.
fn dos_time(at: UnixSeconds) -> DateTime {
    let written = when::written(at);
    let part = |from: usize, to: usize| written.get(from..to).and_then(|t| t.parse::<u16>().ok()).unwrap_or(0);
    let small = |from, to| part(from, to) as u8;
    DateTime::from_date_and_time(part(0, 4), small(5, 7), small(8, 10), small(11, 13), small(14, 16), small(17, 19))
        .unwrap_or_default()
}

fn all(book: &Book, zip: &mut Zip, at: UnixSeconds) -> anyhow::Result<Exported> {
    let mut exported = Exported::default();
    zip.put(text::README.to_owned(), text::export_readme(&when::written(at), env!("CARGO_PKG_VERSION")).as_bytes())?;
    zip.put("machine.schema.json".to_owned(), format!("{:#}\n", machine::schema()).as_bytes())?;
    zip.put("log.schema.json".to_owned(), format!("{:#}\n", job_file::schema()).as_bytes())?;

    let workshop = book.log(Place::Workshop)?;
    zip.put("workshop.json".to_owned(), LogFile::of(None, None, workshop).to_text()?.as_bytes())?;
    for record in book.machines()? {
        let folder = format!("machines/{}", record.slug);
        for revision in book.revisions(&record.slug)?.iter().rev() {
            zip.put(format!("{folder}/revision-{:04}.toml", revision.number), revision.text.as_bytes())?;
        }
        let log = book.log(Place::Machine(&record.slug))?;
        let file = LogFile::of(None, Some((&record.slug, &record.name)), log);
        zip.put(format!("{folder}/log.json"), file.to_text()?.as_bytes())?;
        exported.machines += 1;
    }
    let mut before: Option<JobId> = None;
    loop {
        let page = book.jobs(None, before, PAGE)?;
        for job in &page {
            let log = book.log(Place::Job(job.id))?;
            let file = LogFile::of(Some(job), Some((&job.machine, &job.machine_name)), log);
            zip.put(format!("jobs/{}.json", job.number), file.to_text()?.as_bytes())?;
        }
        exported.jobs += page.len();
        before = page.last().map(|job| job.id);
        if before.is_none() {
            break;
        }
    }
    let mut csv = Vec::new();
    let mut rows = readings::Writer::new(&mut csv)?;
    readings::all(book, &mut rows)?;
    exported.readings = rows.finish()?;
    zip.put("readings.csv".to_owned(), &csv)?;

    for hash in book.blobs()? {
        let bytes = book.blob(&hash).map_err(said)?;
        zip.put(format!("attachments/{hash}.{}", ending(&bytes)), &bytes)?;
        exported.attachments += 1;
    }
    Ok(exported)
}

/// The usual ending of a file, by what is in it.
fn ending(bytes: &[u8]) -> &'static str {
    match Media::of(bytes) {
        Ok(Media::Jpeg) => "jpg",
        Ok(Media::Png) => "png",
        Ok(Media::WebP) => "webp",
        Ok(Media::Wav) => "wav",
        Ok(Media::Pdf) => "pdf",
        Ok(Media::Csv) => "csv",
        Ok(Media::Text) => "txt",
        Err(_) => "bin",
    }
}

/// The archive has the files that were written, all of them and no others, each with the same bytes.
pub(super) fn is_as_written(file: File, written: &BTreeMap<String, ContentHash>) -> anyhow::Result<bool> {
    let mut zip = ZipArchive::new(std::io::BufReader::new(file)).context(text::EXPORT_UNREADABLE)?;
    if zip.len() != written.len() {
        return Ok(false);
    }
    for (name, hash) in written {
        let mut bytes = Vec::new();
        let read = zip.by_name(name).map_err(anyhow::Error::from).and_then(|mut f| Ok(f.read_to_end(&mut bytes)?));
        if read.is_err() || ContentHash::of(&bytes) != *hash {
            return Ok(false);
        }
    }
    Ok(true)
}
