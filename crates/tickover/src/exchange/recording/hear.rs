//! From a file to a study: the one way for command line and page.

use super::{Columns, Fault, Incoming, Note};
use sheets::words::recording as words;
use std::io::{self, Read};
use workshop::{
    machine::Machine,
    study::recording::{
        Details, Given, Listener, NotHeard, Recorded,
        pickups::{Pickups, PickupsListener},
        sound::{NotTold, Sound, SoundListener},
    },
};

/// Why there is no answer.
#[derive(Debug)]
pub enum NoAnswer {
    /// The file.
    Fault(Fault),
    /// One channel where two are needed.
    Mono,
    /// The recording of an ignition.
    NotHeard(NotHeard),
    /// The sound of an exhaust.
    NotTold(NotTold),
    /// What was found could not be written.
    NotWritten(io::Error),
    /// It was stopped.
    Stopped,
}

impl NoAnswer {
    /// A sentence or two.
    pub fn said(&self) -> String {
        match self {
            NoAnswer::Fault(fault) => fault.said(),
            NoAnswer::Mono => words::MONO_REFUSED.to_owned(),
            NoAnswer::NotHeard(why) => words::not_heard(*why),
            NoAnswer::NotTold(why) => words::not_told(*why),
            NoAnswer::NotWritten(error) => error.to_string(),
            NoAnswer::Stopped => sheets::words::INTERRUPTED.to_owned(),
        }
    }
}

impl Fault {
    /// A sentence or two.
    pub fn said(&self) -> String {
        match self {
            Fault::Empty => words::EMPTY.to_owned(),
            Fault::NotARecording => words::NOT_A_RECORDING.to_owned(),
            Fault::Heading => words::HEADING.to_owned(),
            Fault::Packed { tag, bits } => words::packed(*tag, *bits),
            Fault::Channels(n) => words::channels(*n),
            Fault::Rate(hz) => words::rate(*hz),
            Fault::NoSamples => words::NO_SAMPLES.to_owned(),
            Fault::NoNumbers => words::NO_NUMBERS.to_owned(),
            Fault::Cell { line, column, found } => words::cell(*line, *column, found),
            Fault::Time { line } => words::uneven_time(*line),
            Fault::LongLine { line } => words::long_line(*line),
            Fault::NotText { line } => words::not_text(*line),
            Fault::Io(error) => error.to_string(),
        }
    }
}

impl Note {
    /// A sentence.
    pub fn said(self) -> String {
        match self {
            Note::EndsEarly => words::ENDS_EARLY.to_owned(),
            Note::LengthNotTold => words::LENGTH_NOT_TOLD.to_owned(),
            Note::MoreChannels(n) => words::more_channels(n),
            Note::Mono => words::MONO.to_owned(),
        }
    }
}

/// What was heard so far.
pub enum SoFar<'a> {
    /// Trigger and spark.
    Ignition(&'a Listener),
    /// Nothing that could be shown yet.
    Nothing,
    /// The exhaust.
    Exhaust(&'a SoundListener),
}

/// Looks at what was heard so far and at the share of the file that it is, where that is known; `false` stops.
pub type Watch<'a> = &'a mut dyn FnMut(SoFar, Option<f64>) -> bool;

/// What is wanted beside the study.
#[derive(Default)]
pub struct Wanted<'a> {
    /// A stretch to be looked at.
    pub closeup: Option<&'a mut Closeup>,
    /// Takes all single events as they are found, with the cylinders of each place.
    pub each: Option<Each<'a>>,
}

/// See [`Wanted::each`].
pub type Each<'a> = &'a mut dyn FnMut(&Details, &[Vec<usize>]) -> io::Result<()>;

/// Trigger and spark. With all events taken as they come, or none asked for, the memory that it takes does not grow with the recording.
///
/// # Errors
/// [`NoAnswer`].
pub fn ignition<R: Read>(
    source: R,
    length: Option<u64>,
    columns: &Columns,
    machine: &Machine,
    given: &Given,
    mut wanted: Wanted,
    watch: Watch,
) -> Result<(Recorded, Vec<Note>), NoAnswer> {
    let mut incoming = Incoming::open(source, length, columns).map_err(NoAnswer::Fault)?;
    if incoming.channels() < 2 {
        return Err(NoAnswer::Mono);
    }
    let given = Given { volts: given.volts.or(incoming.volts()), ..*given };
    let mut listener = Listener::new(incoming.rate_hz(), machine, &given);
    if wanted.each.is_some() {
        listener = listener.wanting(f64::NEG_INFINITY, f64::INFINITY);
    } else if let Some(closeup) = &wanted.closeup {
        listener = listener.wanting(closeup.from_s, closeup.from_s + closeup.lasts_s);
    }
    let mut block = [Vec::new(), Vec::new()];
    let mut first = 0;
    while incoming.next_block(&mut block).map_err(NoAnswer::Fault)? {
        listener.push(&block[0], &block[1]);
        if let Some(closeup) = &mut wanted.closeup {
            closeup.hear(first, incoming.rate_hz(), &block);
        }
        first += block[0].len() as u64;
        if let Some(why) = listener.hopeless() {
            return Err(NoAnswer::NotHeard(why));
        }
        if let Some(each) = &mut wanted.each {
            each(&listener.details(), &listener.places()).map_err(NoAnswer::NotWritten)?;
        }
        if !watch(SoFar::Ignition(&listener), incoming.share()) {
            return Err(NoAnswer::Stopped);
        }
    }
    let found = listener.finish().map_err(NoAnswer::NotHeard)?;
    if let Some(each) = &mut wanted.each {
        let places: Vec<Vec<usize>> = found.places.iter().map(|p| p.cylinders.clone()).collect();
        each(&found.details, &places).map_err(NoAnswer::NotWritten)?;
    }
    Ok((found, incoming.notes()))
}

/// Two pickups, one in each channel; a stretch of both to be looked at.
///
/// # Errors
/// [`NoAnswer`].
pub fn pickups<R: Read>(
    source: R,
    length: Option<u64>,
    columns: &Columns,
    machine: &Machine,
    mut closeup: Option<&mut Closeup>,
    watch: Watch,
) -> Result<(Pickups, Vec<Note>), NoAnswer> {
    let mut incoming = Incoming::open(source, length, columns).map_err(NoAnswer::Fault)?;
    if incoming.channels() < 2 {
        return Err(NoAnswer::Mono);
    }
    let given = Given { volts: incoming.volts(), ..Given::default() };
    let mut listener = PickupsListener::new(incoming.rate_hz(), machine, &given);
    let (mut block, mut first) = ([Vec::new(), Vec::new()], 0);
    while incoming.next_block(&mut block).map_err(NoAnswer::Fault)? {
        listener.push(&block[0], &block[1]);
        if let Some(closeup) = &mut closeup {
            closeup.hear(first, incoming.rate_hz(), &block);
        }
        first += block[0].len() as u64;
        if let Some(why) = listener.hopeless() {
            return Err(NoAnswer::NotHeard(why));
        }
        if !watch(SoFar::Nothing, incoming.share()) {
            return Err(NoAnswer::Stopped);
        }
    }
    let found = listener.finish().map_err(NoAnswer::NotHeard)?;
    Ok((found, incoming.notes()))
}

/// The sound of the exhaust; of two channels their mean.
///
/// # Errors
/// [`NoAnswer`].
pub fn exhaust<R: Read>(
    source: R,
    length: Option<u64>,
    columns: &Columns,
    machine: &Machine,
    watch: Watch,
) -> Result<(Sound, Vec<Note>), NoAnswer> {
    let mut incoming = Incoming::open(source, length, columns).map_err(NoAnswer::Fault)?;
    let mut listener = SoundListener::new(incoming.rate_hz(), machine);
    let two = incoming.channels() > 1;
    let mut block = [Vec::new(), Vec::new()];
    while incoming.next_block(&mut block).map_err(NoAnswer::Fault)? {
        let [a, b] = &mut block;
        if two {
            a.iter_mut().zip(b.iter()).for_each(|(x, y)| *x = 0.5 * (*x + y));
        }
        listener.push(a);
        if !watch(SoFar::Exhaust(&listener), incoming.share()) {
            return Err(NoAnswer::Stopped);
        }
    }
    let found = listener.finish().map_err(NoAnswer::NotTold)?;
    // One channel is all that a sound needs.
    Ok((found, incoming.notes().into_iter().filter(|n| *n != Note::Mono).collect()))
}

/// A short stretch of both channels, to be looked at.
#[derive(Clone, Debug)]
pub struct Closeup {
    /// Where it begins [s].
    pub from_s: f64,
    /// How long it is [s].
    pub lasts_s: f64,
    /// The samples.
    pub channels: [Vec<f32>; 2],
}

impl Closeup {
    /// Length where none is asked for, the least and the greatest [s] (own choice): a spark fills the first, some turns at idle the last.
    pub const LASTS_S: (f64, f64, f64) = (0.25, 0.002, 2.0);

    /// From a moment on, so long [s].
    pub fn new(from_s: f64, lasts_s: f64) -> Self {
        let (_, least, most) = Self::LASTS_S;
        Self { from_s: from_s.max(0.0), lasts_s: lasts_s.clamp(least, most), channels: [Vec::new(), Vec::new()] }
    }

    fn hear(&mut self, first: u64, rate_hz: f64, block: &[Vec<f32>; 2]) {
        let from = (self.from_s * rate_hz) as u64;
        let to = from + (self.lasts_s * rate_hz) as u64;
        let n = block[0].len() as u64;
        let inside = (from.clamp(first, first + n) - first) as usize..(to.clamp(first, first + n) - first) as usize;
        for (kept, heard) in self.channels.iter_mut().zip(block) {
            kept.extend(&heard[inside.clone()]);
        }
    }
}
