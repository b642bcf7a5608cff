//! Where the job book lies, and whether there is a browser to open.

use anyhow::Context;
use std::{
    env,
    path::PathBuf,
    process::{Command, Stdio},
};

/// The job book's path where none was given: `tickover/book.sqlite` in the folder that the platform keeps for a
/// user's data.
///
/// # Errors
/// A sentence when the system names no home folder.
pub fn default_book() -> anyhow::Result<PathBuf> {
    let folder = data_folder(|name| env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute()));
    let folder = folder.context(sheets::words::NO_DATA_FOLDER)?;
    Ok(folder.join("tickover").join("book.sqlite"))
}

/// XDG Base Directory Specification 0.8; Apple's and Microsoft's own folders on their systems.
fn data_folder(named: impl Fn(&str) -> Option<PathBuf>) -> Option<PathBuf> {
    if cfg!(target_os = "windows") {
        named("LOCALAPPDATA")
    } else if cfg!(target_os = "macos") {
        named("HOME").map(|home| home.join("Library/Application Support"))
    } else {
        named("XDG_DATA_HOME").or_else(|| named("HOME").map(|home| home.join(".local/share")))
    }
}

/// Opens the address in the user's browser if there is one. Gives whether it was tried; a failure is no error,
/// because the address is printed as well.
pub fn open_browser(address: &str) -> bool {
    if env::var_os("CI").is_some() {
        return false;
    }
    let mut command = if cfg!(target_os = "windows") {
        // The empty argument is the window's title, which `start` would otherwise take from the address.
        let mut c = Command::new("cmd");
        c.args(["/C", "start", ""]);
        c
    } else if cfg!(target_os = "macos") {
        Command::new("open")
    } else {
        if env::var_os("DISPLAY").is_none() && env::var_os("WAYLAND_DISPLAY").is_none() {
            return false;
        }
        Command::new("xdg-open")
    };
    command.arg(address).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    match command.spawn() {
        Ok(mut child) => {
            // Waited for on the side, so that no dead process stays behind while the page is served.
            std::thread::spawn(move || child.wait());
            true
        }
        Err(_) => false,
    }
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::*;

    #[test]
    fn the_data_folder_is_the_named_one_or_in_home() {
        let both = |name: &str| match name {
            "XDG_DATA_HOME" => Some(PathBuf::from("/data")),
            "HOME" => Some(PathBuf::from("/home/m")),
            _ => None,
        };
        assert_eq!(data_folder(both), Some(PathBuf::from("/data")));
        assert_eq!(data_folder(|n| both(n).filter(|_| n == "HOME")), Some(PathBuf::from("/home/m/.local/share")));
        assert_eq!(data_folder(|_| None), None);
    }
}
