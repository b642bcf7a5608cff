//! What the readings on the stop say.

use super::print::Printer;
use crate::words::calibrate as words;
use workshop::study::{calibrate::Calibration, idle::Chance};

pub fn part(p: &mut Printer, c: &Calibration, alone: Chance) {
    p.heading(words::CALIBRATION);
    p.cautions(words::cautions_for_next(c));
    p.space();
    p.strong(&words::next_best(c));
    for line in words::agreement(c, alone) {
        p.bullet(&line);
    }
    let rows = |rows: &mut dyn Iterator<Item = [String; 4]>| rows.map(Vec::from).collect::<Vec<_>>();
    p.table(&words::READINGS, &rows(&mut c.compared.iter().map(words::compared)));
    p.table(&words::FITTED, &rows(&mut c.unknowns.iter().map(words::narrowed).chain([words::opening(c)])));
    for line in words::open(c) {
        p.bullet(&line);
    }
    for next in c.next.iter().take(words::NEXT_SHOWN) {
        p.bullet(&words::next_line(next));
    }
    p.para(words::HOW_FITTED);
}
