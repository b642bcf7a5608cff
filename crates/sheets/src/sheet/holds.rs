//! What holds a rotor, on paper: both sides of it, balance with the plan of holes, magnets, seat and pull, each caution before its step.

use super::text;
use crate::flow::{self, Flow, Sign};
use crate::font::Weight;
use crate::rotor as drawing;
use crate::scene::{Ink, Scene};
use crate::words::{
    Caution,
    rotor::{self as found, balance as sides, holds as words, steps},
};
use workshop::study::{
    rotor::held::{HeldStudy, Ring},
    trim::RotorPicture,
};

/// Width of the drawing of the unbalance [mm].
const DIAGRAM: f64 = 110.0;

/// Both sides drawn, and every way in which it may lie before the eye.
pub fn both_sides(flow: &mut Flow, study: &HeldStudy, picture: Option<&RotorPicture>) {
    let Some(views) = study.sides else { return };
    let scene = picture.map(|p| drawing::two_sides(p, flow::WIDTH));
    flow.keep(scene.as_ref().map_or(0.0, |s| s.height) + 20.0);
    flow.heading(sides::SIDES);
    if let Some(scene) = scene {
        flow.picture(scene);
    }
    for view in views {
        flow.item(Sign::Bullet, &sides::side(view));
    }
}

/// The balance; the plan of holes comes back as a page of its own. `warned` where the cautions for work on a rotor stand further up already.
pub fn balance(flow: &mut Flow, study: &HeldStudy, picture: Option<&RotorPicture>, warned: bool) -> Option<Scene> {
    let balance = match &study.balance {
        Ok(balance) => balance,
        Err(why) => {
            flow.heading(sides::BALANCE);
            flow.body(&words::not_found(*why));
            return None;
        }
    };
    flow.heading(sides::BALANCE);
    if balance.correction.is_ok() {
        let before = if warned { &[] } else { found::cautions() };
        for c in before.iter().chain(found::cautions_for_drilling()) {
            flow.caution(text::CAUTION, c.danger, c.protects);
        }
    }
    if let Some((first, rest)) = sides::balance(balance).split_first() {
        flow.text(first, flow::BODY, Weight::Bold, Ink::Ink, 0.0);
        flow.gap(1.4);
        bullets(flow, rest);
    }
    let picture = picture?;
    flow.gap(1.0);
    flow.picture(drawing::diagram(balance, picture, DIAGRAM));
    drawing::drill_plan(balance, &drawing::facing(balance, picture))
}

/// Magnets, seat and pull.
pub fn rest(flow: &mut Flow, study: &HeldStudy) {
    for ring in &study.rings {
        magnets(flow, ring);
    }
    if !study.rings.is_empty() {
        flow.heading(words::FLUX);
        for said in words::flux(study) {
            flow.body(&said);
        }
    }
    flow.heading(words::TAPER);
    match &study.taper {
        Ok(seat) => bullets(flow, &words::taper(seat)),
        Err(why) => flow.body(&words::not_found(*why)),
    }
    flow.heading(words::PULLING);
    bullets(flow, &crate::words::rotor::fitting::fitting(study));
    match &study.pull {
        Ok(pull) => {
            bullets(flow, &words::pull(pull));
            in_order(flow, pull.steps.iter().map(|s| steps::pull(*s)));
        }
        Err(why) => flow.body(&words::not_found(*why)),
    }
}

fn magnets(flow: &mut Flow, ring: &Ring) {
    flow.heading(words::BONDS);
    match &ring.bond {
        Ok(bond) => {
            flow.text(words::look(bond), flow::BODY, Weight::Bold, Ink::Ink, 0.0);
            flow.gap(1.4);
            bullets(flow, &words::bond(bond));
        }
        Err(why) => flow.body(&words::not_found(*why)),
    }
    flow.item(Sign::Bullet, words::lost_by(ring.lost_by));
    if let Some(Ok(list)) = &ring.glue {
        flow.heading(words::GLUING);
        in_order(flow, list.iter().map(|s| steps::glue(*s)));
    }
}

fn bullets(flow: &mut Flow, said: &[String]) {
    for line in said {
        flow.item(Sign::Bullet, line);
    }
}

/// Steps with numbers; a caution stands before its step.
fn in_order(flow: &mut Flow, list: impl Iterator<Item = (Option<Caution>, String)>) {
    for (n, (caution, step)) in list.enumerate() {
        if let Some(c) = caution {
            flow.caution(text::CAUTION, c.danger, c.protects);
        }
        flow.item(Sign::Step(n + 1), &step);
    }
}
