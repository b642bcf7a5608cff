//! A shelf of parts as CSV (RFC 4180): a column for each thing that is said of a part, named in the first row.
//!
//! Commas, semicolons or tabs part the cells. Numbers are written as people write them, with unit and ±; a comma within a cell needs quotes where commas part
//! them. Names of columns may have capitals, spaces and hyphens. A column that a kind of part does not have stays empty in its rows.

use super::readings::{Quotes, folded, line_ends, records, unshielded};
use std::io::{self, BufRead, Read};
use workshop::study::part::{At, Cell, Defect, DefectKind, Kinds, MOST_PARTS, Shelf, Shelving};

/// Largest file that is read [bytes]: a row of a full shelf has some 300.
pub const MOST_BYTES: u64 = 128 << 20;
/// Longest row [bytes] (own choice): a page of notes.
const MOST_ROW: usize = 1 << 20;
/// Rows are taken in pieces of this size [bytes] (own choice), so that no file stands in memory whole.
const PIECE: usize = 1 << 16;

/// Whether a file may be a shelf of parts, by the ending of its name; what it is, its reading tells.
pub fn may_be_one(name: &str) -> bool {
    let name = name.to_ascii_lowercase();
    [".csv", ".tsv", ".toml"].iter().any(|ending| name.ends_with(ending))
}

/// Reads a shelf row by row; the file never stands in memory as a whole.
///
/// # Errors
/// The file cannot be read; or all its defects, each with line and column, and nothing of it is to be used then.
pub fn read(kinds: &Kinds, from: impl BufRead) -> io::Result<Result<Shelf, Vec<Defect>>> {
    let mut shelving = Shelving::new(kinds);
    let mut from = from.take(MOST_BYTES + 1);
    let mut first = Vec::new();
    (&mut from).take(MOST_ROW as u64).read_until(b'\n', &mut first)?;
    let head = match std::str::from_utf8(&first) {
        Ok(text) => text.trim_start_matches('\u{feff}').to_owned(),
        Err(_) => {
            shelving.note("", row(1), DefectKind::NotText);
            return Ok(shelving.done());
        }
    };
    let Some(separator) = separator(&shelving, &head) else {
        shelving.note("", row(1), DefectKind::NoHeader);
        return Ok(shelving.done());
    };
    let mut rows = Rows { separator, quotes: Quotes::new(separator), names: Vec::new(), count: 0, line: 1 };
    let mut piece = head.into_bytes();
    rows.quotes.feed(&piece);
    loop {
        // A piece ends with a row, or with the file.
        let mut ended = false;
        let mut row_from = piece.len();
        while !ended && (piece.len() < PIECE || rows.quotes.open().is_some()) {
            let before = piece.len();
            ended = (&mut from).take(MOST_ROW as u64).read_until(b'\n', &mut piece)? == 0;
            rows.quotes.feed(&piece[before..]);
            let whole = rows.quotes.open().is_none() && piece.ends_with(b"\n");
            if !whole && !ended && piece.len() - row_from >= MOST_ROW {
                let at = row(rows.quotes.open().unwrap_or(rows.line + line_ends(&piece[..row_from])));
                let open = rows.quotes.open().is_some();
                shelving.note("", at, if open { DefectKind::QuoteOpen } else { DefectKind::RowTooLong { most: MOST_ROW } });
                return Ok(shelving.done());
            }
            if whole {
                row_from = piece.len();
            }
        }
        if let Some(line) = rows.quotes.open() {
            shelving.note("", row(line), DefectKind::QuoteOpen);
            return Ok(shelving.done());
        }
        if !rows.put(&mut shelving, &piece) || (ended && from.limit() == 0) {
            break;
        }
        if ended {
            return Ok(shelving.done());
        }
        piece.clear();
    }
    if from.limit() == 0 {
        shelving.note("", At::Whole, DefectKind::TooLarge { most: MOST_BYTES });
    }
    Ok(shelving.done())
}

/// Largest shelf in TOML [bytes]: as any document, for it stands in memory whole.
const MOST_TOML_BYTES: u64 = workshop::document::MOST_BYTES as u64;

/// Reads a shelf as TOML where its name ends so, otherwise as CSV. Defects come with the text that their places count in, empty for CSV.
///
/// # Errors
/// As [`read`].
pub fn any(kinds: &Kinds, name: &str, from: impl BufRead) -> io::Result<Result<Shelf, (String, Vec<Defect>)>> {
    if !name.to_ascii_lowercase().ends_with(".toml") {
        return Ok(read(kinds, from)?.map_err(|defects| (String::new(), defects)));
    }
    let mut bytes = Vec::new();
    from.take(MOST_TOML_BYTES + 1).read_to_end(&mut bytes)?;
    let whole = |kind| Ok(Err((String::new(), vec![Defect { kind, path: String::new(), at: At::Whole }])));
    if bytes.len() as u64 > MOST_TOML_BYTES {
        return whole(DefectKind::TooLarge { most: MOST_TOML_BYTES });
    }
    match String::from_utf8(bytes) {
        Ok(text) => Ok(Shelf::toml(kinds, &text).map_err(|defects| (text, defects))),
        Err(_) => whole(DefectKind::NotText),
    }
}

fn row(line: u64) -> At {
    At::Cell { line, column: 0 }
}

/// Rows as they come.
struct Rows {
    separator: char,
    quotes: Quotes,
    /// Names of columns, once the first row was read.
    names: Vec<String>,
    /// Rows that held something.
    count: usize,
    /// The line on which the next piece begins.
    line: u64,
}

impl Rows {
    /// Puts all rows of a piece; false where no more is to be read.
    fn put(&mut self, shelving: &mut Shelving<'_>, piece: &[u8]) -> bool {
        let text = match std::str::from_utf8(piece) {
            Ok(text) => text,
            Err(error) => {
                shelving.note("", row(self.line + line_ends(&piece[..error.valid_up_to()])), DefectKind::NotText);
                return false;
            }
        };
        let begun = self.line;
        self.line += line_ends(piece);
        for (line, record) in records(text, self.separator) {
            let line = begun + line - 1;
            if self.names.is_empty() {
                self.names = record.iter().map(folded).collect();
                if !known(shelving, line, &self.names) {
                    return false;
                }
                continue;
            }
            if record.iter().all(|cell| cell.trim().is_empty()) {
                continue;
            }
            self.count += 1;
            if self.count > MOST_PARTS {
                shelving.note("", row(line), DefectKind::TooManyParts { most: MOST_PARTS });
                return false;
            }
            if record.len() != self.names.len() {
                shelving.note("", row(line), DefectKind::CellCount { cells: record.len(), columns: self.names.len() });
                continue;
            }
            let texts = self.names.iter().zip(record.iter()).enumerate().filter(|(_, (_, t))| !t.trim().is_empty());
            let cell =
                |(n, (key, text)): (usize, (&'_ String, &'_ str))| (n, key.clone(), unshielded(text.trim()).trim().to_owned());
            let texts: Vec<(usize, String, String)> = texts.map(cell).collect();
            let cells: Vec<Cell<'_>> =
                texts.iter().map(|(n, key, text)| Cell { key, text, at: At::Cell { line, column: n + 1 } }).collect();
            shelving.put(&cells, row(line));
        }
        true
    }
}

/// Whether every column is known, and stands there once.
fn known(shelving: &mut Shelving<'_>, line: u64, names: &[String]) -> bool {
    let mut sound = true;
    for (n, name) in names.iter().enumerate() {
        let at = At::Cell { line, column: n + 1 };
        if names[..n].contains(name) {
            shelving.note(name, at, DefectKind::Twice { name: name.clone() });
            sound = false;
        } else if let Err(did_you_mean) = shelving.knows(name) {
            shelving.note(name, at, DefectKind::NoColumn { did_you_mean });
            sound = false;
        }
    }
    sound
}

/// The sign between cells: the one with which the first row has most columns that are known.
fn separator(shelving: &Shelving<'_>, text: &str) -> Option<char> {
    let known = |separator: char| {
        records(text, separator).next().map_or(0, |(_, head)| head.iter().filter(|c| shelving.knows(&folded(c)).is_ok()).count())
    };
    [',', ';', '\t'].into_iter().map(|s| (known(s), s)).filter(|(n, _)| *n > 0).max_by_key(|(n, _)| *n).map(|(_, s)| s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use workshop::study::part::{Known, Value, base};

    #[test]
    fn separators_units_and_decimal_commas_are_told_apart() {
        let text =
            "ID;Kind;measured;Primary Resistance;system\r\na;coil;meter;0,42 ± 0,03 Ω;capacitor\r\n\r\nb;coil;meter;420 mΩ;\r\n";
        let shelf = read(base(), text.as_bytes()).unwrap().unwrap();
        let coil = &base().list[shelf.parts()[0].kind];
        let at = coil.named("primary_resistance").unwrap();
        for (part, usual) in shelf.parts().iter().zip([false, true]) {
            let Some(Value::Number { reading, usual: told }) = &part.values[at] else { panic!("{part:?}") };
            assert!((reading.si - 0.42).abs() < 1e-12 && *told == usual);
        }
        assert_eq!(shelf.parts()[1].values[coil.named("system").unwrap()], None);
    }

    #[test]
    fn every_defect_has_its_line_and_column_and_nothing_is_taken() {
        let text = "id,kind,measured,primary_resistance,system\na,coil,meter,0,42 Ω,capacitor\nA2,coil,meter,\"1,200 Ω\",capacitor\na2,coyl,meter,,\nb,coil,meter,0.4,batery\nc,plug,meter,0.4 Ω,\n";
        let defects = read(base(), text.as_bytes()).unwrap().unwrap_err();
        let at: Vec<(u64, usize)> =
            defects.iter().map(|d| if let At::Cell { line, column } = d.at { (line, column) } else { (0, 0) }).collect();
        assert_eq!(at, [(2, 0), (3, 4), (4, 1), (4, 2), (5, 4), (5, 5), (6, 4)], "{defects:#?}");
        assert!(matches!(defects[0].kind, DefectKind::CellCount { cells: 6, columns: 5 }));
        assert!(matches!(&defects[5].kind, DefectKind::Word { did_you_mean: Some(word), .. } if word == "battery"));
        for (text, what) in [
            (&b""[..], DefectKind::NoHeader),
            (b"id,kind,measured\n\xff", DefectKind::NotText),
            (b"id,kind,measured\na,\"coil,x", DefectKind::QuoteOpen),
            (b"id,kind,measured\n", DefectKind::NoParts),
            (b"id,kind,mesured\n", DefectKind::NoColumn { did_you_mean: Some("measured".to_owned()) }),
        ] {
            assert_eq!(read(base(), text).unwrap().unwrap_err()[0].kind, what);
        }
    }
    #[test]
    fn rows_are_counted_over_pieces_quotes_over_lines_and_a_value_may_say_how_it_is_known() {
        // Some thirty pieces; the last rows have a note over three lines, a value of another origin, and a slip.
        let mut text = String::from("\u{feff}id,kind,measured,primary_resistance,note\n");
        for n in 0..40_000 {
            text += &format!("c-{n},coil,four-wire meter,0.4 Ω,plain row of some length\n");
        }
        text += "x,coil,meter,\"0.5 Ω [quoted: small advert, 2026-05-02]\",\"two\nlines, and\na third\"\n";
        let shelf = read(base(), text.as_bytes()).unwrap().unwrap();
        assert_eq!(shelf.parts().len(), 40_001);
        let last = &shelf.parts()[40_000];
        assert_eq!(last.note.as_deref(), Some("two\nlines, and\na third"));
        let at = base().list[last.kind].named("primary_resistance").unwrap();
        let origin = last.origin(at);
        assert_eq!((origin.known, origin.day.as_deref()), (Known::Quoted("small advert".to_owned()), Some("2026-05-02")));
        text += "y,coil,meter,0.5 mm,\n";
        let defects = read(base(), text.as_bytes()).unwrap().unwrap_err();
        assert_eq!((defects.len(), defects[0].at.clone()), (1, At::Cell { line: 40_005, column: 4 }));
        let open = text.replace("a third\"", "a third");
        assert!(matches!(
            read(base(), open.as_bytes()).unwrap().unwrap_err()[0],
            Defect { kind: DefectKind::QuoteOpen, at: At::Cell { line: 40_002, column: 0 }, .. }
        ));
        let long = format!("id,kind,measured\na,coil,{}\n", "m".repeat(MOST_ROW + 10));
        assert_eq!(read(base(), long.as_bytes()).unwrap().unwrap_err()[0].kind, DefectKind::RowTooLong { most: MOST_ROW });
        for wrong in ["0.5 Ω [seen]", "0.5 Ω [measured: ]", "0.5 Ω ]"] {
            let text = format!("id,kind,measured,primary_resistance\na,coil,meter,{wrong}\n");
            assert!(
                matches!(read(base(), text.as_bytes()).unwrap().unwrap_err()[0].kind, DefectKind::BadOrigin { .. }),
                "{wrong}"
            );
        }
    }
}
