//! The rotor in the hand.

use super::{super::card::list, held::holds};
use crate::{desk::Answer, pictures};
use maud::{Markup, PreEscaped, html};
use sheets::words::rotor as text;

/// Weight, inertia, stress, and the section that they are of.
pub fn rotor(answer: &Answer) -> Markup {
    let Some(rotor) = &answer.read.machine.rotor else { return html! {} };
    html! {
        div.pictures {
            section {
                h3 { (text::ROTOR) }
                @match &answer.rotor {
                    Ok(found) => {
                        (list(&said(answer)))
                        @if let Ok(strength) = &found.strength {
                            details {
                                summary.button.plain { (text::STRENGTH) }
                                (table(text::STRENGTH, &text::NOTCHES_HEAD, strength.notches.iter().map(text::notch_row)))
                                p.soft { (text::HOW_STRESSED) }
                            }
                        }
                    }
                    Err(why) => { p { (text::held(*why)) } }
                }
                (holds(answer))
            }
            section { div.cross-section { (PreEscaped(pictures::scene_on_page(&pictures::section_again(rotor, answer.rotor.as_ref().ok())))) } }
        }
    }
}

/// What is said of it.
pub fn said(answer: &Answer) -> Vec<String> {
    let Ok(found) = &answer.rotor else { return Vec::new() };
    let mut all = vec![text::section(&found.section)];
    all.extend(text::checks(&found.section));
    all.extend(found.stuff.as_ref().map(text::stuff));
    match &found.strength {
        Ok(strength) => {
            all.push(text::strength(&answer.read.machine, strength, found.stuff.as_ref()));
            all.extend(found.stuff.and_then(|stuff| text::worst_notch(strength, &stuff)));
            all.extend(strength.return_path.iter().map(text::return_path));
        }
        Err(why) => {
            all.push(text::held(*why).to_owned());
            all.extend(found.not_bearing.as_ref().map(text::not_bearing));
        }
    }
    all
}

/// A table of something with a row of heads; the first column names the row.
pub fn table(of: &str, heads: &[&str], rows: impl Iterator<Item = Vec<String>>) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label=(format!("{of}: {}", heads.join(", "))) {
            table {
                thead { tr { @for head in heads { th scope="col" { (head) } } } }
                tbody { @for row in rows { tr { @for cell in row { td { (cell) } } } } }
            }
        }
    }
}
