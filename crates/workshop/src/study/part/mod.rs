//! Substitute parts: which part on the shelf does what this machine needs, by what was measured and never by its label.
//!
//! [`base`] has the kinds of part with what must be known of each, [`Shelf`] the parts, [`Need`] what the job asks for, and [`rank`] lays one beside the other:
//! what rules a part out, how likely the rest is within tolerance, what is not known, and what to measure next. The data hold their own words, as those of
//! fault finding do; all other words stand in `sheets`.

mod adapted;
mod defect;
mod fitted;
mod kind;
mod laid;
mod machine;
mod need;
mod price;
mod rank;
mod read;
mod set;
mod shelf;
mod shopping;
mod sift;
mod value;
mod ways;

pub use adapted::{Offer, TRIED_TOGETHER};
pub use defect::{At, Defect, DefectKind};
pub use fitted::{
    Change, Concern, Effect, Fitted, Lacks, Outcome, Refit, Room, Skipped, Taken, Told, What, with_part, with_parts,
};
pub use kind::{Attribute, Instead, Kind, Kinds, Measure, Rule, TEXT, Tier, UsualDoubt, base};
pub use need::{Need, NeedFrom, Needed, Wanted};
pub use price::{DEAR_SHARE, DEAR_SPREADS, FEWEST_PRICES, Fair, Price};
pub use rank::{Asked, FITS, Line, Matched, Next, OUT, Ranked, Stand, Verdict, rank};
pub use read::{kinds as read, own};
pub use set::{Combined, Mend, Sets, TRIED, sets};
pub use shelf::{COLUMNS, Cell, Known, MOST_PARTS, Origin, Part, Shelf, Shelving};
pub use shopping::{Buy, LISTED};
pub use value::Value;
pub use ways::{Adaptation, Cost, Link, Removes, Side, Together, WAYS, Ways, ways};
