//! What several papers have.

use super::{Alteration, JobPaper, Money, Picture, ReadingRow, Taken};
use crate::chart::Size;
use crate::flow::{self, Cell, Column, Flow, Para, Sign};
use crate::font::{self, Weight};
use crate::scene::Ink;
use crate::words::{Caution, job as text, sheet};

/// What was said of several things, with dots between.
pub fn joined(said: &[&str]) -> String {
    said.iter().filter(|s| !s.is_empty()).copied().collect::<Vec<_>>().join(" · ")
}

/// For a document's title, which has no lines and no foot for notes.
pub fn one_line(content: &str) -> String {
    font::printable(content, &mut Default::default()).replace('\n', " ")
}

/// Machine, name of the paper, and the boxes of the title block.
pub fn head(flow: &mut Flow, job: &JobPaper, paper: &str, boxes: &[(&str, &str)]) {
    flow.text(&job.machine, 7.4, Weight::Bold, Ink::Ink, 0.0);
    flow.gap(0.4);
    let printed = if job.printed.is_empty() { String::new() } else { format!("{} {}", text::PRINTED, job.printed) };
    flow.text(&joined(&[paper, &printed]), 4.2, Weight::Regular, Ink::Soft, 0.0);
    flow.gap(2.4);
    flow.boxes(boxes);
}

/// Each caution in its frame.
pub fn cautions(flow: &mut Flow, cautions: &[Caution]) {
    for c in cautions {
        flow.caution(sheet::CAUTION, c.danger, c.protects);
    }
}

/// What the owner said; lines to write it on where nothing is noted.
pub fn complaint(flow: &mut Flow, job: &JobPaper) {
    flow.heading(text::COMPLAINT);
    if job.complaint.is_empty() {
        flow.write_lines(2);
    } else {
        flow.quote(&job.complaint);
    }
}

/// Facts of the machine, where there are any.
pub fn machine(flow: &mut Flow, job: &JobPaper) {
    if job.about_machine.is_empty() {
        return;
    }
    flow.heading(text::MACHINE);
    for (name, value) in &job.about_machine {
        flow.fact(name, value);
    }
}

/// What may be spent and cut; lines to write on where it is not known.
pub fn allowed(flow: &mut Flow, job: &JobPaper) {
    flow.heading(text::ALLOWED);
    let spend = job.may_spend.as_ref().map(Money::to_string).unwrap_or_default();
    for (name, value) in [(text::MAY_SPEND, &spend), (text::MAY_CUT, &job.may_cut)] {
        if value.is_empty() {
            flow.fact_blank(name);
        } else {
            flow.fact(name, value);
        }
    }
}

/// What is said of readings beside the machine's file, where anything is.
pub fn beside(flow: &mut Flow, job: &JobPaper) {
    if !job.beside.is_empty() {
        flow.heading(crate::words::spark::BESIDE);
        job.beside.iter().for_each(|said| flow.item(Sign::Bullet, said));
    }
}

/// Readings side by side, a line to write on for each that is missing. The column of readings during the work is there
/// if there are any.
pub fn readings(flow: &mut Flow, rows: &[ReadingRow], blank_rows: usize) {
    let during = rows.iter().any(|r| !r.during.is_empty());
    let mut columns = vec![Column::new(text::WHAT, 0.8), Column::new(text::AS_FOUND, 1.1), Column::new(text::AS_LEFT, 1.1)];
    if during {
        columns.insert(2, Column::new(text::DURING, 1.1));
    }
    let blank = || Cell::Blank(text::WRITE_READING);
    let mut grid: Vec<Vec<Cell>> = Vec::new();
    for row in rows {
        let mut what = vec![Para::body(&row.quantity)];
        if !row.place.is_empty() {
            what.push(Para::small(&row.place));
        }
        let mut cells = vec![Cell::Text(what), taken(&row.found).unwrap_or_else(blank)];
        if during {
            cells.push(taken(&row.during).unwrap_or(Cell::Text(Vec::new())));
        }
        cells.push(taken(&row.left).unwrap_or_else(blank));
        grid.push(cells);
    }
    for _ in 0..blank_rows {
        let mut cells = vec![Cell::Blank(text::WRITE_WHAT), blank(), blank()];
        if during {
            cells.insert(2, Cell::Text(Vec::new()));
        }
        grid.push(cells);
    }
    flow.grid(&columns, grid);
}

/// Values in bold, under each what makes it more than gossip.
fn taken(all: &[Taken]) -> Option<Cell> {
    let mut paras = Vec::new();
    for t in all {
        paras.push(Para::strong(&t.value));
        let said = [joined(&[&t.instrument, &t.temperature, &t.speed, &t.condition]), joined(&[&t.who, &t.when])];
        paras.extend(said.into_iter().filter(|s| !s.is_empty()).map(Para::small));
    }
    (!paras.is_empty()).then_some(Cell::Text(paras))
}

/// The pictures one under the other.
pub fn pictures(flow: &mut Flow, heading: &str, pictures: &[Picture]) {
    if pictures.is_empty() {
        return;
    }
    flow.heading(heading);
    for picture in pictures {
        let scene = match picture {
            Picture::Chart(chart) => chart.scene(Size { width: flow::WIDTH, height: 84.0 }),
            Picture::Drawing(scene) => scene.clone(),
        };
        let title = scene.title.clone();
        if !flow.picture(scene) {
            flow.item(Sign::Bullet, &text::too_large(&title));
        }
        flow.gap(2.0);
    }
}

/// The work that was agreed to, each with its sentence of risk and who agreed.
pub fn consents(flow: &mut Flow, job: &JobPaper) {
    for c in &job.consents {
        flow.fact(text::AGREED_WORK, &c.work);
        flow.fact(text::RISK, &c.risk);
        flow.fact(text::AGREED_BY, &joined(&[&c.by, &c.how, &c.when]));
        flow.gap(2.0);
    }
}

/// What follows the words of an alteration: values, who and when.
pub fn about(a: &Alteration) -> Vec<String> {
    let mut said = Vec::new();
    if !a.why.is_empty() {
        said.push(format!("{} {}", text::WHY, a.why));
    }
    if !a.planned.is_empty() {
        said.push(format!("{} {}", text::PLANNED_VALUE, a.planned));
    }
    if !a.measured_after.is_empty() {
        said.push(format!("{} {}", text::MEASURED_AFTER, a.measured_after.join("; ")));
    }
    said
}

/// Parts and times with their prices, and the totals. `all` has sources, dates and names too.
pub fn costs(flow: &mut Flow, job: &JobPaper, all: bool) {
    let price = |m: &Option<Money>| m.as_ref().map_or_else(|| text::NO_PRICE.to_owned(), Money::to_string);
    let mut rows = Vec::new();
    let mut line = |words: &str, more: String, quantity: String, each: &Option<Money>, cost: &Option<Money>| {
        let mut name = vec![Para::body(words)];
        if all && !more.is_empty() {
            name.push(Para::small(more));
        }
        rows.push(vec![Cell::Text(name), Cell::body(quantity), Cell::body(price(each)), Cell::body(price(cost))]);
    };
    for p in &job.parts {
        line(&p.name, joined(&[&p.source, &p.when]), p.quantity.clone(), &p.each, &p.cost);
    }
    for t in &job.times {
        let words = if t.words.is_empty() { text::owner::WORK } else { &t.words };
        line(words, joined(&[&t.who, &t.when]), text::time(t.minutes.into()), &t.hourly, &t.cost);
    }
    for (i, total) in job.totals.iter().enumerate() {
        let name = if i == 0 { text::TOTAL } else { "" };
        rows.push(vec![Cell::strong(name), Cell::body(""), Cell::body(""), Cell::strong(total.to_string())]);
    }
    let columns = [
        Column::new(text::PART, 2.0),
        Column::right(text::QUANTITY, 0.8),
        Column::right(text::EACH, 1.0),
        Column::right(text::COST, 1.0),
    ];
    flow.grid(&columns, rows);
    if job.unpriced > 0 {
        flow.body(&text::unpriced(job.unpriced));
    }
}
