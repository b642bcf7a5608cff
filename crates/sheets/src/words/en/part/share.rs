//! A shelf with its photos as one file, handed on and taken in.

use std::path::Path;

/// The book has no shelf of this name.
pub fn no_such_shelf(name: &str, kept: &[String]) -> String {
    if kept.is_empty() {
        return format!(
            "The book keeps no shelf “{name}”, and no other. Send one on the page of substitute parts, or take one in."
        );
    }
    format!("The book keeps no shelf “{name}”. It has: {}.", kept.join(", "))
}

/// It was written.
pub fn written(file: &Path, parts: usize, photos: usize) -> String {
    format!("{}: the shelf with {} and {}.", file.display(), super::page::parts_on_it(parts), of_photos(photos))
}

/// What is in one.
pub fn there(name: &str, parts: usize, photos: usize, absent: usize) -> String {
    let absent = match absent {
        0 => String::new(),
        1 => " One photo that it names is not with it.".to_owned(),
        n => format!(" {n} photos that it names are not with it."),
    };
    format!("A shelf of parts, {name}: {} and {}.{absent}", super::page::parts_on_it(parts), of_photos(photos))
}

/// Files of the book whose place those would take.
pub fn takes_place(names: &[String]) -> String {
    format!("Takes the place of what the book has under the same name: {}. Both stay in the log.", names.join(", "))
}

/// It is kept.
pub fn kept(name: &str) -> String {
    format!("{name} is kept in the book, with its photos.")
}

fn of_photos(count: usize) -> String {
    if count == 1 { "1 photo".to_owned() } else { format!("{count} photos") }
}

/// A job was named, and a shelf belongs to none.
pub const NO_JOB: &str = "This is a shelf of parts. It belongs to no job; leave --job out.";
/// The archive cannot be read.
pub const BROKEN: &str = "The archive is damaged or not whole. Have it sent again.";

/// Too much in it.
pub fn too_large(most: u64) -> String {
    format!("Unpacked it comes to more than {} MB. Divide the shelf, or leave photos out.", most >> 20)
}

/// A name that is none.
pub fn bad_name(name: &str) -> String {
    format!("“{name}” is no plain name of a file. A shelf and its photos lie side by side, without folders.")
}

/// The same name twice.
pub fn twice(name: &str) -> String {
    format!("“{name}” is there twice; capitals make no difference.")
}

/// Not one shelf.
pub fn shelves(found: usize) -> String {
    match found {
        0 => "There is no shelf in it: a file that ends in .csv, .tsv or .toml.".to_owned(),
        n => format!("There are {n} shelves in it. Hand them on one by one."),
    }
}

/// A file that does not belong there.
pub fn stray(name: &str) -> String {
    format!("“{name}” is neither the shelf nor a photo (JPEG, PNG, WebP).")
}

/// A photo of no part.
pub fn unnamed(name: &str) -> String {
    format!("No part names the photo “{name}”. Write its name in the column “photo”, or leave it out.")
}
