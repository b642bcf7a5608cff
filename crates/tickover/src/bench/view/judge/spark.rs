//! The spark.

use super::{
    super::card::{cautions, list},
    both,
    rotor::table,
};
use crate::desk::Answer;
use maud::{Markup, html};
use sheets::{
    chart::{margin_chart, signal_chart},
    words::spark as text,
};
use workshop::study::spark::SparkStudy;

/// Available against needed with its chart, the signal with its own, energy and coils folded away; cautions first.
pub fn spark(answer: &Answer) -> Markup {
    let Some(found) = &answer.spark else { return html! {} };
    let machine = &answer.read.machine;
    html! {
        div.pictures {
            section {
                h3 { (text::SPARK) }
                @match found {
                    Ok(s) => {
                        (cautions(text::cautions()))
                        (list(&said(s)))
                        details {
                            summary.button.plain { (text::MARGIN) }
                            (table(text::MARGIN, &text::SPEEDS_HEAD, s.margin.points.iter().map(|at| text::speed_row(s, at))))
                            (table(text::MARGIN, &text::CASES_HEAD, s.margin.cases.iter().map(|c| text::case_row(s, c))))
                            p.soft { (text::HOW_COMPUTED) }
                        }
                        details {
                            summary.button.plain { (text::ENERGY) }
                            (list(&text::energy_line(s).into_iter().collect::<Vec<_>>()))
                            (table(text::ENERGY, &text::ENERGY_HEAD, s.energy.iter().map(text::energy_row)))
                            p.soft { (text::HOW_BURNT) }
                        }
                        details {
                            summary.button.plain { (text::COILS) }
                            (list(&s.coils.iter().flat_map(|j| text::coils::judged(s, j)).collect::<Vec<_>>()))
                            (table(text::COILS, &text::coils::COILS_HEAD, s.coils.iter().map(|j| text::coils::row(s, j))))
                        }
                        h3 { (text::SIGNAL) }
                        @match &s.signal {
                            Ok(signals) => {
                                (list(&signals.iter().flat_map(|one| text::signal(machine, one)).collect::<Vec<_>>()))
                                p.soft { (text::HOW_SIGNALLED) }
                            }
                            Err(why) => { p { (text::held(*why)) } }
                        }
                    }
                    Err(why) => { p { (text::held(*why)) } }
                }
            }
            @if let Ok(s) = found {
                section {
                    (both(&margin_chart(s), "judge"))
                    @if let Some(chart) = signal_chart(machine, s) { (both(&chart, "judge")) }
                }
            }
        }
    }
}

/// What is said first.
fn said(s: &SparkStudy) -> Vec<String> {
    let mut all = vec![text::verdict_line(s), text::what(s)];
    all.extend(text::worse(s));
    all.extend(s.battery.as_ref().map(text::battery));
    all.extend(s.output.as_ref().map(text::output));
    all.extend(s.margin.points.first().map(text::gas));
    all
}
