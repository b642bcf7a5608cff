//! What the mechanic saw, said back, and what it points to.

use crate::words::rpm;
use workshop::machine::Machine;

/// What the file says about the idle, and what that points to (common practice, no source).
pub fn complaint(machine: &Machine) -> Vec<String> {
    let Some(idle) = &machine.idle else {
        return vec!["No idle speed is noted. Read it warm, with the choke off, and note its ±.".to_owned()];
    };
    let mut said = vec![format!("It idles at {}.", rpm(idle.speed.si))];
    let Some(hang) = &idle.hangs_at else {
        said.push(
            "No hang is noted. If the revs stay up when the throttle is shut, note the speed at which they stay.".to_owned(),
        );
        return said;
    };
    said.push(format!("With the throttle shut the revs stay up near {}.", rpm(hang.si)));
    said.push(
        match idle.clutch_pulls_down {
            Some(true) => "Dragged down with the clutch, it idles until the next blip. So the throttle shuts, and the engine has two speeds at which it can rest.",
            Some(false) => "The clutch drags it down, but it climbs again by itself. So throttle or weights do not come all the way back: look first for a cable or slide that binds and weights that stick, then for air drawn in.",
            None => "Drag it down with the clutch and let go: if it stays down, the engine has two speeds at which it can rest; if it climbs again, the throttle does not shut, the weights stick, or it draws air.",
        }
        .to_owned(),
    );
    said
}
