//! What holds the rotor and its magnets: from readings to findings.

mod written;

use physics::rotor::{
    bond::{Never, Seat},
    thread::Class,
};
use proptest::prelude::*;
use quantity::{Dimension as D, Reading};
use std::f64::consts::{PI, TAU};
use workshop::{
    machine::{metal::MagnetMaterial, *},
    study::{
        Finding,
        rotor::{
            flux, glue, held,
            magnets::{self, Group, Look, NotFound, Spin},
            pulling::{self, Beside, Enough, OF_STRIPPING, PullStep},
            taper::{self, Carries, Remark, friction},
        },
    },
};
use written::{close, exact, length, number, read};

/// Digits of a closed form, worked out in another order.
const RELATIVE: f64 = 1e-8;

/// Turned at a speed, on its axis.
fn spin(top: &Reading) -> Spin {
    Spin { speed: Finding { si: top.si, plus_minus_si: top.plus_minus_si }, off_axis: exact(0.0) }
}

// --- magnets ------------------------------------------------------------------------------------------------------------------

fn bond(strength: &str) -> Bond {
    Bond {
        points: vec![
            (read("23 °C", D::Temperature), read("30 ± 5 MPa", D::Stress)),
            (read("82 °C", D::Temperature), read(strength, D::Stress)),
            (read("121 °C", D::Temperature), read("2.0 ± 0.5 MPa", D::Stress)),
        ],
        rotor_temperature: read("82 °C", D::Temperature),
        coldest: read("23 °C", D::Temperature),
        thickness: length("0.15 mm"),
        shear_modulus: read("700 MPa", D::Stress),
        set_at: read("82 °C", D::Temperature),
        age_factor: number("1"),
        quality_factor: number("1"),
        area: Some(read("600 mm²", D::Area)),
        sleeve: read("0 N", D::Force),
        backing: length("5 mm"),
        shock: number("0"),
        unevenness: number("0"),
        pole_force: read("0 N", D::Force),
    }
}

/// 25 g whose centre of mass is at 48 mm: an arc of a degree, so thin that the mean radius is all but the centre's.
fn group(seat: Seat) -> Group {
    Group {
        material: MagnetMaterial::Ferrite,
        seat,
        count: 6,
        mass: exact(0.025),
        outside: length("96.01 mm"),
        inside: length("95.99 mm"),
        arc: read("1°", D::Angle),
        length: exact(0.03),
        backing: ((210e9, 0.0), (12e-6, 0.0)),
    }
}

/// F = m r ω² by NumPy: 25 g, 48 mm, 12 000 rev/min, 600 mm²: 1894.964 N, 3.158 MPa. With loads that are sure, the chance is a lognormal's share below them.
#[test]
fn a_bond_pulled_off_by_spin() {
    /// An arc of a degree draws its centre of mass in by 1.3e-5, a ring 0.01 mm thick by less.
    const ARC: f64 = 2e-5;
    let top = read("12000 rpm", D::Speed);
    let found = magnets::study(&group(Seat::OnHub), Some(&bond("8 ± 4 MPa")), spin(&top)).unwrap();
    close(found.pull.si, 1894.964045, ARC);
    close(found.across.si, 3.158273408e6, ARC);
    close(found.margin.si, 8e6 / 3.158273408e6, ARC);
    close(found.used_up.unwrap().si, 12_000.0 * TAU / 60.0 * (8.0f64 / 3.158273408).sqrt(), ARC);
    // Standard uncertainty a quarter of the strength: σ² = ln(1 + 1/16); scipy.stats.norm.cdf(log(3.158273408/8)/σ) = 8.00e-5.
    let sigma = (1.0f64 + 1.0 / 16.0).ln().sqrt();
    let z = (3.158273408f64 / 8.0).ln() / sigma;
    assert!((z + 3.7749).abs() < 1e-3);
    close(found.chance.one, 8.003e-5, 2e-3);
    close(found.chance.any_at_most, 6.0 * found.chance.one, RELATIVE);
    assert_eq!(found.chance.untold, 0.0);
    assert_eq!(found.look, Look::Specialist, "adhesive alone on a hub");
    // The ± of the margin is that of the strength.
    close(found.margin.plus_minus_si / found.margin.si, 0.5, 1e-6);
}

#[test]
fn a_bond_in_a_rim_is_pressed() {
    let top = read("12000 rpm", D::Speed);
    let still = magnets::study(&group(Seat::InsideRim), Some(&bond("8 ± 4 MPa")), spin(&top)).unwrap();
    assert!(still.across.si < 0.0);
    assert_eq!(still.used_up, Err(Never::Pressed));
    // Nothing shears it: no part of the strength is used.
    assert!(still.chance.one < 1e-12 && still.look == Look::WheneverOff);
    let mut worse = bond("8 ± 4 MPa");
    worse.set_at = read("-40 °C", D::Temperature);
    worse.shear_modulus = read("3000 MPa", D::Stress);
    let wide = Group { arc: read("55°", D::Angle), inside: length("84 mm"), ..group(Seat::InsideRim) };
    let hot = magnets::study(&wide, Some(&worse), spin(&top)).unwrap();
    assert!(hot.thermal.si > 1e6 && hot.thermal.si > hot.along.si, "the coupon's own peak is taken out: {hot:?}");
    assert!(hot.begins.one > still.begins.one && hot.begins.one > hot.chance.one);
    // Heat opens a corner, it does not throw a magnet.
    assert!(hot.chance.one < 1e-6);
}

/// Sampling against the closed form where one input moves the load: log-normal strength over a normal load has no closed form, so a fine quadrature by the
/// midpoint rule stands in.
#[test]
fn the_chance_is_the_integral_over_the_loads() {
    let mut b = bond("8 ± 4 MPa");
    b.area = None;
    let top = read("12000 ± 1500 rpm", D::Speed);
    let g = group(Seat::OnHub);
    let found = magnets::study(&g, Some(&b), spin(&top)).unwrap();
    let area = 0.047995 * 1f64.to_radians() * 0.03;
    let sigma = (1.0f64 + 1.0 / 16.0).ln().sqrt();
    let n = 20_000;
    let mut sum = 0.0;
    for i in 0..n {
        let z = workshop::sampling::normal_quantile((f64::from(i) + 0.5) / f64::from(n));
        let speed = (12_000.0 + 750.0 * z) * TAU / 60.0;
        let load = 0.025 * 0.048 * speed * speed / area;
        sum += physics::interval::normal_share((load / 8e6).ln() / sigma) / f64::from(n);
    }
    /// 5120 points of ten scrambles, and the thin arc.
    const SAMPLED: f64 = 5e-3;
    close(found.chance.one, sum, SAMPLED);
    assert!(found.chance.interval.0 <= found.chance.one && found.chance.one <= found.chance.interval.1);
}

#[test]
fn what_is_missing_is_named() {
    let top = read("9000 rpm", D::Speed);
    assert_eq!(magnets::study(&group(Seat::OnHub), None, spin(&top)), Err(NotFound::Missing("rotor.bond")));
    let hot = Bond { rotor_temperature: read("130 °C", D::Temperature), ..bond("8 MPa") };
    let told = magnets::study(&group(Seat::OnHub), Some(&hot), spin(&top));
    assert!(matches!(told, Err(NotFound::BeyondPoints { most_k, .. }) if (most_k - 394.15).abs() < 1e-9), "{told:?}");
    assert_eq!(flux::flux_left(None, None), Err(NotFound::Missing("rotor.flux")));
    assert_eq!(glue::glue_steps(Seat::OnHub, MagnetMaterial::Ferrite, &hot), Err(Look::Specialist));
    // Poles are looked at while they can still be turned, and a plain rare earth is cured no hotter than it bears.
    let steps = glue::glue_steps(Seat::InsideRim, MagnetMaterial::RareEarth, &hot).unwrap();
    let at = |step: glue::GlueStep| steps.iter().position(|s| *s == step).unwrap_or_else(|| panic!("{step:?}: {steps:?}"));
    let set = at(glue::GlueStep::SetIn { layer_um: 150 });
    assert!(
        set < at(glue::GlueStep::CheckPoles)
            && at(glue::GlueStep::CheckPoles) < at(glue::GlueStep::Cure { not_above_k: Some(353.15) })
    );
}

#[test]
fn a_drifting_temperature_leaves_cases_untold() {
    let b = Bond { rotor_temperature: read("115 ± 12 °C", D::Temperature), ..bond("8 MPa") };
    let found = magnets::study(&group(Seat::OnHub), Some(&b), spin(&read("3000 rpm", D::Speed))).unwrap();
    // One standard uncertainty below the last point: 16 % lie beyond it.
    assert!((found.chance.untold - 0.1587).abs() < 0.005, "{}", found.chance.untold);
}

/// What is not told is not safe: strength known to 82 °C, the rotor 82 ± 10 °C, so that half of the cases are hotter than any point.
#[test]
fn untold_cases_do_not_count_as_safe() {
    let top = read("3000 rpm", D::Speed);
    let mut b = Bond { rotor_temperature: read("82 ± 10 °C", D::Temperature), ..bond("8 ± 1 MPa") };
    b.points.pop();
    let found = magnets::study(&group(Seat::InsideRim), Some(&b), spin(&top)).unwrap();
    assert!((found.chance.untold - 0.5).abs() < 0.01);
    assert_eq!((found.chance.any_at_most, found.look), (1.0, Look::NotToBeRun));
    // One temperature tells nothing of another.
    b.points.remove(0);
    assert_eq!(magnets::study(&group(Seat::InsideRim), Some(&b), spin(&top)), Err(NotFound::OnePoint));
    // More carried than borne, at standstill or at top speed, is not run, whatever else.
    let shaken = Bond { shock: number("40000"), ..bond("8 ± 1 MPa") };
    let found = magnets::study(&group(Seat::InsideRim), Some(&shaken), spin(&top)).unwrap();
    assert!(found.margin.si < 1.0 && found.used_up == Err(Never::AlreadyGone));
    assert_eq!(found.look, Look::NotToBeRun);
}

/// A hub of aluminium stretches twice as far as one of steel, and a cold night twice as far the other way as a hot day from what it set at.
#[test]
fn the_metal_behind_and_the_cold_count() {
    let top = read("3000 rpm", D::Speed);
    let b = Bond { set_at: read("52 °C", D::Temperature), coldest: read("-8 °C", D::Temperature), ..bond("8 MPa") };
    let stiff = |backing| Group { backing, arc: read("50°", D::Angle), inside: length("84 mm"), ..group(Seat::InsideRim) };
    let on = |backing| magnets::study(&stiff(backing), Some(&b), spin(&top)).unwrap();
    let steel = on(((210e9, 0.0), (12e-6, 0.0)));
    // 60 K colder against 30 K hotter: twice the shear, the layer being elastic.
    close(steel.cold.thermal.si, 2.0 * steel.thermal.si, 1e-9);
    // Below 23 °C nothing is known of this adhesive.
    assert_eq!(steel.cold.margin, None);
    let other = on(((210e9, 0.0), (23e-6, 0.0)));
    close(other.thermal.si / steel.thermal.si, (23.0 - 11.0) / (12.0 - 11.0), 1e-6);
}

// --- taper and puller -----------------------------------------------------------------------------------------------------------

fn seat() -> Taper {
    Taper {
        large_diameter: length("18 ± 0.05 mm"),
        length: length("20 ± 0.2 mm"),
        ratio: number("0.2"),
        hub_ratio: None,
        hub_diameter: length("32 mm"),
        contact: number("75 %"),
        contact_at: ContactAt::AllOver,
        friction: number("0.12 ± 0.03"),
        thread: length("12 mm"),
        pitch: length("1.25 mm"),
        nut_face: length("18 mm"),
        class: Class::C8_8,
        nut_torque: read("60 ± 3 N·m", D::Torque),
        lubrication: Lubrication::Oiled,
        peak_torque: Some(read("60 ± 15 N·m", D::Torque)),
        key: Some([length("4 mm"), length("4 mm"), length("10 mm")]),
    }
}

/// Against the rounded form of VDI 2230 and the two textbook formulas, worked out here.
#[test]
fn a_seat_by_hand() {
    /// 0.16 and 0.58 are rounded.
    const ROUNDED: f64 = 0.01;
    let found = taper::study(&seat(), None, None).unwrap();
    let mu = friction(Lubrication::Oiled).0;
    let middle = 12.0 - 0.75 * 0.75f64.sqrt() * 1.25;
    let clamp = 60e3 / (0.16 * 1.25 + 0.58 * mu * middle + mu * 0.25 * (18.0 + 12.0));
    close(found.clamp.si, clamp, ROUNDED);
    let alpha = 0.1f64.atan();
    let normal = found.clamp.si / (alpha.sin() + 0.12 * alpha.cos());
    close(found.slips_at.si, 0.12 * normal * 0.008, RELATIVE);
    close(found.worked_home.si, 0.12 * found.clamp.si / alpha.sin() * 0.008, RELATIVE);
    close(found.release.si, normal * (0.12 * alpha.cos() - alpha.sin()), RELATIVE);
    assert!(found.holds_itself && found.remarks.iter().all(|r| !matches!(r, Remark::LetsGo)));
    let margin = found.margin.unwrap();
    close(margin.times.si, found.slips_at.si / 60.0, RELATIVE);
    assert_eq!(margin.carries, Carries::Yes, "{margin:?}");
    close(found.key.unwrap().shear_pa, 60.0 / 0.008 / 40e-6, RELATIVE);
    // Doubt of the torque: nut ±5 %, friction of the nut by far the most.
    let share = found.clamp.plus_minus_si / found.clamp.si;
    assert!(share > 0.15 && share < 0.35, "{share}");
}

#[test]
fn remarks_on_a_seat() {
    let none = Taper { peak_torque: None, ..seat() };
    let found = taper::study(&none, None, None).unwrap();
    assert!(found.margin.is_none() && found.key.is_none());
    let poor = Taper { contact: number("30 %"), contact_at: ContactAt::SmallEnd, friction: number("0.08"), ..seat() };
    let found = taper::study(&poor, None, None).unwrap();
    for remark in [Remark::LittleContact { share: 0.3 }, Remark::SmallEndOnly, Remark::LetsGo] {
        assert!(found.remarks.contains(&remark), "{remark:?}: {:?}", found.remarks);
    }
    assert!(found.release.si < 0.0, "it comes off by itself");
    let fast = Taper { hub_ratio: Some(number("0.206")), ..seat() };
    let angles = taper::study(&fast, None, None).unwrap().mismatch.unwrap();
    assert!(!angles.at_large_end && angles.share < 1.0);
    close(angles.gap.si, 0.003 * 0.02, RELATIVE);
    assert!(taper::study(&Taper { hub_diameter: length("12 mm"), ..seat() }, None, None).is_none());
}

fn puller(by: PullsBy) -> Puller {
    Puller {
        by,
        thread: length(if by == PullsBy::Boss { "27 mm" } else { "6 mm" }),
        pitch: length(if by == PullsBy::Boss { "1.25 mm" } else { "1 mm" }),
        engaged: length("7 mm"),
        bolts: (by == PullsBy::Bolts).then(|| (2, length("40 mm"))),
        screw: length("14 mm"),
        screw_pitch: length("1.5 mm"),
        hub_strength: read("350 ± 100 MPa", D::Stress),
    }
}

#[test]
fn a_boss_bears_more_than_two_bolts() {
    let seat = taper::study(&seat(), None, None).unwrap();
    let boss = pulling::study(&puller(PullsBy::Boss), &seat, Beside::default()).unwrap();
    close(boss.strips_at.si, 0.6 * 350e6 * 0.875 * PI * 0.027 * 0.007, RELATIVE);
    close(boss.most.0.si, OF_STRIPPING * boss.strips_at.si, RELATIVE);
    assert_eq!(boss.enough, Enough::Yes);
    let two = pulling::study(&puller(PullsBy::Bolts), &seat, Beside::default()).unwrap();
    // Off by 1 mm on a circle of 40: the nearer bolt bears 5 % more than half.
    // M6 of 8.8 yields at 580 MPa on 20.12 mm², before 7 mm of thread strip in this metal (24.2 kN).
    let middle = 6.0 - 0.75 * 0.75f64.sqrt();
    let core = 6.0 - 17.0 / 12.0 * 0.75f64.sqrt();
    close(two.strips_at.si, 2.0 / 1.05 * 580.0 * PI / 16.0 * (middle + core).powi(2), RELATIVE);
    assert!(two.steps.contains(&PullStep::ThreeBolts) && !boss.steps.contains(&PullStep::ThreeBolts));
    let tightened = boss.steps.iter().find_map(|s| if let PullStep::Tighten { most_n_m } = s { Some(*most_n_m) } else { None });
    assert!(tightened.unwrap() < boss.most.1.si);
    // A caution about direction stands before everything else.
    assert_eq!(boss.steps[0], PullStep::MarkDirection);
}

/// No hotter than glue and magnets bear, and by the thread that the planned cut leaves.
#[test]
fn a_boss_is_not_warmed_beyond_what_glue_and_magnets_bear() {
    let seat = taper::study(&seat(), None, None).unwrap();
    let pull = |beside| pulling::study(&puller(PullsBy::Bolts), &seat, beside).unwrap();
    let at = |above: f64| Beside { bears_k: Some(293.15 + above), ..Beside::default() };
    let [enough, little] = [1.1, 0.9].map(|share| pull(at(share * seat.frees_at.si)));
    assert!(enough.may_warm && enough.steps.iter().any(|s| matches!(s, PullStep::Warm { not_above_k: Some(_), .. })));
    assert!(!little.may_warm && little.steps.iter().any(|s| matches!(s, PullStep::DoNotWarm { .. })), "{:?}", little.steps);
    assert!(!little.steps.iter().any(|s| matches!(s, PullStep::Warm { .. })));
    let left = workshop::study::Finding { si: 2.5e-3, plus_minus_si: 0.1e-3 };
    let cut = pull(Beside { thread_left: Some(left), ..Beside::default() });
    let whole = pull(Beside::default());
    // It is pulled off before it is cut, with the whole thread.
    assert_eq!((cut.strips_at, cut.most, cut.enough), (whole.strips_at, whole.most, whole.enough));
    let then = cut.shortened.unwrap();
    assert_eq!((then.now_m, then.left), (7e-3, left));
    // Now a bolt yields first, M6 of class 8.8 at 600 MPa × 20.1 mm² = 12.1 kN (ISO 898-1, from memory); 2.5 mm of thread strip at 8.6 kN each (VDI 2230, as above), the worst bolt first.
    let share = 8.6 / 11.7;
    assert!((then.strips_at.si / whole.strips_at.si / share - 1.0).abs() < 0.05, "{} {}", then.strips_at.si, whole.strips_at.si);
    assert!(then.most_n_m < whole.most.1.si);
    assert!(cut.steps.contains(&PullStep::ThreadIn { depth_m: 7e-3, left_m: Some(2.5e-3) }));
}

/// A boss of aluminium stretches three times as far for the same press, and is freed by about as much more than half of that.
#[test]
fn the_boss_is_of_its_own_metal() {
    use workshop::machine::metal::METALS;
    let steel = taper::study(&seat(), None, None).unwrap();
    let light = taper::study(&seat(), None, Some(&METALS[6])).unwrap();
    assert!(light.travel.si > 2.0 * steel.travel.si);
    // Lamé by hand: hub 16 mm to 32 mm.
    let k = |young: f64, poisson: f64| (5.0 / 3.0 + poisson) / young + 0.7 / 210e9;
    close(light.travel.si / steel.travel.si, k(70e9, 0.33) / k(210e9, 0.3), 1e-6);
    close(light.frees_at.si / steel.frees_at.si, k(70e9, 0.33) / k(210e9, 0.3) * 12.0 / 23.5, 1e-6);
}

proptest! {
    /// No reading within its limits makes a study panic or give a number that is none.
    #[test]
    fn studies_stay_on_their_feet(mu in 0.02..0.6f64, torque in 1.0..500.0f64, contact in 1.0..100.0f64, ratio in 0.02..0.5f64) {
        let t = Taper {
            friction: number(&format!("{mu:.3} ± 0.02")),
            nut_torque: read(&format!("{torque:.1} ± 2 N·m"), D::Torque),
            contact: number(&format!("{contact:.1} %")),
            ratio: number(&format!("{ratio:.4}")),
            ..seat()
        };
        let found = taper::study(&t, None, None).unwrap();
        for f in [found.clamp, found.slips_at, found.pressure, found.release, found.travel, found.frees_at, found.of_proof] {
            prop_assert!(f.si.is_finite() && f.plus_minus_si.is_finite());
        }
        let pull = pulling::study(&puller(PullsBy::Bolts), &found, Beside::default()).unwrap();
        prop_assert!(pull.most.0.si.is_finite() && pull.torque.si.is_finite());
    }
}

/// The whole way from a file: the invented twin, and the same without its parts.
#[test]
fn a_machine_file_is_studied_whole() {
    let (machine, _) = workshop::machine::read(EXAMPLES[0].1).unwrap();
    let found = held::study(&machine, None, None).unwrap();
    let bond = found.rings[0].bond.as_ref().unwrap();
    // Six arcs of 50° between 83 and 96 mm, 27 mm long, of ferrite: 66 g each, and that at 42.7 mm 0.015 mm farther out for the run-out,
    // times (9500 rev/min)², the maker's limit.
    let volume = 0.125 * 50f64.to_radians() * (0.096f64.powi(2) - 0.083f64.powi(2)) * 0.027;
    let radius = 4.0 / 3.0 * (25f64.to_radians().sin() / 50f64.to_radians()) * (0.048f64.powi(3) - 0.0415f64.powi(3))
        / (0.048f64.powi(2) - 0.0415f64.powi(2));
    close(bond.pull.si, 4850.0 * volume * (radius + 0.015e-3) * (9500.0 * TAU / 60.0).powi(2), 1e-6);
    assert!(bond.across.si < 0.0, "pressed into the rim");
    let taper = found.taper.unwrap();
    assert!(taper.margin.is_some() && taper.holds_itself);
    assert!(found.pull.unwrap().bolts.unwrap().stands);
    let balance = found.balance.unwrap();
    let told = balance.runs.unwrap();
    // The runs were made from 62 g·mm at 312°, rounded and moved by up to 0.03 on readings of ±0.05.
    assert!((told.size.si * 1e6 - 62.0).abs() < told.size.plus_minus_si * 1e6, "{told:?}");
    assert!((told.place.si.to_degrees() - 312.0).abs() < told.place.plus_minus_si.to_degrees(), "{told:?}");
    assert!(found.flux.unwrap().left.si < 1.0);
    let (bare, _) = workshop::machine::read(EXAMPLES[1].1).unwrap();
    match held::study(&bare, None, None) {
        Err(e) => assert_eq!(e, NotFound::Missing("rotor")),
        Ok(none) => assert_eq!(none.taper, Err(NotFound::Missing("rotor.taper"))),
    }
}
