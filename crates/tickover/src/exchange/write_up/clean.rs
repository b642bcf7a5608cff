//! Finding what must not travel in text that people wrote, and taking it out.

use super::fold::{Folded, folded, is_invisible, letters, spellings};
use sheets::words::{exchange::MARK, page::NAMELESS};
use std::ops::Range;

/// What a piece of text gives away.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Secret {
    /// The owner.
    Owner,
    /// How to reach the owner.
    Contact,
    /// Number plate.
    Plate,
    /// Frame number.
    Frame,
    /// Whoever wrote in the job, or gave leave.
    Person,
    /// What a device is called.
    Device,
    /// Number of a job.
    JobNumber,
    /// A word that the mechanic added.
    Also,
}

/// Something that was taken out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TakenOut {
    /// Where, in words.
    pub place: String,
    /// What it was, as it stood there.
    pub text: String,
    /// What it gives away.
    pub secret: Secret,
}

/// Letters and figures from which a whole name, plate or number is looked for within longer words too [1]. Shorter ones would be found in
/// words that mean something else (own choice).
const LONG: usize = 6;
/// Letters from which a part of a name takes the rest of its word with it, as in “Smith” and “Smiths” [1] (own choice).
const WORD: usize = 4;
/// Figures by which a telephone number is known, from its end; what stands before them changes with the country [1] (own choice).
const TELEPHONE: usize = 7;
/// Fewest figures of a telephone number [1] (own choice).
const SHORTEST_TELEPHONE: usize = 6;
/// Signs that may stand between two letters of one plate [1]: “M – A”.
const GAP: usize = 3;

/// Words in names and addresses that are no names (common practice, no source).
const PLAIN: [&str; 36] = [
    "mr", "mrs", "ms", "miss", "dr", "sir", "herr", "frau", "von", "van", "der", "den", "de", "la", "le", "di", "da", "del",
    "du", "the", "and", "und", "et", "of", "street", "road", "tel", "phone", "mobile", "email", "mail", "http", "https", "home",
    "work", "call",
];

/// How the end of a match is judged.
#[derive(Clone, Copy, PartialEq, Eq)]
enum End {
    /// Anywhere.
    Anywhere,
    /// At the end of a word.
    Word,
    /// The rest of the word belongs to it.
    Swallow,
    /// Figures before it belong to it.
    Telephone,
}

#[derive(PartialEq, Eq)]
struct Term {
    letters: Vec<char>,
    secret: Secret,
    /// It begins where a word begins.
    at_word: bool,
    /// Other signs may stand between its letters.
    loose: bool,
    end: End,
}

/// All that must not travel.
#[derive(Default)]
pub struct Secrets {
    terms: Vec<Term>,
    /// Initials, found only as they are written.
    exact: Vec<(String, Secret)>,
}

impl Secrets {
    /// A name: as a whole, and each part of it.
    pub fn name(&mut self, name: &str, secret: Secret) {
        self.whole(name, secret);
        self.parts(name, secret, 2);
        let name = name.trim();
        let exact = (name.to_owned(), secret);
        if letters(name).len() == 1 && name.chars().count() > 1 && !self.exact.contains(&exact) {
            self.exact.push(exact);
        }
    }

    /// What a device is called, as a whole, and each longer part of it; not the name of those that nobody named.
    pub fn device(&mut self, name: &str) {
        if name.trim() != NAMELESS {
            self.whole(name, Secret::Device);
            self.parts(name, Secret::Device, WORD);
        }
    }

    /// How to reach somebody: every name in it, and telephone numbers.
    pub fn contact(&mut self, text: &str) {
        self.whole(text, Secret::Contact);
        self.parts(text, Secret::Contact, WORD);
        for number in text.split(|c: char| !c.is_ascii_digit() && !" +()/.-".contains(c)) {
            let figures: Vec<char> = number.chars().filter(char::is_ascii_digit).collect();
            if figures.len() >= SHORTEST_TELEPHONE {
                let from = figures.len().saturating_sub(TELEPHONE);
                let letters = figures[from..].to_vec();
                self.term(Term { letters, secret: Secret::Contact, at_word: false, loose: true, end: End::Telephone });
            }
        }
    }

    /// A plate or a number: as a whole, with anything between its signs, and each longer part with a figure in it.
    pub fn number(&mut self, number: &str, secret: Secret) {
        self.whole(number, secret);
        for part in number.split(|c: char| !c.is_alphanumeric()) {
            let letters = letters(part);
            if letters.len() >= WORD && letters.iter().any(char::is_ascii_digit) {
                self.term(Term { letters, secret, at_word: true, loose: false, end: End::Word });
            }
        }
    }

    /// A job's number, as a whole: its parts are a year and a count.
    pub fn job(&mut self, number: &str) {
        self.whole(number, Secret::JobNumber);
    }

    /// A word that the mechanic added.
    pub fn also(&mut self, word: &str) {
        self.whole(word, Secret::Also);
        let letters = letters(word);
        let end = if letters.len() >= WORD { End::Swallow } else { End::Word };
        self.term(Term { letters, secret: Secret::Also, at_word: true, loose: false, end });
    }

    fn whole(&mut self, text: &str, secret: Secret) {
        for letters in spellings(text) {
            let long = letters.len() >= LONG;
            let end = if long { End::Anywhere } else { End::Word };
            if letters.len() > 1 {
                self.term(Term { letters, secret, at_word: !long, loose: true, end });
            }
        }
    }

    fn parts(&mut self, name: &str, secret: Secret, least: usize) {
        for part in
            name.split(|c: char| !c.is_alphanumeric() && !is_invisible(c)).filter(|p| !p.chars().all(|c| c.is_ascii_digit()))
        {
            for letters in spellings(part) {
                let plain: String = letters.iter().collect();
                if letters.len() < least || PLAIN.contains(&plain.as_str()) {
                    continue;
                }
                let end = if letters.len() >= WORD { End::Swallow } else { End::Word };
                // A long part is found within other words, and with hyphens or spaces in it.
                let long = letters.len() >= LONG;
                self.term(Term { letters, secret, at_word: !long, loose: long, end });
            }
        }
    }

    fn term(&mut self, term: Term) {
        if !term.letters.is_empty() && !self.terms.contains(&term) {
            self.terms.push(term);
        }
    }

    /// Where something stands that must not travel; ranges do not overlap and are in order.
    pub fn found(&self, text: &str) -> Vec<(Range<usize>, Secret)> {
        let folded = folded(text);
        let mut found: Vec<(Range<usize>, Secret)> = Vec::new();
        for term in &self.terms {
            for at in 0..(folded.len() + 1).saturating_sub(term.letters.len()) {
                let run = &folded[at..at + term.letters.len()];
                if run.iter().zip(&term.letters).all(|(f, l)| f.letter == *l)
                    && let Some(range) = term.fits(text, run)
                {
                    found.push((range, term.secret));
                }
            }
        }
        for (exact, secret) in &self.exact {
            let hits = text.match_indices(exact.as_str()).filter(|(at, _)| starts_word(text, *at));
            found.extend(hits.map(|(at, hit)| (at..at + hit.len(), *secret)));
        }
        found.sort_by_key(|(range, secret)| (range.start, std::cmp::Reverse(range.end), *secret));
        let mut merged: Vec<(Range<usize>, Secret)> = Vec::new();
        for (range, secret) in found {
            match merged.last_mut() {
                Some((last, _)) if range.start < last.end => last.end = last.end.max(range.end),
                _ => merged.push((range, secret)),
            }
        }
        merged
    }

    /// The text with all that put away, and what it was.
    pub fn clean(&self, text: &str, place: &str, taken: &mut Vec<TakenOut>) -> String {
        let mut clean = String::with_capacity(text.len());
        let mut from = 0;
        for (range, secret) in self.found(text) {
            clean.push_str(&text[from..range.start]);
            clean.push_str(MARK);
            taken.push(TakenOut { place: place.to_owned(), text: text[range.clone()].to_owned(), secret });
            from = range.end;
        }
        clean.push_str(&text[from..]);
        clean
    }

    /// Nothing of it is left. The mark itself says nothing.
    pub fn is_clean(&self, text: &str) -> bool {
        text.split(MARK).all(|piece| self.found(piece).is_empty())
    }
}

impl Term {
    /// The range of a run of letters that fits, as far as it goes.
    fn fits(&self, text: &str, run: &[Folded]) -> Option<Range<usize>> {
        let (start, end) = (run.first()?.start, run.last()?.end);
        let together = run.windows(2).all(|pair| {
            let between = text.get(pair[0].end..pair[1].start).unwrap_or("");
            let seen = between.chars().filter(|c| !is_invisible(*c)).count();
            if self.loose { seen <= GAP } else { seen == 0 }
        });
        if !together || (self.at_word && !starts_word(text, start)) {
            return None;
        }
        match self.end {
            End::Anywhere => Some(start..end),
            End::Word => ends_word(text, end).then_some(start..end),
            End::Swallow => {
                let rest = text[end..]
                    .chars()
                    .take_while(|c| c.is_alphanumeric() || is_invisible(*c))
                    .map(char::len_utf8)
                    .sum::<usize>();
                Some(start..end + rest)
            }
            End::Telephone => {
                let after: usize = text[end..].chars().take_while(char::is_ascii_digit).map(char::len_utf8).sum();
                let before = text[..start].chars().rev().take_while(|c| c.is_ascii_digit() || " +()/.-".contains(*c));
                let before: usize = before.map(char::len_utf8).sum();
                let first = text[start - before..].find(|c: char| c.is_ascii_digit() || c == '+').unwrap_or(before);
                Some(start - before + first..end + after)
            }
        }
    }
}

fn starts_word(text: &str, at: usize) -> bool {
    let before = text[..at].chars().rev().find(|c| !is_invisible(*c));
    let here = text[at..].chars().next();
    before.zip(here).is_none_or(|(before, here)| parted(before, here))
}

fn ends_word(text: &str, at: usize) -> bool {
    let after = text[at..].chars().find(|c| !is_invisible(*c));
    let here = text[..at].chars().rev().find(|c| !is_invisible(*c));
    here.zip(after).is_none_or(|(here, after)| parted(here, after))
}

/// A word ends between these two.
fn parted(left: char, right: char) -> bool {
    !left.is_alphanumeric()
        || !right.is_alphanumeric()
        || left.is_numeric() != right.is_numeric()
        || (left.is_lowercase() && right.is_uppercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn secrets() -> Secrets {
        let mut secrets = Secrets::default();
        secrets.name("Mrs Quentine Park-Müller", Secret::Owner);
        secrets.contact("0171 555 0199, 7 Quarry Lane, q.park@mill.example");
        secrets.number("HX·71 KLM", Secret::Plate);
        secrets.number("PLW-125-004417", Secret::Frame);
        secrets.job("2026-0014");
        secrets.name("E.", Secret::Person);
        secrets.name("Bo", Secret::Person);
        secrets
    }

    fn cleaned(text: &str) -> String {
        secrets().clean(text, "", &mut Vec::new()).replace(MARK, "#")
    }

    #[test]
    fn names_numbers_and_telephones_go_however_they_are_written() {
        for (text, left) in [
            ("QUENTINE said", "# said"),
            ("Frau Park-Mueller, Mr. Muller's bike", "Frau #-#, Mr. #'s bike"),
            ("quentineparkmuller@x", "#@x"),
            ("QuentinePark", "#"),
            ("plate hx71klm, HX 71-KLM, h.x.7.1.k.l.m.", "plate #, #, #."),
            ("xxHX71KLMyy", "xx#yy"),
            ("frame plw 125 004417 or only 004417", "frame # or only #"),
            ("job 2026 0014", "job #"),
            ("+44 171 555 0199 / 0171-5550199", "#"),
            ("Bo and E. looked", "# and # looked"),
            ("Par\u{ad}k", "#"),
            ("ＰＡＲＫ", "#"),
            ("bikeofquentine, Quen-\ntine", "bikeof#, #"),
            ("at 7 quarry lane", "at 7 # #"),
        ] {
            assert_eq!(cleaned(text), left, "{text}");
        }
    }

    #[test]
    fn words_of_the_trade_stay() {
        for text in ["spark", "sparking plug", "bolt, both, box", "5 ° BTDC at 1250 rpm", "The rotor of 2026", "EE. cold"] {
            assert_eq!(cleaned(text), text);
        }
    }

    #[test]
    fn what_was_cleaned_is_clean() {
        let secrets = secrets();
        let dirty = "Park, park; HX71KLM0171 555 0199Quentine";
        assert!(!secrets.is_clean(dirty));
        assert!(secrets.is_clean(&secrets.clean(dirty, "", &mut Vec::new())));
        assert!(Secrets::default().found(dirty).is_empty());
    }

    #[test]
    fn a_device_is_known_by_its_longer_words_once() {
        let mut secrets = Secrets::default();
        secrets.device(NAMELESS);
        assert!(secrets.terms.is_empty());
        secrets.device("My oily Nokkonen");
        let terms = secrets.terms.len();
        secrets.device("My oily Nokkonen");
        assert_eq!(secrets.terms.len(), terms);
        assert!(secrets.is_clean("my rotor") && !secrets.is_clean("nokkonens rotor"));
    }
}
