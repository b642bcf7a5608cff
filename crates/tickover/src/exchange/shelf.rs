//! A shelf of parts as CSV (RFC 4180): a column for each thing that is said of a part, named in the first row.
//!
//! Commas, semicolons or tabs part the cells. Numbers are written as people write them, with unit and ±; a comma within a cell needs quotes where commas part
//! them. Names of columns may have capitals, spaces and hyphens. A column that a kind of part does not have stays empty in its rows.

use super::readings::{folded, open_quote, records, unshielded};
use workshop::study::part::{At, Cell, Defect, DefectKind, Kinds, MOST_PARTS, Shelf, Shelving};

/// Largest file that is read [bytes]: a row of a full shelf has some 300.
pub const MOST_BYTES: u64 = 128 << 20;

/// Reads a shelf.
///
/// # Errors
/// All its defects, each with line and column; nothing of the file is to be used then.
pub fn read(kinds: &Kinds, bytes: &[u8]) -> Result<Shelf, Vec<Defect>> {
    let mut shelving = Shelving::new(kinds);
    let row = |line: u64| At::Cell { line, column: 0 };
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.trim_start_matches('\u{feff}'),
        Err(error) => {
            let line = 1 + bytes[..error.valid_up_to()].iter().filter(|b| **b == b'\n').count() as u64;
            shelving.note("", row(line), DefectKind::NotText);
            return shelving.done();
        }
    };
    let Some(separator) = separator(&shelving, text) else {
        shelving.note("", row(1), DefectKind::NoHeader);
        return shelving.done();
    };
    if let Some(line) = open_quote(text, separator) {
        shelving.note("", row(line), DefectKind::QuoteOpen);
        return shelving.done();
    }
    let mut records = records(text, separator);
    let (first, head) = records.next().unwrap_or_default();
    let names: Vec<String> = head.iter().map(folded).collect();
    let mut sound = true;
    for (n, name) in names.iter().enumerate() {
        let at = At::Cell { line: first, column: n + 1 };
        if names[..n].contains(name) {
            shelving.note(name, at, DefectKind::Twice { name: name.clone() });
            sound = false;
        } else if let Err(did_you_mean) = shelving.knows(name) {
            shelving.note(name, at, DefectKind::NoColumn { did_you_mean });
            sound = false;
        }
    }
    if !sound {
        return shelving.done();
    }
    let mut count = 0;
    for (line, record) in records.filter(|(_, r)| r.iter().any(|cell| !cell.trim().is_empty())) {
        count += 1;
        if count > MOST_PARTS {
            shelving.note("", row(line), DefectKind::TooManyParts { most: MOST_PARTS });
            break;
        }
        if record.len() != names.len() {
            shelving.note("", row(line), DefectKind::CellCount { cells: record.len(), columns: names.len() });
            continue;
        }
        let cell = |(n, (key, text)): (usize, (&'_ String, &'_ str))| (n, key.clone(), unshielded(text.trim()).trim().to_owned());
        let texts: Vec<_> =
            names.iter().zip(record.iter()).enumerate().filter(|(_, (_, t))| !t.trim().is_empty()).map(cell).collect();
        let cells: Vec<Cell<'_>> =
            texts.iter().map(|(n, key, text)| Cell { key, text, at: At::Cell { line, column: n + 1 } }).collect();
        shelving.put(&cells, row(line));
    }
    shelving.done()
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
    use workshop::study::part::{Value, base};

    #[test]
    fn separators_units_and_decimal_commas_are_told_apart() {
        let text =
            "ID;Kind;measured;Primary Resistance;system\r\na;coil;meter;0,42 ± 0,03 Ω;capacitor\r\n\r\nb;coil;meter;420 mΩ;\r\n";
        let shelf = read(base(), text.as_bytes()).unwrap();
        let coil = &base().list[shelf.parts[0].kind];
        let at = coil.named("primary_resistance").unwrap();
        for (part, usual) in shelf.parts.iter().zip([false, true]) {
            let Some(Value::Number { reading, usual: told }) = &part.values[at] else { panic!("{part:?}") };
            assert!((reading.si - 0.42).abs() < 1e-12 && *told == usual);
        }
        assert_eq!(shelf.parts[1].values[coil.named("system").unwrap()], None);
    }

    #[test]
    fn every_defect_has_its_line_and_column_and_nothing_is_taken() {
        let text = "id,kind,measured,primary_resistance,system\na,coil,meter,0,42 Ω,capacitor\nA2,coil,meter,\"1,200 Ω\",capacitor\na2,coyl,meter,,\nb,coil,meter,0.4,batery\nc,plug,meter,0.4 Ω,\n";
        let defects = read(base(), text.as_bytes()).unwrap_err();
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
            assert_eq!(read(base(), text).unwrap_err()[0].kind, what);
        }
    }
}
