//! Which input the doubt comes from: the sentence, and the shares as bars behind it.

use maud::{Markup, html};
use sheets::words::chance as words;
use workshop::study::sensitivity::Sensitivity;

/// Nothing where nothing is uncertain.
pub fn doubt(found: &Sensitivity, heading: &str) -> Markup {
    let Some(said) = words::doubt(found) else { return html! {} };
    html! {
        details.doubt {
            summary.button.plain { (heading) }
            p { (said) }
            div.scroll tabindex="0" role="region" aria-label=(heading) {
                table {
                    thead { tr { th.words scope="col" { (words::INPUT) } th scope="col" { (words::ALONE) } th.words scope="col" { (words::WITH_OTHERS) } } }
                    tbody {
                        @for (row, share) in words::doubt_rows(found).iter().zip(&found.inputs) {
                            tr {
                                td.words { (row[0]) }
                                td { (row[1]) }
                                // An estimate may lie beside 0 to 1; a bar cannot. The figure beside it is as it came.
                                td.words { meter min="0" max="1" value=(format!("{:.3}", share.rank().si.clamp(0.0, 1.0))) aria-hidden="true" {} " " (row[2]) }
                            }
                        }
                    }
                }
            }
            p.soft { (words::HOW_SHARES) }
        }
    }
}
