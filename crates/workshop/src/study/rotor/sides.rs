//! The same rotor seen from this side and from that: which way it turns there, and which end of the segment leads.

use crate::machine::{Machine, SeenFrom, Turns};

/// How the rotor lies before the eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// On the machine, looked at from outside.
    OnTheMachine,
    /// On the machine as the engine would see it: from behind.
    FromTheEngine,
    /// On the bench, cover side down.
    BenchCoverDown,
    /// On the bench, cover side up.
    BenchCoverUp,
    /// In the chuck or on its mandrel, cover side towards the tailstock and the eye.
    ChuckCoverOut,
    /// In the chuck or on its mandrel, engine side towards the tailstock and the eye.
    ChuckCoverIn,
}

impl View {
    /// All of them, on the machine first.
    pub const ALL: [Self; 6] = [
        Self::OnTheMachine,
        Self::FromTheEngine,
        Self::BenchCoverDown,
        Self::BenchCoverUp,
        Self::ChuckCoverOut,
        Self::ChuckCoverIn,
    ];

    /// The side that faces the eye.
    pub fn shows(self) -> SeenFrom {
        match self {
            Self::OnTheMachine | Self::BenchCoverUp | Self::ChuckCoverOut => SeenFrom::CoverSide,
            Self::FromTheEngine | Self::BenchCoverDown | Self::ChuckCoverIn => SeenFrom::EngineSide,
        }
    }
}

/// The way the engine turns the rotor as seen in a view, from how it turns as seen from a side. It says nothing of the way a lathe turns.
///
/// ```
/// use workshop::machine::{SeenFrom, Turns};
/// use workshop::study::rotor::sides::{View, turns_in};
/// // Anticlockwise on the machine is clockwise once it lies face down.
/// assert_eq!(turns_in(View::BenchCoverDown, Turns::Anticlockwise, SeenFrom::CoverSide), Turns::Clockwise);
/// ```
pub fn turns_in(view: View, turns: Turns, seen_from: SeenFrom) -> Turns {
    match (view.shows() == seen_from, turns) {
        (true, turns) => turns,
        (false, Turns::Clockwise) => Turns::Anticlockwise,
        (false, Turns::Anticlockwise) => Turns::Clockwise,
    }
}

/// Where on the rotor the segment is, before the eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum At {
    /// Uppermost.
    Top,
    /// Lowest.
    Bottom,
}

/// An end of the segment, before the eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// To the left.
    Left,
    /// To the right.
    Right,
}

impl End {
    /// The other one.
    pub fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// What is asked before a cut is marked out: which end leads, in the view in which it is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Question {
    /// How the rotor lies.
    pub view: View,
    /// Where the segment is turned to.
    pub segment_at: At,
}

/// A question and what is right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Check {
    /// What is asked.
    pub question: Question,
    /// The end that leads.
    pub leads: End,
}

impl Check {
    /// The end that a cut of the trailing end is made at.
    pub fn cut_end(&self) -> End {
        self.leads.other()
    }

    /// Whether an answer is right. Nothing is printed to cut by until it is.
    pub fn is_right(&self, answer: End) -> bool {
        answer == self.leads
    }
}

/// The end that leads in a view: what is at the top of a rotor that turns clockwise moves to the right, so its right end goes first.
pub fn check(question: Question, turns: Turns, seen_from: SeenFrom) -> Check {
    let at_top = match turns_in(question.view, turns, seen_from) {
        Turns::Clockwise => End::Right,
        Turns::Anticlockwise => End::Left,
    };
    let leads = match question.segment_at {
        At::Top => at_top,
        At::Bottom => at_top.other(),
    };
    Check { question, leads }
}

/// What is asked before a sheet to cut by is given out: the segment at the top, the rotor turned over on its mandrel, as scrapped ones lay. `None` for a machine without a
/// trigger rotor.
pub fn before_a_cut(machine: &Machine) -> Option<Check> {
    let trigger = machine.trigger.as_ref()?;
    Some(check(Question { view: View::ChuckCoverIn, segment_at: At::Top }, trigger.turns, trigger.seen_from))
}

/// The rotor in every view, segment at the top.
pub fn views(turns: Turns, seen_from: SeenFrom) -> [(View, Turns, End); 6] {
    View::ALL.map(|view| {
        let check = check(Question { view, segment_at: At::Top }, turns, seen_from);
        (view, turns_in(view, turns, seen_from), check.leads)
    })
}
