//! What is known of faults: complaints, causes and tests with their numbers.

use std::sync::OnceLock;

use super::{own, read};
use crate::study::fault::defect::Defect;

/// The text of the base: causes, complaints and tests, with where their numbers come from.
pub const TEXT: &str = include_str!("faults.toml");

/// An ignition, as far as faults tell kinds apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum System {
    /// Battery, coil and points.
    Points,
    /// Self-contained magneto or flywheel magneto with points.
    Magneto,
    /// Capacitor discharge fed by a source coil.
    CdiSource,
    /// Capacitor discharge fed by the battery.
    CdiBattery,
    /// Electronic, battery-fed, with an inductive coil.
    Transistor,
}

impl System {
    /// All, in the order of the file's words.
    pub const ALL: [System; 5] = [System::Points, System::Magneto, System::CdiSource, System::CdiBattery, System::Transistor];
}

/// The condition under which a complaint shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// At any time.
    Always,
    /// While it is kicked.
    Kicking,
    /// Hot.
    Hot,
    /// At high speed.
    High,
    /// Under load.
    Load,
    /// In the wet.
    Wet,
    /// Over bumps.
    Bumps,
}

impl When {
    /// All, in the order of the file's words.
    pub const ALL: [When; 7] = [When::Always, When::Kicking, When::Hot, When::High, When::Load, When::Wet, When::Bumps];
}

/// What sort of complaint it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// It does not start.
    Starting,
    /// It does not run as it should.
    Running,
    /// The mark is not where it should be.
    Timing,
    /// The battery.
    Charging,
    /// Lamps.
    Lighting,
    /// It does not stop.
    Stopping,
    /// It kicks back.
    Kickback,
    /// It makes a noise.
    Noise,
    /// Something is broken.
    Damage,
}

impl Kind {
    /// All, in the order of the file's words.
    pub const ALL: [Kind; 9] = [
        Kind::Starting,
        Kind::Running,
        Kind::Timing,
        Kind::Charging,
        Kind::Lighting,
        Kind::Stopping,
        Kind::Kickback,
        Kind::Noise,
        Kind::Damage,
    ];
}

/// What the engine does during a test.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// It stands still.
    Stopped,
    /// It is kicked.
    Kicking,
    /// It runs.
    Running,
    /// It is hot and stands still, so it ran before.
    HotStopped,
    /// On the road.
    Road,
}

impl State {
    /// All, in the order of the file's words.
    pub const ALL: [State; 5] = [State::Stopped, State::Kicking, State::Running, State::HotStopped, State::Road];
}

/// Where a cause sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// Trigger.
    Trigger,
    /// Source coil and windings.
    Supply,
    /// Module.
    Module,
    /// High tension.
    HighTension,
    /// Contact breaker.
    Breaker,
    /// Advance.
    Advance,
    /// Timing.
    Timing,
    /// Rotor.
    Rotor,
    /// Wiring.
    Wiring,
    /// Charging.
    Charging,
    /// Mixture.
    Mixture,
    /// Engine.
    Engine,
    /// The instrument.
    Instrument,
}

impl Group {
    /// All, in the order of the file's words.
    pub const ALL: [Group; 13] = [
        Group::Trigger,
        Group::Supply,
        Group::Module,
        Group::HighTension,
        Group::Breaker,
        Group::Advance,
        Group::Timing,
        Group::Rotor,
        Group::Wiring,
        Group::Charging,
        Group::Mixture,
        Group::Engine,
        Group::Instrument,
    ];
}

/// Something that can be wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    /// Its name in files and answers.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Where it sits.
    pub group: Group,
    /// Ignitions that can have it.
    pub systems: Vec<System>,
    /// Strokes of engines that can have it; empty = any.
    pub strokes: Vec<u8>,
    /// Fewest cylinders of an engine that can have it.
    pub min_cyl: u8,
    /// Only where a battery is fitted.
    pub needs_battery: bool,
    /// Only where a regulator is fitted.
    pub needs_regulator: bool,
    /// The usual cure removes metal.
    pub irreversible: bool,
    /// How it shows.
    pub shows: String,
    /// How it is put right.
    pub put_right: String,
    /// Hands-on time for that, with the part fetched and the complaint tried again [min].
    pub mend_minutes: f64,
    /// The workshop added it.
    pub own: bool,
}

/// A cause under a complaint.
#[derive(Clone, Debug, PartialEq)]
pub struct Weight {
    /// The cause, as an index.
    pub cause: usize,
    /// Of 100 machines with the complaint, how many have it \[1\].
    pub weight: f64,
    /// Only on these ignitions; empty = on any.
    pub only: Vec<System>,
    /// Finished jobs of the workshop that had it.
    pub jobs: u32,
}

/// What an owner complains of.
#[derive(Clone, Debug, PartialEq)]
pub struct Complaint {
    /// Its name in files and answers.
    pub id: String,
    /// What a mechanic calls it.
    pub name: String,
    /// What the owner says; the mechanic's own findings have none.
    pub owner_says: String,
    /// What to ask the owner.
    pub ask: Vec<String>,
    /// Sort.
    pub kind: Kind,
    /// Condition under which it shows.
    pub when: When,
    /// What to stop before anything else.
    pub stop_first: Option<String>,
    /// Fewest cylinders.
    pub min_cyl: u8,
    /// States of test that are barred.
    pub bar_states: Vec<State>,
    /// Tests that lift the bar when one of them has passed, as indices; none = it stays.
    pub bar_until: Vec<usize>,
    /// The engine does not run at all.
    pub dead: bool,
    /// Its causes.
    pub causes: Vec<Weight>,
    /// Of 100, how many have none of them \[1\].
    pub other: f64,
    /// Finished jobs of the workshop that had none of them.
    pub other_jobs: u32,
    /// The workshop added it.
    pub own: bool,
}

/// How often a test came out either way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Positive.
    pub positive: u32,
    /// Negative.
    pub negative: u32,
}

/// A cause that a test shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Hit {
    /// The cause, as an index.
    pub cause: usize,
    /// Chance that the test comes out positive when that cause is the one present \[1\].
    pub chance: f64,
    /// What the workshop counted.
    pub seen: Tally,
}

/// A test.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// Its name in files and answers.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// What it is done with.
    pub tool: String,
    /// What the engine does meanwhile.
    pub state: State,
    /// What is set up for it; tests of one set-up share its time and its errors.
    pub setup: String,
    /// Time with setting up [min].
    pub minutes: f64,
    /// Time when the set-up stands already [min].
    pub again: f64,
    /// How it is done.
    pub how: String,
    /// What a sound machine shows.
    pub expect: String,
    /// What counts as positive.
    pub positive: String,
    /// What follows from positive.
    pub if_positive: String,
    /// What follows from negative.
    pub if_negative: String,
    /// What can happen in it.
    pub danger: Option<String>,
    /// Ignitions on which it can be done; empty = any.
    pub applies: Vec<System>,
    /// Strokes; empty = any.
    pub strokes: Vec<u8>,
    /// Fewest cylinders.
    pub min_cyl: u8,
    /// Complaints that it answers; empty = any.
    pub kinds: Vec<Kind>,
    /// Conditions of the complaint under which it can be done; empty = any.
    pub only_when: Vec<When>,
    /// Tests that come first, as indices.
    pub after: Vec<usize>,
    /// Conditions that it reproduces; `None` = it does not depend on them.
    pub sees: Option<Vec<When>>,
    /// The complaint has to be brought on again for it.
    pub repeats: bool,
    /// A known good part must be in hand.
    pub needs_spare: bool,
    /// It cannot be done on an engine that does not run at all.
    pub must_run: bool,
    /// Chance that it comes out positive with none of its causes present \[1\].
    pub none: f64,
    /// What the workshop counted of that.
    pub none_seen: Tally,
    /// What it shows.
    pub hits: Vec<Hit>,
    /// The workshop added it.
    pub own: bool,
}

/// All that is known of faults.
#[derive(Clone, Debug, PartialEq)]
pub struct Faults {
    /// Where the numbers come from, as the file says it.
    pub numbers_source: String,
    /// Time to bring the complaint on again, by [`When`] [min].
    pub repeat_minutes: [f64; 7],
    /// Causes.
    pub causes: Vec<Cause>,
    /// Complaints.
    pub complaints: Vec<Complaint>,
    /// Tests.
    pub tests: Vec<Test>,
    /// What a workshop's own file says, counted up.
    pub own: own::Counted,
    /// Jobs of the book that stand in that file by their number.
    pub named: Vec<own::Named>,
    /// What its finished jobs say, counted up.
    pub book: own::FromBook,
}

/// What the program brings along.
///
/// ```
/// let faults = workshop::study::fault::base();
/// assert!(faults.complaint("revs-hang").is_some());
/// ```
pub fn base() -> &'static Faults {
    static BASE: OnceLock<Faults> = OnceLock::new();
    BASE.get_or_init(|| match read::base(TEXT) {
        Ok(faults) => faults,
        Err(defects) => panic!("the embedded fault data have {} defects, the first {:?}", defects.len(), defects.first()),
    })
}

impl Faults {
    /// A complaint by name.
    pub fn complaint(&self, id: &str) -> Option<usize> {
        self.complaints.iter().position(|c| c.id == id)
    }

    /// A cause by name.
    pub fn cause(&self, id: &str) -> Option<usize> {
        self.causes.iter().position(|c| c.id == id)
    }

    /// A test by name.
    pub fn test(&self, id: &str) -> Option<usize> {
        self.tests.iter().position(|t| t.id == id)
    }

    /// The same with what a workshop adds and has counted.
    ///
    /// # Errors
    /// All [`Defect`]s of its file at once.
    pub fn with_own(&self, text: &str) -> Result<Faults, Vec<Defect>> {
        own::read(self, text)
    }

    /// The same with finished jobs of the job book, counted beside all else. One that the workshop's own file has by its number counts there alone, and the job whose
    /// own search it is, by its number, counts nowhere.
    #[must_use]
    pub fn with_jobs(&self, jobs: &[own::Finished], of: Option<&str>) -> Faults {
        own::with_jobs(self, jobs, of)
    }
}
