//! What holds a rotor, for a terminal.

use super::{Printer, Style};
use crate::words::{
    Caution,
    rotor::{balance as sides, cautions, cautions_for_drilling, holds as text, steps},
};
use workshop::study::rotor::held::HeldStudy;

/// Bonds, flux, seat, pull, balance and sides. At most `width` columns wide.
pub fn held(study: &HeldStudy, width: usize, style: Style) -> String {
    let mut p = Printer::new(width, style);
    balance(&mut p, study);
    p.heading(text::BONDS);
    for ring in &study.rings {
        match &ring.bond {
            Ok(found) => {
                p.strong(text::look(found));
                bullets(&mut p, &text::bond(found));
            }
            Err(why) => p.para(&text::not_found(*why)),
        }
        p.bullet(text::lost_by(ring.lost_by));
        if let Some(Ok(list)) = &ring.glue {
            p.heading(text::GLUING);
            in_order(&mut p, list.iter().map(|s| steps::glue(*s)));
        }
    }
    p.heading(text::FLUX);
    for said in text::flux(study) {
        p.para(&said);
    }
    p.heading(text::TAPER);
    match &study.taper {
        Ok(found) => bullets(&mut p, &text::taper(found)),
        Err(why) => p.para(&text::not_found(*why)),
    }
    p.heading(text::PULLING);
    bullets(&mut p, &crate::words::rotor::fitting::fitting(study));
    match &study.pull {
        Ok(found) => {
            bullets(&mut p, &text::pull(found));
            p.space();
            in_order(&mut p, found.steps.iter().map(|s| steps::pull(*s)));
        }
        Err(why) => p.para(&text::not_found(*why)),
    }
    if let Some(views) = study.sides {
        p.heading(sides::SIDES);
        for v in views {
            p.bullet(&sides::side(v));
        }
    }
    p.finish()
}

fn balance(p: &mut Printer, study: &HeldStudy) {
    p.heading(sides::BALANCE);
    match &study.balance {
        Ok(found) => {
            if found.correction.is_ok() {
                p.cautions(cautions());
                p.cautions(cautions_for_drilling());
                p.space();
            }
            let said = sides::balance(found);
            if let Some((first, rest)) = said.split_first() {
                p.strong(first);
                bullets(p, rest);
            }
        }
        Err(why) => p.para(&text::not_found(*why)),
    }
}

fn bullets(p: &mut Printer, said: &[String]) {
    for line in said {
        p.bullet(line);
    }
}

/// Steps with numbers; a caution stands before its step.
fn in_order(p: &mut Printer, list: impl Iterator<Item = (Option<Caution>, String)>) {
    for (i, (caution, step)) in list.enumerate() {
        if let Some(caution) = caution {
            p.cautions(&[caution]);
        }
        p.bullet(&format!("{}. {step}", i + 1));
    }
}
