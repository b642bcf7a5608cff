//! What the readings on the stop say: the next best reading in sight, the rest folded away.

use super::super::card::{cautions, list};
use maud::{Markup, html};
use sheets::words::calibrate as words;
use workshop::study::{calibrate::Calibration, idle::Chance};

/// The best next reading in one line, and a closed part with the readings, the values fitted and what they leave open.
pub fn calibration(c: &Calibration, alone: Chance) -> Markup {
    let readings: Vec<_> = c.compared.iter().map(words::compared).collect();
    let fitted: Vec<_> = c.unknowns.iter().map(words::narrowed).chain([words::opening(c)]).collect();
    let next: Vec<_> = c.next.iter().take(words::NEXT_SHOWN).map(words::next).collect();
    html! {
        (cautions(words::cautions_for_next(c)))
        p.next-reading { (words::next_best(c)) }
        details.calibration {
            summary.button.plain { (words::CALIBRATION) }
            (list(&words::agreement(c, alone)))
            (table(words::READINGS, &readings))
            (table(words::FITTED, &fitted))
            (list(&words::open(c)))
            @if !next.is_empty() { (table(words::NEXT, &next)) }
            p.soft { (words::HOW_FITTED) }
        }
    }
}

fn table(heads: [&str; 4], rows: &[[String; 4]]) -> Markup {
    html! {
        div.scroll tabindex="0" role="group" aria-label=(heads[0]) {
            table {
                thead { tr { @for head in heads { th scope="col" { (head) } } } }
                tbody {
                    @for row in rows {
                        tr { th scope="row" { (row[0]) } @for cell in &row[1..] { td { (cell) } } }
                    }
                }
            }
        }
    }
}
