//! A new file that is whole or not there, and was read again before it has its name.

use anyhow::{Context, bail};
use sheets::words;
use std::{
    fs::{self, File},
    io::{ErrorKind, Write},
    path::{Path, PathBuf},
};

/// Makes a file at `target`: written beside it first, read again by `proves`, then given its name. A file that is there
/// already is left alone.
///
/// # Errors
/// A sentence with the path; those of `write` and `proves`. No file is left then.
pub fn make<T>(
    target: &Path,
    write: impl FnOnce(&mut File) -> anyhow::Result<T>,
    proves: impl FnOnce(File, &T) -> anyhow::Result<bool>,
) -> anyhow::Result<T> {
    let cannot = || words::cannot_write(target);
    if target.symlink_metadata().is_ok() {
        bail!(words::exists(target));
    }
    let mut beside = target.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = Remove(PathBuf::from(beside));

    let mut file = File::create(&beside.0).with_context(cannot)?;
    let made = write(&mut file)?;
    file.flush().and_then(|()| file.sync_all()).with_context(cannot)?;
    drop(file);
    let again = File::open(&beside.0).with_context(cannot)?;
    if !proves(again, &made)? {
        bail!(words::exchange::differs(target));
    }
    // Taken by name first, so that no other file is ever written over.
    match File::create_new(target) {
        Err(e) if e.kind() == ErrorKind::AlreadyExists => bail!(words::exists(target)),
        taken => taken.with_context(cannot)?,
    };
    fs::rename(&beside.0, target)
        .and_then(|()| sync_folder(target))
        .inspect_err(|_| drop(fs::remove_file(target)))
        .with_context(cannot)?;
    Ok(made)
}

/// A file made of bytes that are at hand.
///
/// # Errors
/// As [`make`].
pub fn make_of(target: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    let proves = |mut file: File, (): &()| {
        let mut read = Vec::new();
        std::io::Read::read_to_end(&mut file, &mut read)?;
        Ok(read == bytes)
    };
    make(target, |file| Ok(file.write_all(bytes)?), proves)
}

/// The name of a file is safe on the disk only when its folder is.
fn sync_folder(file: &Path) -> std::io::Result<()> {
    #[cfg(unix)]
    {
        let folder = file.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
        File::open(folder)?.sync_all()?;
    }
    #[cfg(not(unix))]
    let _ = file;
    Ok(())
}

/// A working file, gone at the end whatever happens.
struct Remove(PathBuf);

impl Drop for Remove {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_does_not_read_the_same_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("x.zip");
        let said = make(&target, |f| Ok(f.write_all(b"one")?), |_, ()| Ok(false)).unwrap_err().to_string();
        assert!(said.contains("cannot be trusted"), "{said}");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);

        make_of(&target, b"one").unwrap();
        assert!(make_of(&target, b"two").unwrap_err().to_string().contains("exists already"));
        assert_eq!(fs::read(&target).unwrap(), b"one");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
