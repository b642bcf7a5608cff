//! A write-up from elsewhere. Nothing in it is trusted: sizes, depth, form, hashes and every reading are looked at before
//! anything of it is shown.

use super::{
    FORMAT, Fault, Measured, PictureFault, WriteUp,
    html::{BLOCK, PICTURE},
    picture,
};
use crate::exchange::{hidden_sign, when};
use base64::{Engine, prelude::BASE64_STANDARD};
use jobbook::{ContentHash, Media};
use quantity::{Dimension, Reading};
use sheets::words::exchange as text;
use std::collections::BTreeMap;
use workshop::{
    job::{QUANTITIES, named},
    machine::{self, place},
};

/// Largest file that is read [bytes]: some ten pictures of a telephone.
pub const MOST_BYTES: usize = 64 << 20;
/// Most data beside the pictures [bytes]; a finding with all its curves is some 100 kB.
const MOST_DATA: usize = 8 << 20;
/// Deepest nesting of the data [1]; our own is some ten deep.
pub(super) const DEEPEST: usize = 40;
/// Most readings, and most of anything else [1].
const MOST_READINGS: usize = 10_000;
const MOST_OTHERS: usize = 1_000;
/// Longest text where words stand, and where a name or a key stands [letters].
const LONGEST_WORDS: usize = 100_000;
const LONGEST_NAME: usize = 1_000;
/// Most faults that are told one by one.
const MOST_FAULTS: usize = 200;

/// A write-up that can be kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Received {
    /// What it says.
    pub write_up: WriteUp,
    /// Bytes of its pictures.
    pub pictures: BTreeMap<ContentHash, Vec<u8>>,
    /// Name of the machine.
    pub name: String,
    /// Hash of the whole file.
    pub file: ContentHash,
}

/// It looks like a write-up, whole or not.
pub fn is_one(bytes: &[u8]) -> bool {
    bytes.windows(BLOCK.len()).any(|w| w == BLOCK.as_bytes())
}

/// Reads a write-up.
///
/// # Errors
/// All its faults; nothing of it is to be kept then.
pub fn read(bytes: &[u8]) -> Result<Received, Vec<Fault>> {
    let (write_up, page) = form(bytes).map_err(|fault| vec![fault])?;
    let mut check = Check { faults: Vec::new() };
    let name = check.machine(&write_up.machine);
    check.counts(&write_up);
    if check.faults.is_empty() {
        check.words(&write_up);
        write_up.readings.iter().enumerate().for_each(|(n, r)| check.reading(&text::place_reading(n + 1), r));
    }
    // Pictures are the most work, so only when nothing else is wrong.
    let pictures = if check.faults.is_empty() { check.pictures(&write_up, page) } else { BTreeMap::new() };
    if check.faults.len() > MOST_FAULTS {
        let left_out = check.faults.len() - MOST_FAULTS;
        check.faults.truncate(MOST_FAULTS);
        check.faults.push(Fault::More { left_out });
    }
    match name {
        Some(name) if check.faults.is_empty() => Ok(Received { write_up, pictures, name, file: ContentHash::of(bytes) }),
        _ => Err(check.faults),
    }
}

/// The data, in the form that it should have, and the page around it.
fn form(bytes: &[u8]) -> Result<(WriteUp, &str), Fault> {
    if bytes.len() > MOST_BYTES {
        return Err(Fault::TooLarge { most: MOST_BYTES });
    }
    let page = std::str::from_utf8(bytes).map_err(|_| Fault::NotText)?;
    let (_, after) = page.split_once(BLOCK).ok_or(Fault::NoData)?;
    let (data, rest) = after.split_once("</script>").ok_or(Fault::NoData)?;
    if rest.contains(BLOCK) {
        return Err(Fault::SeveralBlocks);
    }
    if data.len() > MOST_DATA {
        return Err(Fault::TooLarge { most: MOST_DATA });
    }
    if depth(data) > DEEPEST {
        return Err(Fault::TooDeep);
    }
    // The version first: what a later one has more is no fault of form.
    #[derive(serde::Deserialize)]
    struct Any {
        tickover: AnyVersion,
    }
    #[derive(serde::Deserialize)]
    struct AnyVersion {
        write_up: u64,
    }
    let said = |e: serde_json::Error| Fault::Form { said: e.to_string() };
    let version = serde_json::from_str::<Any>(data).map_err(said)?.tickover.write_up;
    if version > u64::from(FORMAT) {
        return Err(Fault::Newer { found: version });
    }
    if version == 0 {
        return Err(Fault::NoData);
    }
    Ok((serde_json::from_str(data).map_err(said)?, page))
}

/// Deepest nesting of brackets outside of strings.
fn depth(json: &str) -> usize {
    let (mut now, mut most, mut quoted, mut shielded) = (0usize, 0, false, false);
    for byte in json.bytes() {
        match byte {
            _ if shielded => shielded = false,
            b'\\' if quoted => shielded = true,
            b'"' => quoted = !quoted,
            b'[' | b'{' if !quoted => {
                now += 1;
                most = most.max(now);
            }
            b']' | b'}' if !quoted => now = now.saturating_sub(1),
            _ => {}
        }
    }
    most
}

struct Check {
    faults: Vec<Fault>,
}

impl Check {
    fn machine(&mut self, file: &str) -> Option<String> {
        match machine::read(file) {
            Ok((machine, _)) => {
                self.text(text::PLACE_MACHINE, file, machine::MOST_BYTES);
                Some(machine.name)
            }
            Err(defects) => {
                self.faults.extend(defects.into_iter().map(|defect| {
                    let at = place(file, defect.span.start);
                    Fault::Machine { line: at.line, column: at.column, defect: Box::new(defect) }
                }));
                None
            }
        }
    }

    fn counts(&mut self, w: &WriteUp) {
        for (what, found, most) in [
            (text::COUNTED_READINGS, w.readings.len(), MOST_READINGS),
            (text::COUNTED_WORK, w.alterations.len(), MOST_OTHERS),
            (text::COUNTED_NOTES, w.notes.len(), MOST_OTHERS),
            (text::COUNTED_FINDINGS, w.findings.len(), MOST_OTHERS),
            (text::COUNTED_PICTURES, w.pictures.len(), MOST_OTHERS),
        ] {
            if found > most {
                self.faults.push(Fault::TooMany { what, found, most });
            }
        }
    }

    fn text(&mut self, place: &str, text: &str, most: usize) {
        let place = || place.to_owned();
        let found = text.chars().count();
        if found > most {
            self.faults.push(Fault::TooLong { place: place(), found, most });
        }
        if let Some(sign) = hidden_sign(text) {
            self.faults.push(Fault::Hidden { place: place(), sign });
        }
    }

    fn needed(&mut self, place: &str, text: &str) {
        if text.trim().is_empty() {
            self.faults.push(Fault::Empty { place: place.to_owned() });
        }
    }

    fn words(&mut self, w: &WriteUp) {
        self.text(text::PLACE_COMPLAINT, &w.complaint, LONGEST_WORDS);
        self.needed(text::PLACE_COMPLAINT, &w.complaint);
        self.text(text::PLACE_VERSION, &w.tickover.version, LONGEST_NAME);
        for (n, a) in w.alterations.iter().enumerate() {
            let place = text::place_work(n + 1);
            self.text(&place, &a.work, LONGEST_NAME);
            self.text(&place, &a.words, LONGEST_WORDS);
            self.needed(&place, &a.words);
            // Cuts are millimetres, and no angle of a rotor is more than a turn.
            let wrong = |v: &f64, most: f64| !(0.0..=most).contains(v);
            let measures = [a.length_m.filter(|m| wrong(m, 1.0)), a.angle_rad.filter(|w| wrong(w, std::f64::consts::TAU))];
            self.faults.extend(measures.into_iter().flatten().map(|found| Fault::Measure { place: place.clone(), found }));
        }
        for (n, note) in w.notes.iter().enumerate() {
            let place = text::place_note(n + 1);
            self.text(&place, &note.words, LONGEST_WORDS);
            self.text(&place, &note.about, LONGEST_NAME);
            self.needed(&place, &note.words);
        }
        for (n, finding) in w.findings.iter().enumerate() {
            let place = text::place_finding(n + 1);
            self.text(&place, &finding.study, LONGEST_NAME);
            self.text(&place, &finding.program, LONGEST_NAME);
            self.text(&place, &finding.words.join("\n"), LONGEST_WORDS);
            self.text(&place, &finding.result.to_string(), MOST_DATA);
        }
        for (n, picture) in w.pictures.iter().enumerate() {
            self.text(&text::place_picture(n + 1), &picture.words, LONGEST_NAME);
        }
    }

    fn reading(&mut self, place: &str, r: &Measured) {
        for words in [&r.place, &r.instrument, &r.condition, &r.value] {
            self.text(place, words, LONGEST_NAME);
        }
        match named(&r.what) {
            Some(quantity) => drop(self.number(place, &r.value, quantity.dimension)),
            None => {
                let did_you_mean = machine::most_like(&r.what, QUANTITIES.iter().map(|q| q.key));
                self.faults.push(Fault::Quantity { place: place.to_owned(), found: r.what.clone(), did_you_mean });
            }
        }
        if !r.temperature.is_empty() && self.number(place, &r.temperature, Dimension::Temperature).is_some_and(|k| k < 0.0) {
            self.faults.push(Fault::BelowAbsoluteZero { place: place.to_owned() });
        }
        if !r.speed.is_empty() {
            self.number(place, &r.speed, Dimension::Speed);
        }
        if when::read(&r.taken_on).is_none() {
            self.faults.push(Fault::Day { place: place.to_owned(), found: r.taken_on.clone() });
        }
    }

    fn number(&mut self, place: &str, found: &str, dimension: Dimension) -> Option<f64> {
        match Reading::parse(found, dimension) {
            Ok(reading) => Some(reading.si),
            Err(error) => {
                self.faults.push(Fault::Number { place: place.to_owned(), found: found.to_owned(), error });
                None
            }
        }
    }

    fn pictures(&mut self, w: &WriteUp, page: &str) -> BTreeMap<ContentHash, Vec<u8>> {
        let there = coded_pictures(page);
        let mut all = BTreeMap::new();
        for (n, named) in w.pictures.iter().take(MOST_OTHERS).enumerate() {
            let read = if all.contains_key(&named.hash) { Err(PictureFault::Twice) } else { bytes_of(named, &there) };
            match read {
                Ok(bytes) => drop(all.insert(named.hash.clone(), bytes)),
                Err(why) => self.faults.push(Fault::Picture { place: text::place_picture(n + 1), why }),
            }
        }
        all
    }
}

/// Coded pictures by hash and media type.
type Coded<'p> = BTreeMap<(&'p str, &'p str), &'p str>;

/// All pictures of a page, found in one pass; of two with one hash and type the first counts.
fn coded_pictures(page: &str) -> Coded<'_> {
    let mut all = BTreeMap::new();
    for after in page.split(PICTURE[0]).skip(1) {
        let parts = after.split_once(PICTURE[1]).and_then(|(hash, rest)| {
            let (media, rest) = rest.split_once(PICTURE[2])?;
            Some(((hash, media), rest.split_once('"')?.0))
        });
        if let Some((named, coded)) = parts {
            all.entry(named).or_insert(coded);
        }
    }
    all
}

/// The bytes of a picture, if they are what the data says.
fn bytes_of(named: &super::Picture, there: &Coded) -> Result<Vec<u8>, PictureFault> {
    let coded = there.get(&(named.hash.as_str(), named.media.as_str())).ok_or(PictureFault::Missing)?;
    let bytes = BASE64_STANDARD.decode(coded).map_err(|_| PictureFault::Unreadable)?;
    if ContentHash::of(&bytes) != named.hash {
        return Err(PictureFault::OtherHash);
    }
    match picture::bare(&bytes) {
        // What travels has been taken apart before; anything beside the picture was put there by somebody.
        Ok((kind, bare)) if kind.media() == named.media && bare == bytes && Media::of(&bytes).is_ok() => Ok(bytes),
        _ => Err(PictureFault::Content),
    }
}
