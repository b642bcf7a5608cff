//! Substitute parts: which part on the shelf does what this machine needs, by what was measured and never by its label.
//!
//! [`base`] has the kinds of part with what must be known of each, [`Shelf`] the parts, [`Need`] what the job asks for, and [`rank`] lays one beside the other:
//! what rules a part out, how likely the rest is within tolerance, what is not known, and what to measure next. The data hold their own words, as those of
//! fault finding do; all other words stand in `sheets`.

mod defect;
mod kind;
mod machine;
mod need;
mod price;
mod rank;
mod read;
mod shelf;
mod value;

pub use defect::{At, Defect, DefectKind};
pub use kind::{Attribute, Instead, Kind, Kinds, Measure, Rule, TEXT, Tier, UsualDoubt, base};
pub use need::{Need, NeedFrom, Needed, Wanted};
pub use price::{DEAR_SHARE, DEAR_SPREADS, FEWEST_PRICES, Fair, Price};
pub use rank::{Asked, FITS, Line, Matched, Next, OUT, Ranked, Stand, Verdict, rank};
pub use read::kinds as read;
pub use shelf::{COLUMNS, Cell, Known, MOST_PARTS, Part, Shelf, Shelving};
pub use value::Value;
