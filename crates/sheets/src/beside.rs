//! What there is to look at beside a test of fault finding: a chart of what this machine should read, or a drawing of where to read it.

use crate::{
    chart::{Chart, CurveExtras, charge_chart, curve_chart, signal_chart},
    probes::probes,
    rotor::{self, section},
    scene::{Item, Scene},
    wiring,
};
use workshop::{
    machine::Machine,
    study::{
        fault::{Studies, Test},
        trim::drawing,
    },
};

/// A picture beside a test.
pub enum Beside {
    /// A chart.
    Chart(Box<Chart>),
    /// A drawing, as wide as was wanted. No id stands in it, so that a page may draw the same elsewhere.
    Drawing(Scene),
}

/// Sides on a drawing of the trigger and of the rotor's section [mm]: readable, and two tests to a sheet.
const ROTOR_MM: f64 = 92.0;
const SECTION_MM: f64 = 100.0;

/// The picture beside a test; `None` where the file has nothing to draw. `width` is that of a wiring drawing [mm].
///
/// ```
/// use sheets::beside::{Beside, beside};
/// use workshop::{machine, study::fault::{Studies, base}};
/// let (machine, _) = machine::read(machine::EXAMPLES[0].1).unwrap();
/// let test = &base().tests[base().test("drop-feed").unwrap()];
/// assert!(matches!(beside(test, &machine, Studies::default(), 170.0), Some(Beside::Drawing(_))));
/// ```
pub fn beside(test: &Test, machine: &Machine, studies: Studies, width: f64) -> Option<Beside> {
    let trigger = || Some(Beside::Drawing(still(rotor::draw(&drawing(machine).ok()?, ROTOR_MM))));
    let metal = || Some(Beside::Drawing(still(section::draw(machine.rotor.as_ref()?, &[], SECTION_MM))));
    let wires = || Some(Beside::Drawing(still(wiring::draw(machine, width).into_iter().next()?)));
    let probed = || Some(Beside::Drawing(still(wiring::draw_probed(machine, width, &probes(machine, &test.id))?)));
    let chart = |chart: Chart| Some(Beside::Chart(Box::new(chart)));
    match (test.id.as_str(), test.setup.as_str()) {
        ("pickup-gap" | "true-tdc" | "static-timing", _) => trigger(),
        ("source-peak" | "module-peak" | "source-ohms" | "coil-ohms" | "insulation" | "lamp-ac", _) => probed(),
        ("reg-bridge", _) => probed().or_else(wires),
        (_, "strobe") => {
            let idle = machine.idle.as_ref();
            let extras = CurveExtras {
                idle_rad_s: idle.map(|i| i.speed.si),
                hang_rad_s: idle.and_then(|i| i.hangs_at.as_ref()).map(|h| h.si),
                ..CurveExtras::default()
            };
            chart(curve_chart(machine, studies.curve?, extras))
        }
        (_, "peak") => chart(signal_chart(machine, studies.spark?)?),
        (_, "charge") => chart(charge_chart(studies.charge?)),
        ("rotor-runout", _) | (_, "rotor-off") => metal().or_else(trigger),
        (_, "volt-drop" | "bridge" | "kill" | "walkround" | "alternator" | "rectifier" | "ammeter" | "battery") => {
            probed().or_else(wires)
        }
        _ => None,
    }
}

fn still(mut scene: Scene) -> Scene {
    fn strip(items: &mut [Item]) {
        for item in items {
            if let Item::Group(group) = item {
                // Nothing is dragged here either.
                group.attributes.clear();
                strip(&mut group.items);
            }
        }
    }
    strip(&mut scene.items);
    scene
}
