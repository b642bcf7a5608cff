//! Writes the sheet of an invented machine: `cargo run -p sheets --example sheet -- FILE.pdf`.

#[path = "../tests/common/mod.rs"]
mod common;

fn main() -> std::io::Result<()> {
    let path = std::env::args().nth(1).unwrap_or_else(|| "sheet.pdf".to_owned());
    let options = sheets::sheet::SheetOptions::default();
    let pdf = sheets::sheet::sheet(&common::machine(), &common::study(), &options)
        .map_err(|e| std::io::Error::other(format!("{e:?}")))?;
    std::fs::write(path, pdf)
}
