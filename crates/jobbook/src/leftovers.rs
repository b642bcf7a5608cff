//! Working files of a copy that never ended, because the program was killed or the power went.

use std::{fs, path::Path, time::Duration};

/// Older than any copy takes: what is younger may still be worked on by another program.
const ABANDONED: Duration = Duration::from_secs(24 * 60 * 60);

/// Endings of working files; the number of the program that made them stands before.
pub(crate) const PARTIAL: &str = "partial";
/// See [`PARTIAL`].
pub(crate) const INCOMING: &str = "incoming";

/// Removes what was abandoned beside a file. What cannot be removed now is tried again the next time.
pub(crate) fn sweep(file: &Path) {
    let folder = file.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let (Some(name), Ok(all)) = (file.file_name().and_then(|n| n.to_str()), fs::read_dir(folder)) else { return };
    for entry in all.flatten() {
        let is_work = entry.file_name().to_str().is_some_and(|other| is_work_of(name, other));
        let age = entry.metadata().and_then(|m| m.modified()).ok().and_then(|at| at.elapsed().ok());
        if is_work && age.is_some_and(|age| age > ABANDONED) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// `book.sqlite.4711.partial` is of `book.sqlite`, and so are its companions `-journal`, `-wal`, `-shm`.
fn is_work_of(name: &str, other: &str) -> bool {
    let Some((number, ending)) =
        other.strip_prefix(name).and_then(|rest| rest.strip_prefix('.')).and_then(|rest| rest.split_once('.'))
    else {
        return false;
    };
    let ending = ["-journal", "-wal", "-shm"].iter().find_map(|c| ending.strip_suffix(c)).unwrap_or(ending);
    !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()) && [PARTIAL, INCOMING].contains(&ending)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::SystemTime;

    #[test]
    fn only_what_was_abandoned_goes() {
        let folder = tempfile::tempdir().unwrap();
        let long_ago = SystemTime::now() - 2 * ABANDONED;
        let names = [
            ("b.12.partial", true, false),
            ("b.12.incoming-wal", true, false),
            ("b.12.incoming", false, true),
            ("b.x1.partial", true, true),
            ("b..partial", true, true),
            ("c.12.partial", true, true),
            ("b.12.backup", true, true),
            ("b", true, true),
        ];
        for (name, old, _) in names {
            let file = fs::File::create(folder.path().join(name)).unwrap();
            if old {
                file.set_modified(long_ago).unwrap();
            }
        }
        sweep(&folder.path().join("b"));
        for (name, _, stays) in names {
            assert_eq!(folder.path().join(name).exists(), stays, "{name}");
        }
    }
}
