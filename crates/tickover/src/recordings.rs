//! Recordings as fault finding takes them: heard by what is in them, with nothing said beforehand.

use crate::exchange::recording::{
    Columns,
    hear::{self, NoAnswer, Wanted},
};
use jobbook::{Attachment, ContentHash, Media, Stage};
use std::io::{self, Read};
use workshop::{
    machine::Machine,
    study::{
        fault::Heard,
        recording::{Given, NotHeard, Recorded, pickups::Pickups, sound::Sound},
    },
};

/// Most recordings of a job that are heard for its fault, the last ones (own choice): of each kind the last counts.
const MOST: usize = 4;

/// A recording that was heard.
#[derive(Debug)]
pub enum Recording {
    /// Trigger and spark.
    Ignition(Box<Recorded>),
    /// Two pickups.
    Pickups(Box<Pickups>),
    /// The exhaust.
    Exhaust(Box<Sound>),
}

impl Recording {
    /// Hears a file that can be opened more than once, of so many bytes where that is known: one channel is the sound of the exhaust; two are trigger and spark, or two
    /// pickups, or else the exhaust.
    ///
    /// # Errors
    /// A sentence.
    pub fn of<R: Read>(
        machine: &Machine,
        open: impl Fn() -> io::Result<R>,
        length: Option<u64>,
        watch: hear::Watch,
    ) -> Result<Self, String> {
        let source = || open().map_err(|e| e.to_string());
        let columns = Columns::default();
        let exhaust = |watch: hear::Watch| -> Result<Result<Self, NoAnswer>, String> {
            let heard = hear::exhaust(source()?, length, &columns, machine, watch);
            Ok(heard.map(|(sound, _)| Recording::Exhaust(Box::new(sound))))
        };
        let (given, wanted) = (Given::default(), Wanted::default());
        let first = hear::ignition(source()?, length, &columns, machine, &given, wanted, &mut *watch);
        let why = match first {
            Ok((found, _)) => return Ok(Recording::Ignition(Box::new(found))),
            Err(NoAnswer::Mono) => return exhaust(watch)?.map_err(|why| why.said()),
            Err(NoAnswer::NotHeard(
                why @ (NotHeard::RolesNotTold
                | NotHeard::NoTurns { .. }
                | NotHeard::Crowded { .. }
                | NotHeard::NoSparks { .. }
                | NotHeard::NoPlace { .. }),
            )) => NoAnswer::NotHeard(why),
            Err(why) => return Err(why.said()),
        };
        if let Ok((found, _)) = hear::pickups(source()?, length, &columns, machine, None, &mut *watch) {
            return Ok(Recording::Pickups(Box::new(found)));
        }
        exhaust(watch)?.map_err(|_| why.said())
    }

    /// As evidence.
    pub fn heard(&self) -> Heard<'_> {
        match self {
            Recording::Ignition(found) => Heard::Ignition(found),
            Recording::Pickups(found) => Heard::Pickups(found),
            Recording::Exhaust(found) => Heard::Exhaust(found),
        }
    }
}

/// Whether a file may be a recording; what it is, its reading tells.
pub fn may_be(attachment: &Attachment) -> bool {
    matches!(Media::named(&attachment.media), Some(Media::Wav | Media::Csv))
}

/// Recordings of a job that tell of its fault: name and hash, the last ones, in order. What was recorded when the work was done tells of the machine as it is left.
pub fn of_fault<'a>(attachments: impl Iterator<Item = &'a Attachment>) -> Vec<(String, ContentHash)> {
    let recording = |a: &&Attachment| a.stage != Stage::AsLeft && may_be(a);
    let all: Vec<_> = attachments.filter(recording).map(|a| (a.file.clone(), a.hash.clone())).collect();
    let from = all.len().saturating_sub(MOST);
    all.into_iter().skip(from).collect()
}
