//! Reading a machine file, and no more of it than a machine file can have.

use anyhow::{Context, anyhow, bail};
use sheets::words;
use std::{
    fs::File,
    io::{self, BufWriter, Read, Write},
    path::{Path, PathBuf},
};

/// Most bytes of a machine file. The commented template is some 10 kB; a hundred times that is no longer typed text.
pub const MOST_BYTES: u64 = 1024 * 1024;

/// A text and the name that errors call it by.
#[derive(Debug)]
pub struct Text {
    /// Path as given.
    pub name: String,
    /// The text, as it stands.
    pub text: String,
}

/// Reads the file, or what is piped in for `-`.
///
/// # Errors
/// A sentence with the path when it cannot be read, is too large or is not UTF-8 text.
pub fn read(path: &Path) -> anyhow::Result<Text> {
    if path == Path::new("-") {
        return bounded(io::stdin().lock(), words::PIPED);
    }
    let name = path.display().to_string();
    let file = File::open(path).with_context(|| words::cannot_read(&name))?;
    let about = file.metadata().with_context(|| words::cannot_read(&name))?;
    if about.is_dir() {
        bail!(words::is_folder(&name));
    }
    if about.len() > MOST_BYTES {
        bail!(words::file_too_large(&name, MOST_BYTES));
    }
    bounded(file, &name)
}

fn bounded(source: impl Read, name: &str) -> anyhow::Result<Text> {
    let mut bytes = Vec::new();
    // One byte more than allowed tells "just fits" from "goes on", whatever length the system reported.
    source.take(MOST_BYTES + 1).read_to_end(&mut bytes).with_context(|| words::cannot_read(name))?;
    if bytes.len() as u64 > MOST_BYTES {
        bail!(words::file_too_large(name, MOST_BYTES));
    }
    let text = String::from_utf8(bytes).map_err(|e| {
        let at = e.utf8_error().valid_up_to();
        let line = 1 + e.as_bytes()[..at].iter().filter(|b| **b == b'\n').count();
        anyhow!(words::not_utf8(name, line))
    })?;
    Ok(Text { name: name.to_owned(), text })
}

/// Writes a file whole or not at all: beside its place first, then moved there.
///
/// # Errors
/// A sentence with the path.
pub fn write_whole(path: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    let mut beside = path.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = Path::new(&beside);
    let write = || -> io::Result<()> {
        let mut file = File::create(beside)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        std::fs::rename(beside, path)
    };
    write()
        .inspect_err(|_| {
            let _ = std::fs::remove_file(beside);
        })
        .with_context(|| words::cannot_write(path))
}

/// A file that is written piece by piece beside its place, and moved there once it is whole.
#[derive(Debug)]
pub struct Growing {
    beside: PathBuf,
    to: PathBuf,
    file: BufWriter<File>,
    whole: bool,
}

impl Growing {
    /// Begins it.
    ///
    /// # Errors
    /// A sentence with the path.
    pub fn begin(to: &Path) -> anyhow::Result<Self> {
        let mut beside = to.as_os_str().to_owned();
        beside.push(format!(".{}.part", std::process::id()));
        let beside = PathBuf::from(beside);
        let file = File::create(&beside).with_context(|| words::cannot_write(to))?;
        Ok(Self { beside, to: to.to_owned(), file: BufWriter::new(file), whole: false })
    }

    /// Moves it to its place.
    ///
    /// # Errors
    /// A sentence with the path; then nothing of it is left.
    pub fn end(mut self) -> anyhow::Result<()> {
        let mut end = || -> io::Result<()> {
            self.file.flush()?;
            self.file.get_ref().sync_all()?;
            std::fs::rename(&self.beside, &self.to)
        };
        let ended = end();
        self.whole = ended.is_ok();
        ended.with_context(|| words::cannot_write(&self.to))
    }
}

impl Write for Growing {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

impl Drop for Growing {
    fn drop(&mut self) {
        if !self.whole {
            let _ = std::fs::remove_file(&self.beside);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stops_reading_at_the_limit() {
        let endless = io::repeat(b'#');
        let said = bounded(endless, "x").unwrap_err().to_string();
        assert!(said.contains("larger than 1024 kB"), "{said}");
        let just = vec![b'#'; MOST_BYTES as usize];
        assert_eq!(bounded(&just[..], "x").unwrap().text.len() as u64, MOST_BYTES);
    }

    #[test]
    fn says_on_which_line_it_is_not_text() {
        let said = bounded(&b"a\nb\n\xff"[..], "m.toml").unwrap_err().to_string();
        assert!(said.starts_with("m.toml:3: not UTF-8"), "{said}");
    }

    #[test]
    fn writes_over_an_older_sheet_and_leaves_nothing_beside() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("sheet.pdf");
        write_whole(&path, b"one").unwrap();
        write_whole(&path, b"two").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"two");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_growing_file_is_there_whole_or_not_at_all() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("rows.csv");
        let mut file = Growing::begin(&path).unwrap();
        file.write_all(b"one\n").unwrap();
        assert!(!path.exists());
        drop(file);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
        let mut file = Growing::begin(&path).unwrap();
        file.write_all(b"two\n").unwrap();
        file.end().unwrap();
        assert_eq!((std::fs::read(&path).unwrap(), std::fs::read_dir(folder.path()).unwrap().count()), (b"two\n".to_vec(), 1));
    }
}
