//! Readings as CSV: out, in, and what is wrong with a file.

use crate::{AT, reading};
use jobbook::{Condition, Origin, Reading, Stage, UnixSeconds};
use proptest::prelude::*;
use tickover::exchange::{
    readings::{self, Column, What, Writer},
    write_up,
};
use workshop::job::QUANTITIES;

fn out(rows: &[(String, Reading)]) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut to = Writer::new(&mut bytes).unwrap();
    for (who, reading) in rows {
        to.row(&readings::Row { machine: "corran-360", job: "2026-0001", who, reading }).unwrap();
    }
    to.finish().unwrap();
    bytes
}

fn said(csv: &str) -> Vec<String> {
    readings::read(csv.as_bytes(), AT).unwrap_err().iter().map(readings::Defect::words).collect()
}

/// Text as a mechanic may write it: the page trims it.
fn words() -> impl Strategy<Value = String> {
    prop_oneof![
        "[ -~äß°±“”=+@'\",;\n\t-]{0,20}",
        Just("=HYPERLINK(\"http://x\")".to_owned()),
        Just("'quoted'".to_owned()),
        Just("-1".to_owned())
    ]
    .prop_map(|text| text.trim().to_owned())
}

prop_compose! {
    fn any_reading()(
        q in 0..QUANTITIES.len(),
        // Four significant figures, as instruments show them; the sign of an advance may be either.
        (figures, places) in (1u32..9999, 0u32..5),
        doubt in prop_oneof![Just(None), (1u32..999).prop_map(Some)],
        unit in 0usize..4,
        stage in prop_oneof![Just(Stage::AsFound), Just(Stage::During), Just(Stage::AsLeft)],
        (place, instrument, who, other) in (words(), words(), "[A-Z]?[a-zäö.]{0,8}", words()),
        temperature in prop_oneof![Just(None), (-400i32..9000).prop_map(Some)],
        speed in prop_oneof![Just(None), (0u32..15_000).prop_map(Some)],
        condition in 0usize..7,
        origin in 0usize..6,
        seconds in 0i64..253_402_300_799,
    ) -> (String, Reading) {
        let quantity = &QUANTITIES[q];
        let units = quantity.dimension.units();
        let symbol = units[unit % units.len()].symbol();
        let number = f64::from(figures) / 10f64.powi(places as i32);
        // A trailing zero keeps three decimals from being taken for thousands.
        let value = format!("{number:.*}", places as usize + usize::from(places == 3));
        let typed = match doubt {
            None => format!("{value} {symbol}"),
            Some(doubt) => format!("{value} ± {:.2} {symbol}", f64::from(doubt) / 100.0),
        };
        let parse = |text: String, dimension| quantity::Reading::parse(&text, dimension).unwrap().si;
        let conditions = [None, Some(Condition::Loaded), Some(Condition::Open), Some(Condition::Kicking), Some(Condition::Running),
            Some(Condition::Still), (!other.is_empty()).then_some(Condition::Other(other))];
        let origins = [Origin::Measured, Origin::Maker, Origin::Estimate, Origin::File, Origin::Recording, Origin::Shared];
        let reading = Reading {
            stage, place, instrument,
            temperature_k: temperature.map(|t| parse(format!("{:.1} °C", f64::from(t) / 10.0), quantity::Dimension::Temperature)),
            crank_rad_s: speed.map(|s| parse(format!("{s} rpm"), quantity::Dimension::Speed)),
            condition: conditions[condition].clone(),
            origin: origins[origin],
            taken_at: UnixSeconds(seconds),
            ..reading(quantity.key, &typed)
        };
        (who, reading)
    }
}

proptest! {
    #[test]
    fn what_goes_out_comes_in_again_the_same(rows in prop::collection::vec(any_reading(), 1..8)) {
        let bytes = out(&rows);
        let back = readings::read(&bytes, UnixSeconds(0));
        let back = back.map_err(|d| d.iter().map(readings::Defect::words).collect::<Vec<_>>());
        let back: Vec<(String, Reading)> = back.unwrap().into_iter().map(|i| (i.who, i.reading)).collect();
        prop_assert_eq!(back, rows.clone());
        // The columns with numbers alone say the same, whatever the separator.
        for separator in [b',', b';', b'\t'] {
            let numbers = readings::read(&without(&bytes, Column::AsWritten, separator), UnixSeconds(0));
            let numbers = numbers.map_err(|d| d.iter().map(readings::Defect::words).collect::<Vec<_>>()).unwrap();
            for (back, (_, reading)) in numbers.iter().zip(&rows) {
                prop_assert_eq!(back.reading.value_si, reading.value_si);
                prop_assert_eq!(back.reading.plus_minus_si, reading.plus_minus_si);
            }
        }
    }

    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..300), text in "(stage|what|value|,|;|\"|\n|mm|1,200| ){0,40}") {
        let _ = readings::read(&bytes, AT);
        let _ = readings::read(text.as_bytes(), AT);
        let _ = write_up::read(&bytes);
    }
}

/// The file without a column and with another separator, as a spreadsheet would write it.
fn without(bytes: &[u8], column: Column, separator: u8) -> Vec<u8> {
    let mut to = csv::WriterBuilder::new().delimiter(separator).from_writer(Vec::new());
    let at = Column::ALL.into_iter().position(|c| c == column);
    for record in csv::ReaderBuilder::new().has_headers(false).from_reader(bytes).records() {
        to.write_record(record.unwrap().iter().enumerate().filter(|(n, _)| Some(*n) != at).map(|(_, cell)| cell)).unwrap();
    }
    to.into_inner().unwrap()
}

#[test]
fn no_cell_of_words_is_a_formula() {
    let mut dirty = reading("pickup.gap", "0.55 ± 0.05 mm");
    dirty.place = "=1+1".into();
    dirty.instrument = "@SUM(A1)".into();
    dirty.condition = Some(Condition::Other("+cmd|' /C calc'!A0".into()));
    let bytes = out(&[("-2+3".into(), dirty), ("".into(), reading("static.advance", "5° ATDC"))]);
    for record in csv::Reader::from_reader(&bytes[..]).records() {
        for cell in record.unwrap().iter().filter(|c| c.parse::<f64>().is_err()) {
            assert!(!cell.starts_with(['=', '+', '-', '@']), "{cell}");
        }
    }
}

/// As a spreadsheet of a country with decimal commas saves it: byte order mark, semicolons, CR LF, quoted cells.
#[test]
fn files_of_other_programs_are_read() {
    let csv = "\u{feff}Stage;What;Value;Plus-minus;Unit;Place;Taken at\r\nas found;Pickup gap;0,85;0,05;mm;\"left; front\";2026-11-25 14:03\r\n\
               as_left;pickup.gap;1 1/4;;in;;\r\n\r\n;;;;;;\r\nduring;idle.speed;1.120,5;3 %;rpm;;2026-11-25\r\n";
    let rows = readings::read(csv.as_bytes(), AT).unwrap();
    assert_eq!(rows.len(), 3);
    let first = &rows[0].reading;
    assert_eq!((first.value_si, first.plus_minus_si, first.place.as_str()), (0.85e-3, 0.05e-3, "left; front"));
    assert_eq!(
        (first.typed.as_str(), first.origin, first.taken_at),
        ("0,85 ± 0,05 mm", Origin::File, UnixSeconds(1_795_615_380))
    );
    assert_eq!((rows[1].reading.value_si, rows[1].reading.taken_at), (0.03175, AT));
    let idle = &rows[2].reading;
    // 2π/60 rad/s to a turn a minute.
    let expected = 1120.5 * std::f64::consts::TAU / 60.0;
    /// A few roundings of a float.
    const ROUNDING: f64 = 1e-12;
    assert!((idle.value_si / expected - 1.0).abs() < ROUNDING && (idle.plus_minus_si / (0.03 * expected) - 1.0).abs() < ROUNDING);
    assert_eq!(rows[2].line, 6);
}

#[test]
fn every_defect_is_told_with_its_place_and_what_to_do() {
    let said = said(
        "stage,what,value,unit,plus_minus,temperature_c,speed_rpm,taken_at,as_written\n\
         as_fund,pickup.gap,0.55,mm,0.05,20,,,\n\
         as_left,pickup.gab,0.55,mm,,,,,\n\
         as_left,idle.speed,\"1,200\",rpm,,,,,\n\
         as_left,pickup.gap,0.55,,,-300,fast,25.11.2026,\n\
         as_left,pickup.gap,0.55,V,,,,,\n\
         as_left,pickup.gap,0.55,mm,-0.1,,,,\n\
         as_left,pickup.gap,,,,,,,\n\
         as_left,pickup.gap,0.55,mm,,,,,0.65 mm\n\
         as_left,pickup.gap,NaN,mm,,,,,\n\
         as_left,pickup.gap,0,55,mm,,,,,\n",
    );
    let expected = [
        "Line 2, column “stage”, “as_fund”: This means nothing here. Did you mean “as_found”?",
        "Line 3, column “what”, “pickup.gab”: This means nothing here. Did you mean “pickup.gap”?",
        "Line 4, column “value”, “1,200”: This can mean 1.200 or 1200. Write it without the separator, or with another digit.",
        "Line 5, column “unit”: The unit is missing. A length is written in mm, cm or in.",
        "Line 5, column “temperature_c”, “-300”: Nothing is colder than −273.15 °C.",
        "Line 5, column “speed_rpm”, “fast”: “fast” is not a number.",
        "Line 5, column “taken_at”, “25.11.2026”: This is not a time.",
        "Line 6, column “unit”, “V”: “V” does not measure a length.",
        "Line 7, column “plus_minus”, “-0.1”: A ± cannot be negative.",
        "Line 8, column “value”: Nothing stands here",
        "Line 9, column “as_written”, “0.65 mm”: The columns beside it say “0.55 mm”.",
        "Line 10, column “value”, “NaN”",
        "Line 11: This row has 10 cells, the first row 9. A decimal comma, or a comma in words, splits a cell",
    ];
    for (n, expected) in expected.iter().enumerate() {
        assert!(said.get(n).is_some_and(|s| s.starts_with(expected)), "{expected}\n{said:#?}");
    }
    assert_eq!(said.len(), expected.len(), "{said:#?}");
}

#[test]
fn a_file_that_is_none_is_told_so() {
    for (csv, what) in [
        ("", "none is known here"),
        ("a,b\n1,2\n", "none is known here"),
        ("stage,what,valeu\n", "Did you mean “value”?"),
        ("stage,what,value,value\n", "is there twice"),
        ("stage,value\nas_left,1 mm\n", "column “what”: This column is missing"),
        ("stage,what,value\n", "no reading below the first row"),
        (
            "stage,what,value,place\nas_left,pickup.gap,1 mm,\u{1b}[2Jleft\n",
            "not to be seen, or that turns the direction of the text (U+001B)",
        ),
        ("stage,what,value\nas_left,\"pickup.gap,1 mm\n", "Line 2: A quotation mark opens a cell"),
        ("job,stage,what,value\n1,as_left,pickup.gap,1 mm\n2,as_left,pickup.gap,1 mm\n", "readings of several jobs"),
    ] {
        let said = said(csv).join("\n");
        assert!(said.contains(what), "{csv:?}: {said}");
    }
    let not_text = readings::read(b"stage,what,value\nas_left,pickup.gap,\xff\n", AT).unwrap_err();
    assert!(matches!(not_text[..], [readings::Defect { line: 2, what: What::NotText, .. }]));
    let many = format!("stage,what,value\n{}", "x,y,z\n".repeat(500));
    assert!(said_last(&many).contains("And 800 more"), "{}", said_last(&many));
    let huge = vec![b'x'; readings::MOST_BYTES + 1];
    assert!(matches!(readings::read(&huge, AT).unwrap_err()[..], [readings::Defect { what: What::TooLarge, .. }]));
}

fn said_last(csv: &str) -> String {
    said(csv).pop().unwrap()
}
