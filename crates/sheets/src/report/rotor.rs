//! The rotor in the hand, for a terminal.

use super::{Printer, Style};
use crate::words::rotor as text;
use workshop::machine::Machine;
use workshop::study::rotor::{Held, RotorStudy};

/// Section, checks, stresses, and what metal may come off with its cautions first.
pub fn rotor(machine: &Machine, study: &RotorStudy, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    p.title(&machine.name);
    part(&mut p, machine, study);
    p.finish()
}

/// The same as part of a longer text.
pub(super) fn part(p: &mut Printer, machine: &Machine, study: &RotorStudy) {
    let Some(rotor) = &machine.rotor else { return };
    p.heading(text::ROTOR);
    p.para(&text::section(&study.section));
    for said in text::checks(&study.section) {
        p.bullet(&said);
    }
    let exact = |[mass, inertia]: [f64; 2]| {
        let of = |si| workshop::study::Finding { si, plus_minus_si: 0.0 };
        [text::kg(of(mass)), text::kg_cm2(of(inertia))]
    };
    let named = |name: &str, own: &[f64; 2]| [vec![name.to_owned()], exact(*own).to_vec()].concat();
    let pieces = rotor.pieces.iter().zip(&study.section.pieces).map(|(p, own)| named(&p.name, own));
    let magnets = study.section.magnets.iter().map(|own| named(text::MAGNETS, own));
    p.table(&text::PIECES_HEAD, &pieces.chain(magnets).collect::<Vec<_>>());
    p.heading(text::STRENGTH);
    if let Some(stuff) = &study.stuff {
        p.para(&text::stuff(stuff));
    }
    match &study.strength {
        Ok(strength) => {
            p.strong(&text::strength(machine, strength, study.stuff.as_ref()));
            p.table(&text::NOTCHES_HEAD, &strength.notches.iter().map(text::notch_row).collect::<Vec<_>>());
            for said in study
                .stuff
                .and_then(|stuff| text::worst_notch(strength, &stuff))
                .into_iter()
                .chain(strength.return_path.iter().map(text::return_path))
            {
                p.bullet(&said);
            }
            p.space();
            p.para(text::HOW_STRESSED);
        }
        Err(why) => {
            p.strong(text::held(*why));
            if let Some(why) = &study.not_bearing {
                p.para(&text::not_bearing(why));
            }
        }
    }
    p.heading(text::LIGHTEN);
    match &study.lighten {
        // Said above.
        Err(why) if study.strength.as_ref().err() == Some(why) && *why == Held::NotBearing => {}
        Err(why) => p.strong(text::held(*why)),
        Ok(plan) => {
            p.cautions(text::cautions());
            p.space();
            p.strong(&text::advice(rotor, plan));
            for (k, zone) in plan.zones.iter().enumerate() {
                p.bullet(&text::zone_line(rotor, k, zone));
                if let Some(left) = zone.threads_left {
                    p.bullet(&text::threads_left(left));
                }
            }
            for (k, zone) in plan.zones.iter().enumerate().filter(|(_, z)| !z.cuts.is_empty()) {
                p.space();
                p.para(&text::zone_name(rotor, k));
                p.table(&text::CUTS_HEAD, &zone.cuts.iter().map(text::cut_row).collect::<Vec<_>>());
                p.table(&text::ENGINE_HEAD, &zone.cuts.iter().map(text::engine_row).collect::<Vec<_>>());
            }
            for step in &plan.steps {
                p.bullet(&text::step(rotor, step));
            }
            p.space();
            if let Some(said) = text::turning(study) {
                p.para(&said);
            }
        }
    }
}
