//! Readings as found and as left, side by side.

use super::{JobPaper, pieces};
use crate::flow::Flow;
use crate::words::job as text;

pub fn flow(job: &JobPaper) -> Flow {
    let mut flow = Flow::new(text::READINGS);
    let boxes = [
        (text::JOB, job.number.as_str()),
        (text::OPENED, &job.opened),
        (text::HANDED_OVER, &job.handed_over),
        (text::ODOMETER, &job.odometer),
    ];
    pieces::head(&mut flow, job, text::READINGS, &boxes);
    let missing = |stage: fn(&super::ReadingRow) -> bool| job.readings.iter().filter(|r| stage(r)).count();
    let (found, left) = (missing(|r| r.found.is_empty()), missing(|r| r.left.is_empty()));
    flow.gap(1.5);
    if job.readings.is_empty() || found + left > 0 {
        flow.body(text::READINGS_TEXT);
    }
    if !job.readings.is_empty() {
        flow.body(&if found + left > 0 { text::still_missing(found, left) } else { text::ALL_THERE.to_owned() });
    }
    // Enough rows to fill a page by hand.
    const EMPTY_SHEET: usize = 9;
    pieces::readings(&mut flow, &job.readings, if job.readings.is_empty() { EMPTY_SHEET } else { 0 });
    pieces::beside(&mut flow, job);
    flow
}
