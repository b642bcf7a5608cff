//! What is to be said about a write-up, sentence by sentence.

use super::{Choice, Fault, Gathered, LeftOut, NotWritten, Received, Secret, TakenOut, picture::Unfit};
use sheets::words::{self, exchange as text};

impl NotWritten {
    /// Why there is none, and what to do.
    pub fn words(&self) -> Vec<String> {
        match self {
            NotWritten::Book(e) => vec![words::book_error(e)],
            NotWritten::Machine(defects) => {
                std::iter::once(text::MACHINE_HAS_DEFECTS.to_owned()).chain(defects.iter().map(words::defect_sentence)).collect()
            }
            NotWritten::NeedsIt => vec![text::MACHINE_NEEDS_IT.to_owned()],
            NotWritten::StillThere(place) => vec![text::still_there(place)],
            NotWritten::Refused(faults) => {
                std::iter::once(text::WOULD_BE_REFUSED.to_owned()).chain(faults.iter().map(Fault::words)).collect()
            }
        }
    }
}

impl TakenOut {
    /// Where, what, and what it gives away.
    pub fn words(&self) -> String {
        text::taken_line(&self.place, &self.text, text::SECRETS[self.secret as usize])
    }
}

impl LeftOut {
    /// What, and why.
    pub fn words(&self) -> String {
        match self {
            LeftOut::Reading { typed } => text::left_out_reading(typed),
            LeftOut::Picture { file, why } => text::left_out_picture(file, *why == Unfit::Kind),
        }
    }
}

impl Gathered {
    /// What was taken out, what was left out, and what may go in, for a terminal.
    pub fn told(&self) -> Vec<String> {
        let mut all = vec![text::taken_out(self.taken.len())];
        all.extend(self.taken.iter().map(|t| format!("  {}", t.words())));
        if !self.left_out.is_empty() {
            all.push(text::LEFT_OUT.to_owned());
            all.extend(self.left_out.iter().map(|l| format!("  {}", l.words())));
        }
        let ticks = |c: &Choice| format!("  {}", text::to_tick(c.entry.0, &c.words, c.ticked));
        for (title, choices) in [(text::NOTES_TO_TICK, &self.notes), (text::PICTURES_TO_TICK, &self.attachments)] {
            if !choices.is_empty() {
                all.push(title.to_owned());
                all.extend(choices.iter().map(ticks));
            }
        }
        all
    }
}

impl Received {
    /// What it has, in a few lines.
    pub fn words(&self) -> String {
        let w = &self.write_up;
        let counts = [w.readings.len(), w.alterations.len(), w.notes.len(), w.findings.len(), w.pictures.len()];
        text::write_up_has(&self.name, &w.complaint, counts)
    }
}

const _: () = assert!(Secret::Also as usize + 1 == text::SECRETS.len(), "every secret has its word");
