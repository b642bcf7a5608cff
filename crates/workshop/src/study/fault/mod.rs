//! Fault finding: from the owner's words to the cause in the fewest minutes, with the reasons in sight.
//!
//! [`base`] has what is known, [`Case`] one complaint of one machine and what was done, [`Case::study`] what follows. [`infer`] and [`plan`] are numbers
//! alone. The data hold their own words, one file to a language; all other words stand in `sheets`.

mod bike;
mod case;
mod data;
mod defect;
mod evidence;
mod expected;
mod found;
pub mod infer;
mod keys;
mod oddity;
pub mod own;
pub mod plan;
mod range;
mod read;
mod step;
mod walk;

pub use crate::document::{Flaw, MOST_DEFECTS};
pub use bike::Bike;
pub use case::{Case, FETCH_MIN, LOOK_WIDER_MIN, OUT_OF_CONDITION, Repairs};
pub use data::{Cause, Complaint, Faults, Group, Hit, Kind, State, System, TEXT, Tally, Test, Weight, When, base};
pub use defect::{Defect, DefectKind, Wanted, What};
pub use evidence::{Evidence, From, Heard, Of, Signature, Studies, TestReading, heard, marks};
pub use expected::{Expected, WARM_K, expected};
pub use found::{Advice, CauseFound, FaultStudy, Leader, Metal, Next, STANDS, Standing, TestFound, Two, Why};
pub use keys::SYSTEMS;
pub use oddity::Oddity;
pub use own::Finished;
pub(in crate::study) use range::MINUTES;
pub use range::{CHANCE, Limit, Why as WhyLimited};
pub(in crate::study) use read::document;
pub use read::{VERSION, base as read};
pub use step::{Refused, Said, Step};
pub(in crate::study) use walk::{Item, Placed, Walk};
