//! Firings, one by one and counted.

/// One firing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Firing {
    /// When [s].
    pub at_s: f64,
    /// The mark passed last, counted from the first of the row.
    pub mark: usize,
    /// Marks up to that one at which the row begins anew or has missed a turn.
    pub breaks: usize,
    /// Angle of the rotor since that mark [rad].
    pub past_rad: f64,
    /// Which of the places.
    pub place: usize,
    /// Crank speed [rad/s].
    pub speed_rad_s: f64,
    /// How fast the crank gains speed [rad/s²].
    pub gain_rad_s2: f64,
    /// Advance before that top dead centre [rad].
    pub advance_rad: f64,
    /// Height of the spark.
    pub height: f32,
    /// How long it is heard [s].
    pub lasts_s: f32,
    /// Sparks that follow it within the same firing.
    pub repeats: u16,
}

/// How often a place fires.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rhythm {
    /// It is not heard in this channel.
    NotHeard,
    /// In every turn of the rotor.
    EveryTurn,
    /// In every second one.
    EverySecond,
}

/// What one stretch of a recording told.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stretch {
    /// In order of time; those of places that are not heard as a rule are among them.
    pub firings: Vec<Firing>,
    /// Place and time [s] of those that are missing, by the rhythm known so far.
    pub missing: Vec<(usize, f64)>,
    /// Sparks that belong to no firing: time [s], and advance of the nearest place [rad].
    pub stray: Vec<(f64, f64)>,
}

/// The sparks of a recording, counted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Totals {
    /// How often each place fires.
    pub rhythm: Vec<Rhythm>,
    /// Firings that each place had.
    pub fired: Vec<usize>,
    /// Firings that each place should have had, while sparks went on at all.
    pub due: Vec<usize>,
    /// Sparks that belong to no firing.
    pub stray: usize,
    /// Sparks outside of the row of marks, of which nothing can be said.
    pub without_turn: usize,
    /// Sparks at a place that is not heard as a rule: another lead's, now and then.
    pub elsewhere: usize,
}

impl Totals {
    /// Firings of all places that are heard.
    pub fn firings(&self) -> usize {
        self.fired.iter().sum()
    }

    /// Those that are missing.
    pub fn missing(&self) -> usize {
        self.due.iter().zip(&self.fired).map(|(due, fired)| due - fired).sum()
    }
}
