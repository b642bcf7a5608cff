//! What is wired to what.

/// Where an end of a winding goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Node {
    /// To the frame, which is the battery's other pole.
    Ground,
    /// To an input of the rectifier.
    Terminal(usize),
    /// To a star point that goes nowhere else.
    Star,
}

/// A winding: an EMF behind resistance and inductance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Winding {
    /// The end from which current comes while its EMF is positive.
    pub from: Node,
    /// The other end.
    pub to: Node,
    /// Peak flux linkage of the magnets [V·s]: peak EMF over the electrical angular speed.
    pub linkage_vs: f64,
    /// How far its EMF is ahead of the angle that is counted [rad].
    pub phase_rad: f64,
    /// Resistance as warm as it is [Ω].
    pub resistance_ohm: f64,
    /// Inductance [H]: of a phase with the others carrying its return, mutual parts included.
    pub inductance_h: f64,
    /// Broken.
    pub open: bool,
}

/// One of the valves of an input of the rectifier.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Valve {
    /// A sound diode.
    Diode,
    /// None, or one that no longer conducts.
    Open,
    /// One that conducts both ways.
    Shorted,
}

/// An input of the rectifier, with its valve to the battery's plus and the one from the frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Terminal {
    /// To plus.
    pub upper: Valve,
    /// From the frame.
    pub lower: Valve,
}

/// What the rectifier works into: an EMF behind a resistance (battery and loads as Thévenin has them).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bus {
    /// EMF [V].
    pub emf_v: f64,
    /// Resistance [Ω].
    pub resistance_ohm: f64,
}

/// Windings and rectifier.
#[derive(Clone, Debug, PartialEq)]
pub struct Circuit {
    /// Windings, three at most.
    pub windings: Vec<Winding>,
    /// Inputs of the rectifier, three at most.
    pub terminals: Vec<Terminal>,
    /// Volts over a conducting valve, apart from its resistance [V].
    pub diode_v: f64,
    /// Resistance of a conducting valve, and of one that is shorted [Ω].
    pub diode_ohm: f64,
}

/// How windings are connected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// One winding with an end on the frame, one diode.
    HalfWave,
    /// One winding between two inputs of a bridge.
    FullWave,
    /// Three windings in a star whose point is free, and a bridge.
    Star,
    /// Three windings in a ring, and a bridge.
    Delta,
}

/// Why something is no circuit that can be solved.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NotACircuit {
    /// None, or more than three.
    #[error("{windings} windings and {terminals} inputs of the rectifier; one to three of each can be solved")]
    Count {
        /// Windings.
        windings: usize,
        /// Inputs.
        terminals: usize,
    },
    /// A winding that has no positive resistance or inductance, or a number that is not finite.
    #[error("winding {winding} needs a resistance and an inductance above nought")]
    BadWinding {
        /// Which.
        winding: usize,
    },
    /// A winding that ends at an input that is not there, or where it begins.
    #[error("winding {winding} leads nowhere")]
    Loose {
        /// Which.
        winding: usize,
    },
    /// Volts or resistance of valves or bus below nought or not finite.
    #[error("volts and resistances of valves and bus must be nought or more")]
    BadBus,
    /// Both valves of an input are shorted, and with them the battery.
    #[error("both valves of input {terminal} are shorted: the battery feeds straight into them")]
    BatteryShorted {
        /// Which.
        terminal: usize,
    },
}

/// A third of a turn [rad], exact.
const THIRD_RAD: f64 = std::f64::consts::TAU / 3.0;

impl Circuit {
    /// A sound circuit: every phase with the same linkage [V·s], resistance [Ω] and inductance [H].
    pub fn sound(kind: Kind, linkage_vs: f64, resistance_ohm: f64, inductance_h: f64, diode_v: f64, diode_ohm: f64) -> Self {
        let winding =
            |from, to, phase_rad| Winding { from, to, linkage_vs, phase_rad, resistance_ohm, inductance_h, open: false };
        let bridge = Terminal { upper: Valve::Diode, lower: Valve::Diode };
        let (windings, inputs) = match kind {
            Kind::HalfWave => (vec![winding(Node::Ground, Node::Terminal(0), 0.0)], 1),
            Kind::FullWave => (vec![winding(Node::Terminal(1), Node::Terminal(0), 0.0)], 2),
            Kind::Star => ((0..3).map(|k| winding(Node::Star, Node::Terminal(k), -THIRD_RAD * k as f64)).collect(), 3),
            Kind::Delta => {
                let ends = |k| (Node::Terminal((k + 1) % 3), Node::Terminal(k));
                ((0..3).map(|k| winding(ends(k).0, ends(k).1, -THIRD_RAD * k as f64)).collect(), 3)
            }
        };
        let mut terminals = vec![bridge; inputs];
        if kind == Kind::HalfWave {
            terminals[0].lower = Valve::Open;
        }
        Self { windings, terminals, diode_v, diode_ohm }
    }

    /// The same with its plus and minus joined behind the rectifier, as a shunt regulator does; `switch_v` is what drops over its switch [V].
    ///
    /// A switch from each input to the frame carries what its upper diode would, so a bridge into nothing stands for it.
    pub fn shunted(&self, switch_v: f64) -> (Self, Bus) {
        let mut joined = self.clone();
        // The regulator's own switches: a fault of the rectifier's upper diodes is none of theirs.
        joined.terminals.iter_mut().for_each(|t| t.upper = Valve::Diode);
        (joined, Bus { emf_v: switch_v - self.diode_v, resistance_ohm: 0.0 })
    }

    /// Parts of a period of which each repeats the one before it with the windings' currents passed on and turned round: winding k carries after a part, the other
    /// way, what winding k + 1 carried before it. Six of a sound star or ring, two of a sound winding between two inputs, and one, the period itself, of all others.
    ///
    /// The steady state is the only one there is, as every loop has resistance, so it is as symmetric as its circuit.
    pub(super) fn parts(&self) -> usize {
        let Some(w) = self.windings.first() else { return 1 };
        let sound = |kind| Self::sound(kind, w.linkage_vs, w.resistance_ohm, w.inductance_h, self.diode_v, self.diode_ohm);
        match (self.windings.len(), self.terminals.len()) {
            (3, 3) if [Kind::Star, Kind::Delta].into_iter().any(|kind| *self == sound(kind)) => 6,
            (1, 2) if *self == sound(Kind::FullWave) => 2,
            _ => 1,
        }
    }

    /// Judges it.
    ///
    /// # Errors
    /// [`NotACircuit`].
    pub fn judge(&self, bus: &Bus) -> Result<(), NotACircuit> {
        let (windings, terminals) = (self.windings.len(), self.terminals.len());
        if !(1..=3).contains(&windings) || !(1..=3).contains(&terminals) {
            return Err(NotACircuit::Count { windings, terminals });
        }
        for (winding, w) in self.windings.iter().enumerate() {
            let sound =
                w.resistance_ohm > 0.0 && w.inductance_h > 0.0 && w.resistance_ohm.is_finite() && w.inductance_h.is_finite();
            if !sound || !w.linkage_vs.is_finite() || !w.phase_rad.is_finite() {
                return Err(NotACircuit::BadWinding { winding });
            }
            let there = |n| !matches!(n, Node::Terminal(k) if k >= terminals);
            if !there(w.from) || !there(w.to) || w.from == w.to {
                return Err(NotACircuit::Loose { winding });
            }
        }
        let sound = |x: f64| x.is_finite() && x >= 0.0;
        if !sound(self.diode_v) || !sound(self.diode_ohm) || !bus.emf_v.is_finite() || !sound(bus.resistance_ohm) {
            return Err(NotACircuit::BadBus);
        }
        let both = |t: &Terminal| t.upper == Valve::Shorted && t.lower == Valve::Shorted;
        match self.terminals.iter().position(both) {
            Some(terminal) => Err(NotACircuit::BatteryShorted { terminal }),
            None => Ok(()),
        }
    }

    /// What comes out of input `terminal` for one ampere in `winding` \[1\].
    pub(super) fn incidence(&self, node: Node, winding: usize) -> f64 {
        let w = &self.windings[winding];
        f64::from(u8::from(w.to == node)) - f64::from(u8::from(w.from == node))
    }
}
