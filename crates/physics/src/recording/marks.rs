//! Which lobes are the passes of one segment or one mark, turn by turn.

use super::lobes::Lobe;

/// How a channel marks a turn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MarkKind {
    /// Two lobes of opposite sign: the ends of a segment, or of a bolt's head, pass an inductive pickup.
    Pair {
        /// The leading end gives the upward lobe.
        leading_up: bool,
        /// From the first lobe to the second, as a share of a turn of the rotor \[1\].
        share: f64,
    },
    /// One lobe a turn.
    Single {
        /// It points upward.
        up: bool,
    },
}

/// Why no turns are found.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoMarks {
    /// Fewer lobes than make four turns.
    #[error("{found} pulses are too few")]
    TooFew {
        /// Lobes found.
        found: usize,
    },
    /// Lobes without a regular order: neither pairs nor single marks.
    #[error("pulses follow one another without order")]
    NoOrder,
    /// Two lobes of opposite sign half a turn apart: which end leads cannot be told.
    #[error("the two ends are half a turn apart")]
    HalfATurn,
    /// No row of lobes goes on at an even pace.
    #[error("pulses do not come at an even pace")]
    NoPace,
}

/// One pass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// Middle between both lobes, or of the one lobe [s].
    pub at_s: f64,
    /// Leading and trailing lobe [s]; the same for a single one.
    pub ends_s: (f64, f64),
    /// Their heights, with signs.
    pub peaks: (f32, f32),
    /// Width of the first at half height [s].
    pub width_s: f32,
    /// The same at a fifth of its height [s].
    pub foot_s: f32,
    /// Turns since the mark before; 0 where the row begins anew and the turns between are not known.
    pub turns: u32,
}

/// The row of marks.
#[derive(Clone, Debug)]
pub struct Marks {
    /// How they are made.
    pub kind: MarkKind,
    /// In order.
    pub marks: Vec<Mark>,
    /// Lobes that belong to none of them.
    pub stray: usize,
}

/// A lobe is strong above this share of the highest among its neighbours of the same side \[1\] (own choice), where that side is higher
/// than the second share of the other: clipping and drift leave one side lower.
const STRONG: f32 = 0.5;
const LEAST_SIDE: f32 = 0.25;
/// Neighbours to either side that a lobe is held against [1] (own choice).
const NEIGHBOURS: usize = 8;
/// Strong lobes that change sign each time in more than this share are pairs, in less than the second are single ones \[1\] (own choice).
const CHANGING: f64 = 0.8;
const SAME: f64 = 0.35;
/// Ends this near to half a turn apart are not told apart \[1\] (own choice).
const NEAR_HALF: f64 = 0.03;
/// Longest and shortest turn of the crank [s] (own choice): 100 rpm, and 20 000 rpm.
const LONGEST_TURN_S: f64 = 0.6;
const SHORTEST_TURN_S: f64 = 3e-3;
/// Earlier candidates that one is linked to [1] (own choice), and turns that may be missing in a link.
const BACK: usize = 6;
const MOST_TURNS: u32 = 3;
/// What is lost with a turn that is missing, and with a row that begins anew, where a mark counts 1 \[1\] (own choice).
const MISSING: f64 = 0.7;
const ANEW: f64 = 3.0;
/// What a change of the pace costs: this times the square of the logarithm \[1\] (own choice). A change by a third within one turn, more
/// than engines do, costs a mark.
const UNEVEN: f64 = 12.0;

/// The kind of marks that lobes make, from their signs and distances.
///
/// # Errors
/// [`NoMarks`].
pub fn kind(lobes: &[Lobe]) -> Result<MarkKind, NoMarks> {
    let strong = strong(lobes);
    if strong.len() < 5 {
        return Err(NoMarks::TooFew { found: lobes.len() });
    }
    let changes = strong.windows(2).filter(|w| (w[0].peak > 0.0) != (w[1].peak > 0.0)).count() as f64;
    let changing = changes / (strong.len() - 1) as f64;
    if changing < SAME {
        return Ok(MarkKind::Single { up: 2 * strong.iter().filter(|l| l.peak > 0.0).count() > strong.len() });
    }
    if changing < CHANGING {
        return Err(NoMarks::NoOrder);
    }
    // Share of the way from an upward lobe to the next downward one in the way to the next upward one.
    let mut shares: Vec<f64> = strong
        .windows(3)
        .filter(|w| w[0].peak > 0.0 && w[1].peak < 0.0 && w[2].peak > 0.0)
        .map(|w| (w[1].middle_s - w[0].middle_s) / (w[2].middle_s - w[0].middle_s))
        .collect();
    let share = median(&mut shares).ok_or(NoMarks::TooFew { found: lobes.len() })?;
    if (share - 0.5).abs() < NEAR_HALF {
        return Err(NoMarks::HalfATurn);
    }
    let leading_up = share < 0.5;
    Ok(MarkKind::Pair { leading_up, share: if leading_up { share } else { 1.0 - share } })
}

/// The row of marks of a kind: of all rows of lobes the one with the most and highest lobes at the most even pace.
///
/// Dynamic programming over pairs of candidates (Viterbi, IEEE Trans. Inf. Theory 13 (1967) 260–269): a row's worth is the sum of its
/// lobes' heights against their neighbours, less what missing turns and changes of the pace cost. `turns` is how often the rotor turns in
/// one turn of the crank.
///
/// # Errors
/// [`NoMarks::NoPace`].
pub fn marks(lobes: &[Lobe], kind: MarkKind, turns: f64) -> Result<Marks, NoMarks> {
    let nodes = candidates(lobes, kind, turns);
    let row = best_row(&nodes, turns);
    if row.len() < 4 {
        return Err(NoMarks::NoPace);
    }
    let in_each = if matches!(kind, MarkKind::Pair { .. }) { 2 } else { 1 };
    let stray = lobes.len().saturating_sub(in_each * row.len());
    let marks = row.into_iter().map(|(i, turns)| Mark { turns, ..nodes[i].mark }).collect();
    Ok(Marks { kind, marks, stray })
}

pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    values.sort_unstable_by(f64::total_cmp);
    let n = values.len();
    Some(0.5 * (values[(n - 1) / 2] + values[n / 2]))
}

/// The second highest lobe of the same side near this one: one giant does not count.
fn highest_near(lobes: &[Lobe], i: usize, up: bool) -> f32 {
    let near = &lobes[i.saturating_sub(2 * NEIGHBOURS)..(i + 2 * NEIGHBOURS + 1).min(lobes.len())];
    let (mut first, mut second) = (0.0f32, 0.0f32);
    for l in near.iter().filter(|l| (l.peak > 0.0) == up) {
        let h = l.peak.abs();
        if h > first {
            (first, second) = (h, first);
        } else if h > second {
            second = h;
        }
    }
    if second > 0.0 { second } else { first }
}

fn strong(lobes: &[Lobe]) -> Vec<Lobe> {
    let is = |i: &usize| {
        let up = lobes[*i].peak > 0.0;
        let own = highest_near(lobes, *i, up);
        lobes[*i].peak.abs() > STRONG * own && own > LEAST_SIDE * highest_near(lobes, *i, !up)
    };
    (0..lobes.len()).filter(is).map(|i| lobes[i]).collect()
}

struct Node {
    mark: Mark,
    /// Lobes that it is made of.
    lobes: (usize, usize),
    worth: f64,
    /// Logarithm of the turn that the distance of its two lobes speaks for, where it does.
    own: Option<f64>,
}

fn candidates(lobes: &[Lobe], kind: MarkKind, turns: f64) -> Vec<Node> {
    let longest = LONGEST_TURN_S / turns;
    let worth = |i: usize| f64::from((lobes[i].peak.abs() / highest_near(lobes, i, lobes[i].peak > 0.0)).min(1.0));
    let mut nodes = Vec::new();
    for (i, lobe) in lobes.iter().enumerate() {
        let up = lobe.peak > 0.0;
        match kind {
            MarkKind::Single { up: wanted } if up == wanted => nodes.push(Node {
                mark: Mark {
                    at_s: lobe.middle_s,
                    ends_s: (lobe.middle_s, lobe.middle_s),
                    peaks: (lobe.peak, lobe.peak),
                    width_s: lobe.width_s,
                    foot_s: lobe.foot_s,
                    turns: 0,
                },
                lobes: (i, i),
                worth: worth(i),
                own: None,
            }),
            MarkKind::Pair { leading_up, share } if up == leading_up => {
                let others = (i + 1..lobes.len()).filter(|j| (lobes[*j].peak > 0.0) != up).take(2);
                for j in others {
                    let apart = lobes[j].middle_s - lobe.middle_s;
                    let turn = apart / share;
                    if turn > 2.0 * longest || turn < 0.5 * SHORTEST_TURN_S / turns {
                        continue;
                    }
                    // Where both lobes are one bolt's head, their distance is too short to tell a turn; share of a turn [1] (own choice).
                    const TELLS: f64 = 0.02;
                    nodes.push(Node {
                        mark: Mark {
                            at_s: 0.5 * (lobe.middle_s + lobes[j].middle_s),
                            ends_s: (lobe.middle_s, lobes[j].middle_s),
                            peaks: (lobe.peak, lobes[j].peak),
                            width_s: lobe.width_s,
                            foot_s: lobe.foot_s,
                            turns: 0,
                        },
                        lobes: (i, j),
                        worth: 0.5 * (worth(i) + worth(j)),
                        own: (share > TELLS).then(|| turn.ln()),
                    });
                }
            }
            _ => {}
        }
    }
    nodes.sort_by(|a, b| a.mark.at_s.total_cmp(&b.mark.at_s));
    nodes
}

/// A row that ends in this node, by way of one before it.
#[derive(Clone, Copy)]
struct State {
    /// The node before; none where the row begins here.
    before: Option<u32>,
    /// Turns since.
    turns: u32,
    /// Logarithm of the turn.
    pace: f64,
    worth: f64,
    /// Which state of the node before, or of the node at which the row before ended.
    back: Option<(u32, u16)>,
}

fn best_row(nodes: &[Node], turns: f64) -> Vec<(usize, u32)> {
    let (shortest, longest) = (SHORTEST_TURN_S / turns, LONGEST_TURN_S / turns);
    let mut states: Vec<State> = Vec::new();
    let mut starts: Vec<usize> = Vec::with_capacity(nodes.len() + 1);
    // The best row that has ended so far, with node and state.
    let mut ended: Option<(f64, u32, u16)> = None;
    for (b, node) in nodes.iter().enumerate() {
        starts.push(states.len());
        let anew = ended.map(|(worth, n, s)| (worth - ANEW, (n, s))).filter(|(worth, _)| *worth > 0.0);
        states.push(State {
            before: None,
            turns: 0,
            pace: node.own.unwrap_or(f64::NAN),
            worth: node.worth + anew.map_or(0.0, |a| a.0),
            back: anew.map(|a| a.1),
        });
        for a in (0..b).rev().take(4 * BACK).filter(|a| apart(&nodes[*a], node)).take(BACK) {
            let distance = node.mark.at_s - nodes[a].mark.at_s;
            if distance > f64::from(MOST_TURNS) * longest {
                break;
            }
            for n in 1..=MOST_TURNS {
                let turn = distance / f64::from(n);
                if !(shortest..=longest).contains(&turn) {
                    continue;
                }
                let pace = turn.ln();
                let own = node.own.map_or(0.0, |own| (pace - own).powi(2));
                let cost = MISSING * f64::from(n - 1) + UNEVEN * own;
                let mut best: Option<(f64, u16)> = None;
                for (s, state) in states[starts[a]..starts.get(a + 1).copied().unwrap_or(states.len())].iter().enumerate() {
                    let change = if state.pace.is_nan() { 0.0 } else { (pace - state.pace).powi(2) };
                    let worth = state.worth - UNEVEN * change;
                    if best.is_none_or(|(w, _)| worth > w) {
                        best = Some((worth, s as u16));
                    }
                }
                if let Some((worth, s)) = best {
                    states.push(State {
                        before: Some(a as u32),
                        turns: n,
                        pace,
                        worth: worth + node.worth - cost,
                        back: Some((a as u32, s)),
                    });
                }
            }
        }
        for (s, state) in states[starts[b]..].iter().enumerate() {
            if ended.is_none_or(|(worth, ..)| state.worth > worth) {
                ended = Some((state.worth, b as u32, s as u16));
            }
        }
    }
    let mut row = Vec::new();
    let mut at = ended.map(|(_, n, s)| (n, s));
    while let Some((n, s)) = at {
        let state = states[starts[n as usize] + s as usize];
        row.push((n as usize, if state.before.is_some() { state.turns } else { 0 }));
        at = state.back;
    }
    row.reverse();
    row
}

/// Whether two candidates share no lobe and do not overlap.
fn apart(a: &Node, b: &Node) -> bool {
    a.lobes.1 < b.lobes.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lobe(middle_s: f64, peak: f32) -> Lobe {
        Lobe { middle_s, width_s: 1e-4, foot_s: 2e-4, peak }
    }

    /// Passes at the times, the second end a tenth of the turn behind the first.
    fn pairs(times: &[f64]) -> Vec<Lobe> {
        let turn = |i: usize| if i + 1 < times.len() { times[i + 1] - times[i] } else { times[i] - times[i - 1] };
        (0..times.len()).flat_map(|i| [lobe(times[i], 1.0), lobe(times[i] + 0.1 * turn(i), -0.8)]).collect()
    }

    /// A run-up: each turn 4 % shorter.
    fn run_up(n: i32) -> Vec<f64> {
        (0..n).map(|k| 0.05 * (1.0 - 0.96f64.powi(k)) / 0.04).collect()
    }

    #[test]
    fn pairs_of_a_run_up_are_found_and_told_which_leads() {
        let lobes = pairs(&run_up(30));
        let kind = kind(&lobes).unwrap();
        let MarkKind::Pair { leading_up, share } = kind else { panic!("{kind:?}") };
        assert!(leading_up && (share - 0.1).abs() < 0.01, "{share}");
        let upside_down: Vec<Lobe> = lobes.iter().map(|l| Lobe { peak: -l.peak, ..*l }).collect();
        assert!(matches!(super::kind(&upside_down), Ok(MarkKind::Pair { leading_up: false, .. })));
        let row = marks(&lobes, kind, 1.0).unwrap();
        assert_eq!((row.marks.len(), row.stray), (30, 0));
        assert_eq!(row.marks.iter().filter(|m| m.turns == 0).count(), 1);
    }

    #[test]
    fn a_stray_lobe_is_left_out_and_a_missing_pair_is_two_turns() {
        let mut lobes = pairs(&run_up(30));
        lobes.push(lobe(0.31, 0.9));
        // The second end of the pair at 0.5 s or so is lost.
        let lost = lobes.iter().position(|l| l.middle_s > 0.5 && l.peak < 0.0).unwrap();
        lobes.remove(lost);
        lobes.sort_by(|a, b| a.middle_s.total_cmp(&b.middle_s));
        let row = marks(&lobes, kind(&lobes).unwrap(), 1.0).unwrap();
        assert_eq!(row.marks.len(), 29);
        assert_eq!(row.stray, 2);
        assert_eq!(row.marks.iter().filter(|m| m.turns == 2).count(), 1);
    }

    #[test]
    fn single_marks_and_what_is_none() {
        let lobes: Vec<Lobe> = run_up(20).into_iter().map(|t| lobe(t, -1.0)).collect();
        let kind_found = kind(&lobes).unwrap();
        assert_eq!(kind_found, MarkKind::Single { up: false });
        assert_eq!(marks(&lobes, kind_found, 1.0).unwrap().marks.len(), 20);
        assert_eq!(kind(&lobes[..3]), Err(NoMarks::TooFew { found: 3 }));
        let half: Vec<Lobe> = (0..20).map(|i| lobe(0.01 * i as f64, if i % 2 == 0 { 1.0 } else { -1.0 })).collect();
        assert_eq!(kind(&half), Err(NoMarks::HalfATurn));
    }

    #[test]
    fn a_stop_of_a_second_begins_the_row_anew() {
        let mut times = run_up(20);
        let end = times[19];
        times.extend(run_up(20).into_iter().map(|t| t + end + 1.0));
        let lobes: Vec<Lobe> = times.into_iter().map(|t| lobe(t, 1.0)).collect();
        let row = marks(&lobes, MarkKind::Single { up: true }, 1.0).unwrap();
        assert_eq!(row.marks.len(), 40);
        assert_eq!(row.marks.iter().filter(|m| m.turns == 0).count(), 2);
    }
}
