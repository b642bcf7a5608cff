//! Every place of a write-up where people wrote words, cleaned and looked at once more.

use super::{Measured, NotWritten, TakenOut, WriteUp, clean::Secrets, toml_text};
use crate::exchange::readings::condition_name;
use jobbook::{Condition, Reading};
use quantity::{Dimension, Source, Unit};
use sheets::words::exchange as text;
use workshop::{
    job::named,
    machine::{
        self,
        limits::{FILE, Field, Kind, Section},
    },
};

/// What must not travel, and what was taken out so far.
pub(super) struct Cleaner {
    pub secrets: Secrets,
    pub taken: Vec<TakenOut>,
}

impl Cleaner {
    pub fn text(&mut self, place: &str, text: &str) -> String {
        self.secrets.clean(text, place, &mut self.taken)
    }

    /// The machine file: its comments and its strings are cleaned, its keys and numbers are not words of people.
    pub fn machine(&mut self, file: &str) -> String {
        let mut clean = String::with_capacity(file.len());
        let mut from = 0;
        for words in toml_text::words(file) {
            let piece = &file[words.at.clone()];
            clean.push_str(&file[from..words.at.start]);
            if words.comment || !is_fixed(piece) {
                let line = 1 + file[..words.at.start].matches('\n').count();
                let cleaned = self.text(&text::place_file(line), piece);
                clean.push_str(&cleaned);
            } else {
                clean.push_str(piece);
            }
            from = words.at.end;
        }
        clean.push_str(&file[from..]);
        clean
    }

    /// A reading of a known quantity, its value as typed if that is what is kept.
    pub fn reading(&mut self, number: usize, r: &Reading) -> Option<Measured> {
        let (quantity, unit) = (named(&r.what)?, Unit::named(&r.unit)?);
        let kept = quantity::Reading { si: r.value_si, plus_minus_si: r.plus_minus_si, unit, source: Source::NotStated };
        let typed = quantity::Reading::parse(&r.typed, quantity.dimension);
        let same = typed.is_ok_and(|t| t.si == r.value_si && t.plus_minus_si == r.plus_minus_si);
        let value = if same { r.typed.clone() } else { kept.to_string() };
        quantity::Reading::parse(&value, quantity.dimension).ok()?;
        let place = text::place_reading(number);
        Some(Measured {
            stage: r.stage,
            what: quantity.key.to_owned(),
            place: self.text(&place, &r.place),
            value,
            instrument: self.text(&place, &r.instrument),
            temperature: r.temperature_k.map_or_else(String::new, |k| in_unit(k, Unit::Celsius)),
            speed: r.crank_rad_s.map_or_else(String::new, |w| in_unit(w, Unit::Rpm)),
            condition: match &r.condition {
                None => String::new(),
                Some(Condition::Other(words)) => self.text(&place, words),
                Some(known) => condition_name(known).to_owned(),
            },
            taken_on: sheets::words::on(r.taken_at),
        })
    }

    /// Every text in a JSON value, keys too.
    pub fn json(&mut self, place: &str, value: serde_json::Value) -> serde_json::Value {
        use serde_json::Value;
        match value {
            Value::String(text) => Value::String(self.text(place, &text)),
            Value::Array(all) => Value::Array(all.into_iter().map(|v| self.json(place, v)).collect()),
            Value::Object(all) => {
                Value::Object(all.into_iter().map(|(key, v)| (self.text(place, &key), self.json(place, v))).collect())
            }
            other => other,
        }
    }

    /// Looks again at all that people wrote, as it will be written.
    pub fn prove(&self, w: &WriteUp) -> Result<(), NotWritten> {
        machine::read(&w.machine).map_err(|_| NotWritten::NeedsIt)?;
        let mut all: Vec<(String, &str)> = vec![(text::PLACE_COMPLAINT.to_owned(), &w.complaint)];
        for words in toml_text::words(&w.machine) {
            let piece = &w.machine[words.at.clone()];
            if words.comment || !is_fixed(piece) {
                let line = 1 + w.machine[..words.at.start].matches('\n').count();
                all.push((text::place_file(line), piece));
            }
        }
        // A string may be written with escapes, which say something only to who reads the file.
        let table: toml::Table = w.machine.trim_start_matches('\u{feff}').parse().map_err(|_| NotWritten::NeedsIt)?;
        let mut strings = Vec::new();
        for value in table.values() {
            strings_of(value, &mut strings);
        }
        all.extend(strings.into_iter().filter(|s| !is_fixed(s)).map(|s| (text::place_file(0), s)));
        for (n, r) in w.readings.iter().enumerate() {
            all.extend([&r.place, &r.instrument, &r.condition].map(|t| (text::place_reading(n + 1), t.as_str())));
        }
        for (n, a) in w.alterations.iter().enumerate() {
            all.extend([&a.work, &a.words].map(|t| (text::place_work(n + 1), t.as_str())));
        }
        for (n, note) in w.notes.iter().enumerate() {
            all.extend([&note.words, &note.about].map(|t| (text::place_note(n + 1), t.as_str())));
        }
        all.extend(w.pictures.iter().enumerate().map(|(n, p)| (text::place_picture(n + 1), p.words.as_str())));
        for (n, f) in w.findings.iter().enumerate() {
            let mut said = vec![f.study.as_str(), &f.program];
            said.extend(f.words.iter().map(String::as_str));
            words_of(&f.result, &mut said);
            all.extend(said.into_iter().map(|t| (text::place_finding(n + 1), t)));
        }
        match all.into_iter().find(|(_, text)| !self.secrets.is_clean(text)) {
            Some((place, _)) => Err(NotWritten::StillThere(place)),
            None => Ok(()),
        }
    }
}

fn in_unit(si: f64, unit: Unit) -> String {
    quantity::Reading { si, plus_minus_si: 0.0, unit, source: Source::NotStated }.to_string()
}

fn strings_of<'v>(value: &'v toml::Value, into: &mut Vec<&'v str>) {
    match value {
        toml::Value::String(text) => into.push(text),
        toml::Value::Array(all) => all.iter().for_each(|v| strings_of(v, into)),
        toml::Value::Table(all) => all.values().for_each(|v| strings_of(v, into)),
        _ => {}
    }
}

/// Strings and keys; its numbers are no words of people.
fn words_of<'v>(value: &'v serde_json::Value, into: &mut Vec<&'v str>) {
    use serde_json::Value;
    match value {
        Value::String(text) => into.push(text),
        Value::Array(all) => all.iter().for_each(|v| words_of(v, into)),
        Value::Object(all) => all.iter().for_each(|(key, v)| {
            into.push(key);
            words_of(v, into);
        }),
        _ => {}
    }
}

/// A string of a machine file that holds one of the words that may stand there, or a reading: no words of people.
fn is_fixed(text: &str) -> bool {
    fn walk(section: &Section, test: &mut dyn FnMut(&Field) -> bool, kind: &mut dyn FnMut(&str) -> bool) -> bool {
        let variants = section.variants;
        section.fields.iter().chain(variants.iter().flat_map(|v| v.fields)).any(&mut *test)
            || variants.iter().any(|v| kind(v.kind))
            || section.sections.iter().chain(variants.iter().flat_map(|v| v.sections)).any(|s| walk(s, test, kind))
    }
    let mut read: Vec<Dimension> = Vec::new();
    let mut of_field = |field: &Field| match field.kind {
        Kind::Choice(words) => words.contains(&text),
        // Bare figures may be a frame number where a name stands.
        Kind::Reading { dimension, .. } if has_unit(text) && !read.contains(&dimension) => {
            read.push(dimension);
            quantity::Reading::parse(text, dimension).is_ok()
        }
        _ => false,
    };
    ["maker", "estimate"].contains(&text) || walk(&FILE, &mut of_field, &mut |kind| kind == text)
}

/// More than figures and the signs between them; a ± stands in a reading alone.
fn has_unit(text: &str) -> bool {
    text.contains(|c: char| !c.is_numeric() && !c.is_whitespace() && !".,/+-".contains(c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_the_format_and_readings_are_no_words_of_people() {
        for fixed in ["right", "cover side", "fixed", "54.00 ± 0.02 mm", "2500 rpm", "0.15 ± 0.02", "maker"] {
            assert!(is_fixed(fixed), "{fixed}");
        }
        for free in ["caliper", "left", "Corran 360", "Mr Right", "004417", "125/004417"] {
            assert!(!is_fixed(free), "{free}");
        }
    }
}
