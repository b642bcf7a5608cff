//! What else hangs, on paper: the verdict, cautions before what is to be tried next, and what each cause lets expect.

use super::text;
use crate::flow::{Flow, Sign};
use crate::words::alike as words;
use workshop::study::alike::Alike;

/// Causes that get a line: likelier than this \[1\] (own choice). All stand in the table on the page.
const TOLD: f64 = 0.01;

/// The part of the sheet.
pub fn causes(flow: &mut Flow, study: &Alike) {
    flow.heading(words::ALIKE);
    flow.body(&words::explains(study));
    for c in words::cautions_for_next(study) {
        flow.caution(text::CAUTION, c.danger, c.protects);
    }
    if let Some(next) = words::next(study) {
        flow.item(Sign::Bullet, &next);
    }
    for cause in study.causes.iter().filter(|c| c.share >= TOLD) {
        flow.item(Sign::Bullet, &words::line(study, cause));
    }
    for remark in words::remarks(study) {
        flow.item(Sign::Bullet, &remark);
    }
    flow.body(words::HOW_WEIGHED);
}
