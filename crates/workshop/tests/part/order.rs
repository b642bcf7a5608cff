//! What holds for every shelf and every need: a blocker is never outvoted, what is not known never fits, units and rows do not count.

use proptest::{collection::vec, prelude::*};
use workshop::study::part::{Kinds, Matched, Need, Shelf, Verdict, base, own, rank, ways};

/// Numbers of a part of the kind below; `None` = not measured. Ohms and millimetres in thousandths.
#[derive(Clone, Debug)]
struct Drawn {
    ohm: Option<(u32, u32)>,
    width: Option<(u32, u32)>,
    edge: Option<bool>,
}

const KINDS: &str = r#"
[[kind]]
id = "test"
name = "Test"
[[kind.attribute]]
id = "edge"
name = "Edge"
words = ["first", "last"]
tier = "blocker"
why = "w"
how = "h"
minutes = 3
if_not = "n"
[[kind.attribute]]
id = "ohm"
name = "Ohm"
measure = "resistance"
usual_pm = "5 %"
share_least = 0.85
share_most = 1.15
tier = "must-match"
why = "w"
how = "h"
minutes = 2
if_not = "n"
[[kind.attribute]]
id = "width"
name = "Width"
measure = "length"
usual_pm = "0.1 mm"
below = "1 mm"
above = "0.5 mm"
tier = "must-match"
why = "w"
how = "h"
minutes = 5
if_not = "n"
"#;
const NEED: &str = "[test]\nedge = \"first\"\nohm = \"3.4 ± 0.1 Ω\"\nwidth = \"12.0 ± 0.1 mm\"\n";

fn kinds() -> Kinds {
    own(base(), ways(), KINDS).unwrap().0
}

fn need(kinds: &Kinds) -> Need {
    Need { kind: kinds.named("test").unwrap(), of: vec![None; 3] }.over(kinds, NEED).unwrap()
}

fn drawn() -> impl Strategy<Value = Drawn> {
    let ohm = prop::option::weighted(0.8, (2600_u32..4300, 1_u32..300));
    let width = prop::option::weighted(0.8, (10_500_u32..13_500, 1_u32..400));
    (ohm, width, prop::option::weighted(0.8, any::<bool>())).prop_map(|(ohm, width, edge)| Drawn { ohm, width, edge })
}

/// Thousandths as a decimal of ten-thousandths, so that no three decimals can be taken for thousands.
fn milli(n: u32) -> String {
    format!("{}.{:03}0", n / 1000, n % 1000)
}

/// A part in TOML; `other` writes the same numbers in other units.
fn part(n: usize, part: &Drawn, other: bool) -> String {
    let mut text = format!("[[part]]\nid = \"p{n:03}\"\nkind = \"test\"\nmeasured = \"meter\"\n");
    if let Some((x, pm)) = part.ohm {
        let value = if other { format!("{x} ± {pm} mΩ") } else { format!("{} ± {} Ω", milli(x), milli(pm)) };
        text += &format!("ohm = \"{value}\"\n");
    }
    if let Some((x, pm)) = part.width {
        let cm = |n: u32| format!("{}.{:04}", n / 10_000, n % 10_000);
        let value = if other { format!("{} ± {} cm", cm(x), cm(pm)) } else { format!("{} ± {} mm", milli(x), milli(pm)) };
        text += &format!("width = \"{value}\"\n");
    }
    if let Some(edge) = part.edge {
        text += &format!("edge = \"{}\"\n", if edge { "first" } else { "last" });
    }
    text
}

fn shelf(kinds: &Kinds, parts: &[(usize, &Drawn)], other: bool) -> Shelf {
    Shelf::toml(kinds, &parts.iter().map(|(n, p)| part(*n, p, other)).collect::<String>()).unwrap()
}

fn order<'a>(matched: &Matched<'a>) -> Vec<(&'a str, Verdict)> {
    matched.ranked.iter().map(|r| (matched.part(r).id.as_str(), r.verdict)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_blocker_is_never_outvoted(mut parts in vec(drawn(), 1..30)) {
        let kinds = kinds();
        let need = need(&kinds);
        // One whose every number is right, and whose edge is the other.
        parts.push(Drawn { ohm: Some((3400, 1)), width: Some((12_000, 1)), edge: Some(false) });
        let listed: Vec<_> = parts.iter().enumerate().collect();
        let on = shelf(&kinds, &listed, false);
        let matched = rank(&kinds, &need, &on);
        let first_blocked = matched.ranked.iter().position(|r| r.verdict == Verdict::Blocked).unwrap();
        for (at, ranked) in matched.ranked.iter().enumerate() {
            let n: usize = matched.part(ranked).id[1..].parse().unwrap();
            prop_assert_eq!(parts[n].edge == Some(false), ranked.verdict == Verdict::Blocked);
            prop_assert_eq!(at >= first_blocked, ranked.verdict == Verdict::Blocked);
        }
    }

    #[test]
    fn what_is_not_known_never_fits_however_much_else_becomes_known(start in drawn(), ohm in 1_u32..300, width in 1_u32..300) {
        let kinds = kinds();
        let need = need(&kinds);
        let verdict = |p: &Drawn| {
            let on = shelf(&kinds, &[(0, p)], false);
            rank(&kinds, &need, &on).ranked[0].verdict
        };
        // Everything else is filled in as well as can be; one thing at a time is left out.
        let best = Drawn { ohm: Some((3400, ohm.min(20))), width: Some((11_800, width.min(20))), edge: Some(true) };
        prop_assert_eq!(verdict(&best), Verdict::Match);
        for left_out in 0..3 {
            let mut with = best.clone();
            match left_out {
                0 => with.ohm = None,
                1 => with.width = None,
                _ => with.edge = None,
            }
            prop_assert_eq!(verdict(&with), Verdict::Unknown);
        }
        let unknown = start.ohm.is_none() || start.width.is_none() || start.edge.is_none();
        prop_assert!(!unknown || !matches!(verdict(&start), Verdict::Match | Verdict::Doubtful));
    }

    #[test]
    fn neither_units_nor_rows_count(parts in vec(drawn(), 1..30), turn in 0_usize..30) {
        let kinds = kinds();
        let need = need(&kinds);
        let mut listed: Vec<_> = parts.iter().enumerate().collect();
        let on = shelf(&kinds, &listed, false);
        let before = rank(&kinds, &need, &on);
        let on = shelf(&kinds, &listed, true);
        let other = rank(&kinds, &need, &on);
        prop_assert_eq!(order(&before), order(&other));
        for (a, b) in before.ranked.iter().zip(&other.ranked) {
            prop_assert!((a.chance - b.chance).abs() < 1e-9);
        }
        let n = listed.len();
        listed.rotate_left(turn % n);
        listed.reverse();
        let on = shelf(&kinds, &listed, false);
        prop_assert_eq!(order(&before), order(&rank(&kinds, &need, &on)));
    }
}
