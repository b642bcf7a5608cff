//! Fault finding, for a terminal.

use super::{Printer, Style};
use crate::words::{fault as text, sheet::CAUTION};
use workshop::{
    machine::Machine,
    study::fault::{Advice, Case, CauseFound, Expected, FaultStudy, Faults, Studies, Test, expected},
};

/// Causes below this share are left out of a terminal after the first eight.
const SHARE_SHOWN: f64 = 0.01;
const ALWAYS_SHOWN: usize = 8;
/// Most other tests of the first list.
const TESTS_SHOWN: usize = 6;

/// All complaints, in the owner's words.
pub fn complaints(faults: &Faults, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.heading(text::COMPLAINTS);
    for complaint in &faults.complaints {
        let row = text::complaint_row(complaint);
        p.bullet(&if row[1] == row[2] {
            format!("{}  {}", row[0], row[1])
        } else {
            format!("{}  {} {}", row[0], row[1], row[2])
        });
    }
    p.finish()
}

/// How much of a case is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Detail {
    /// What an answer has changed: what to do next and why, causes, what was done.
    Next,
    /// Also what the readings say, and the next best tests.
    Whole,
    /// Every test, with what holds it back.
    AllTests,
}

/// Where a case stands: what to stop, what to do next and why, causes, what was done.
pub fn fault(
    machine: &Machine,
    case: &Case,
    study: &FaultStudy,
    studies: Studies,
    detail: Detail,
    width: usize,
    style: Style,
) -> String {
    let mut p = Printer::new(width, style);
    let it = case.it();
    if detail != Detail::Next {
        p.title(&machine.name);
        p.para(&text::owner_says(it));
    }
    if let Some(stop) = text::stop_first(case, study) {
        p.strong(&format!("{CAUTION}: {stop}"));
    }
    if study.steps.is_empty() && !it.ask.is_empty() {
        p.para(&format!("{}: {}", text::ASK, it.ask.join(" ")));
    }
    p.heading(text::NEXT);
    p.strong(&text::advice(case, study));
    p.para(&text::reason(case, study));
    if let Advice::Test(next) = &study.next {
        let test = &case.faults.tests[next.test];
        card(&mut p, test, expected(test, machine, studies).as_ref(), machine);
    }
    p.heading(text::CAUSES);
    causes(&mut p, case, study, style);
    let read = text::evidence::all(case);
    if !read.is_empty() && detail != Detail::Next {
        p.heading(text::READ);
        read.iter().for_each(|s| p.bullet(s));
    }
    if !study.steps.is_empty() {
        p.heading(text::DONE);
        study.steps.iter().for_each(|s| p.bullet(&text::step(case.faults, *s)));
    }
    p.space();
    p.para(&text::spent(study));
    if detail != Detail::Next {
        tests(&mut p, case, study, detail == Detail::AllTests);
        p.para(text::HOW);
    }
    p.finish()
}

fn causes(p: &mut Printer, case: &Case, study: &FaultStudy, style: Style) {
    let signs = if style.unicode { ('█', '·') } else { ('#', '.') };
    let shown = |(k, c): &(usize, &CauseFound)| *k < ALWAYS_SHOWN || c.chance >= SHARE_SHOWN || c.mended;
    for (_, c) in study.causes.iter().enumerate().filter(shown) {
        p.bullet(&text::cause_line(&text::cause_row(case, c), c.chance, signs));
    }
    p.bullet(&text::cause_line(&text::other_row(study), study.other.1, signs));
    p.space();
    text::remarks(case, study).iter().for_each(|s| p.bullet(s));
}

fn tests(p: &mut Printer, case: &Case, study: &FaultStudy, all: bool) {
    let open = study.tests.iter().filter(|t| t.worth.is_some());
    let lines: Vec<String> = open.take(if all { usize::MAX } else { TESTS_SHOWN }).map(|t| text::test_line(case, t)).collect();
    if !lines.is_empty() {
        p.heading(text::OTHER_TESTS);
        lines.iter().for_each(|l| p.bullet(l));
        p.space();
    }
    let held: Vec<String> = study.tests.iter().filter_map(|t| text::standing(case.faults, t)).collect();
    if all && !held.is_empty() {
        p.heading(text::NOT_NOW);
        held.iter().for_each(|s| p.bullet(s));
        p.space();
    }
}

fn card(p: &mut Printer, test: &Test, here: Option<&Expected>, machine: &Machine) {
    if let Some(danger) = &test.danger {
        p.bullet(&format!("{CAUTION}: {danger}"));
    }
    for (name, words) in text::test_card(test, here, machine) {
        p.bullet(&format!("{name}: {words}"));
    }
    p.space();
}

/// A test by itself, its caution first.
pub fn fault_test(machine: &Machine, test: &Test, studies: Studies, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.strong(&test.name);
    card(&mut p, test, expected(test, machine, studies).as_ref(), machine);
    p.finish()
}
