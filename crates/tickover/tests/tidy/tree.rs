//! The files of the tree, and a list of offenders.

use std::{
    fs,
    path::{Path, PathBuf},
};

/// Folders that hold nothing of ours.
const NOT_OURS: &[&str] = &[".git", ".venv", "target", "out", "__pycache__", "node_modules"];

/// A text file, its path from the root written with `/`.
pub struct Source {
    pub path: String,
    pub text: String,
}

/// Top of the tree.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().expect("the tree that this was built from")
}

/// All text files whose name ends so, in the order of their paths.
pub fn files(endings: &[&str]) -> Vec<Source> {
    let root = root();
    let mut found = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display())) {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if path.is_dir() {
                if !NOT_OURS.contains(&name.as_str()) && !path.join("CACHEDIR.TAG").exists() {
                    folders.push(path);
                }
            } else if endings.iter().any(|e| name.ends_with(e)) {
                let relative = path.strip_prefix(&root).unwrap().to_string_lossy().replace('\\', "/");
                let text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{relative}: {e}"));
                found.push(Source { path: relative, text });
            }
        }
    }
    assert!(!found.is_empty(), "no file ends in any of {endings:?}: is this the tree?");
    found.sort_by(|a, b| a.path.cmp(&b.path));
    found
}

/// Fails with all offenders, if there are any.
#[track_caller]
pub fn none_of(offenders: Vec<String>, what: &str) {
    assert!(offenders.is_empty(), "{} {what}:\n  {}", offenders.len(), offenders.join("\n  "));
}
