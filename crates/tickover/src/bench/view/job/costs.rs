//! Parts, time and cost of a job.

use super::{Job, field, field_as};
use maud::{Markup, html};
use sheets::{
    job::Money,
    words::{job::time, page as words},
};

impl Job<'_> {
    pub(super) fn costs(&self) -> Markup {
        let (parts, times, totals) =
            (self.present.parts().collect::<Vec<_>>(), self.present.works().collect::<Vec<_>>(), self.present.totals());
        let sums: Vec<Money> =
            totals.cost.iter().map(|(code, c)| Money { minor: c.parts.saturating_add(c.work), currency: code.clone() }).collect();
        let limit = self.record.headline.spend.as_ref().map(Money::from);
        let over =
            limit.as_ref().and_then(|l| sums.iter().find(|s| s.currency == l.currency && s.minor > l.minor).map(|s| (s, l)));
        let cost =
            |price: Option<jobbook::Price>| price.map_or_else(|| words::NO_PRICE.to_owned(), |p| Money::from(&p).to_string());
        html! {
            h3 { (words::PARTS_AND_TIME) }
            @if let Some((sum, limit)) = over { p.watch { (words::over_limit(sum, limit)) } }
            @if !(parts.is_empty() && times.is_empty()) {
                div.scroll tabindex="0" role="region" aria-label=(words::PARTS_AND_TIME) {
                    table {
                        thead { tr { th scope="col" { (words::PART) } th scope="col" { (words::QUANTITY) } th scope="col" { (words::COST) } } }
                        tbody {
                            @for (_, part) in &parts {
                                tr { th scope="row" { (part.name) } td { (words::quantity(part.quantity)) } td { (cost(part.cost())) } }
                            }
                            @for (_, work) in &times {
                                tr { th scope="row" { (work.words) } td { (time(work.minutes.into())) } td { (cost(work.cost())) } }
                            }
                            @for sum in &sums { tr { th scope="row" { (words::IN_ALL) } td {} td { strong { (sum.to_string()) } } } }
                        }
                    }
                }
            }
            details.more {
                summary.button.plain { (words::ADD_PART) }
                (self.later("part", &html! {
                    (field("name", words::PART, "", ""))
                    (field("quantity", words::HOW_MANY, "1", ""))
                    (field("price", words::PRICE_OF_ONE, "", self.price_example()))
                    (field("source", words::SOURCE, "", ""))
                    (field_as("part-who", "who", words::WHO, self.who, ""))
                    button { (words::KEEP_PART) }
                }))
            }
            details.more {
                summary.button.plain { (words::ADD_TIME) }
                (self.later("time", &html! {
                    (field("spent", words::TIME, "", words::TIME_EXAMPLE))
                    (field_as("on-what", "words", words::ON_WHAT, "", ""))
                    (field("hourly", words::PRICE_OF_HOUR, "", self.price_example()))
                    (field_as("time-who", "who", words::WHO, self.who, ""))
                    button { (words::KEEP_TIME) }
                }))
            }
        }
    }

    /// Once a currency was used, a bare number will do.
    fn price_example(&self) -> &str {
        self.currency.unwrap_or(words::PRICE_EXAMPLE)
    }
}
