//! What else hangs, for a terminal.

use super::{Printer, Style};
use crate::words::alike as text;
use workshop::study::alike::Alike;

/// The causes by themselves.
pub fn alike(study: &Alike, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    part(&mut p, study);
    p.finish()
}

/// The verdict, cautions, what to do next, and a line for each cause.
pub(super) fn part(p: &mut Printer, study: &Alike) {
    p.heading(text::ALIKE);
    p.strong(&text::explains(study));
    p.cautions(text::cautions_for_next(study));
    if let Some(next) = text::next(study) {
        p.space();
        p.strong(&next);
    }
    // A column for each cause has no room here.
    for cause in &study.causes {
        p.bullet(&text::line(study, cause));
    }
    for remark in text::remarks(study) {
        p.bullet(&remark);
    }
    p.para(text::HOW_WEIGHED);
}
