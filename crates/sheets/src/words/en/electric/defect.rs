//! Electrical readings that cannot all be true.

use crate::words::{en::reading::short, number};
use workshop::machine::Inconsistency as Odd;

/// What is wrong, and what to do; `None` where it is nothing electrical.
pub fn sentence(what: &Odd, path: &str) -> Option<String> {
    Some(match what {
        Odd::SameLoad => format!("{path}: two loads have this name. Give each its own."),
        Odd::PowerOrAmps => format!("{path}: give a load either its power or its current: one of the two."),
        Odd::PowerWithoutBattery => {
            format!("{path}: a load's power says nothing without the volts that it is for. Add [battery], or give its current.")
        }
        Odd::RegulatorWithoutVolts => {
            "a regulator needs the volts that it holds: add regulator_volts, as read at the battery, fast and with it full."
                .to_owned()
        }
        Odd::VoltsWithoutRegulator => {
            format!(
                "{path}: volts are held by a regulator, and the file says that there is none. Take them out, or say which it is."
            )
        }
        Odd::JoinedIncomplete => {
            format!(
                "{path}: amps with all leads joined and the crank speed at which they were read go together. Give both or neither."
            )
        }
        Odd::InductanceOrJoined => {
            format!("{path}: give the alternator either its inductance or the amps with all leads joined: one of the two.")
        }
        Odd::ChargeOrRestVolts => format!("{path}: rest volts tell the battery's charge. Give one of the two."),
        Odd::LightsNotSaid => {
            format!("{path}: say whether everything was switched on: lights = true, or false for only what must stay on.")
        }
        Odd::RegulatorNotForBattery { held_v, battery_v } => format!(
            "a regulator that holds {}\u{a0}V does not go with a battery of {}\u{a0}V. One of the two is wrong.",
            number(*held_v, 1),
            number(*battery_v, 0)
        ),
        Odd::SupplyNotForBattery { supply_v, battery_v } => format!(
            "{path}: {}\u{a0}V at the ignition do not go with the battery of {}\u{a0}V under [battery]. One of the two is wrong.",
            number(*supply_v, 1),
            number(*battery_v, 0)
        ),
        Odd::NoSuchLead => format!(
            "{path}: an alternator of one phase has no such pair of leads. Take this reading out, or correct charging.kind."
        ),
        Odd::RideParts => {
            "a ride of its own needs its parts, each under [[ride.part]]; the town and country rides have theirs and take none."
                .to_owned()
        }
        Odd::RideShares { total } => {
            format!("the parts of the ride come to {}\u{a0}% of its time. They must make 100\u{a0}%.", number(total * 100.0, 0))
        }
        Odd::LeadsExceed { leads_ohm, shown_ohm } => format!(
            "the meter's leads cannot have more ({}\u{a0}Ω) than what was read through them ({}\u{a0}Ω).",
            number(*leads_ohm, 2),
            number(*shown_ohm, 2)
        ),
        Odd::SectionOrGauge => format!("{path}: give a wire either its section or its gauge number: one of the two."),
        Odd::NoSuchLoad { found, did_you_mean, known } => match did_you_mean {
            Some(near) => format!("there is no load “{}”. Did you mean “{near}”?", short(found)),
            None if known.is_empty() => format!("there is no load “{}”. Add it, under [[load]].", short(found)),
            None => format!("there is no load “{}”. There are: {}.", short(found), known.join(", ")),
        },
        _ => return None,
    })
}
