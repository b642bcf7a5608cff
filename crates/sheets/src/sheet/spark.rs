//! The spark's sheet, to measure by: cautions, what is read with the engine still and at the kick, and what was found.

use super::{SheetOptions, text};
use crate::chart::{Chart, Size, margin_chart, signal_chart};
use crate::flow::{self, Cell, Column, Flow, Sign};
use crate::scene::{Scene, pdf};
use crate::words::spark::{self as found, paper};
use workshop::machine::Machine;
use workshop::study::spark::SparkStudy;

/// The sheet of the spark as a PDF. The same machine, study and options give the same bytes.
///
/// # Errors
/// As [`pdf::document`]; the pages themselves always have a size.
///
/// # Example
/// ```
/// use sheets::sheet::{SheetOptions, spark};
/// use workshop::{machine, study};
/// let (machine, _) = machine::read(machine::EXAMPLES[2].1).unwrap();
/// let found = study::spark::study(&machine, Err(study::NotStudied::NoCurve)).unwrap();
/// let pdf = spark(&machine, &found, &SheetOptions::default()).unwrap();
/// assert!(pdf.starts_with(b"%PDF"));
/// ```
pub fn spark(machine: &Machine, study: &SparkStudy, options: &SheetOptions) -> Result<Vec<u8>, pdf::PdfError> {
    pdf::document(&spark_pages(machine, study, options), &format!("{} — {}", machine.name, paper::TITLE))
}

/// The pages of the spark's sheet as drawings.
pub fn spark_pages(machine: &Machine, study: &SparkStudy, options: &SheetOptions) -> Vec<Scene> {
    let mut flow = Flow::new(paper::TITLE);
    super::head(&mut flow, machine, paper::TITLE, options);
    flow.strong(&found::verdict_line(study));
    flow.body(&found::what(study));
    let items = found::worse(study).into_iter().chain(study.battery.as_ref().map(found::battery));
    let items = items.chain(study.output.as_ref().map(found::output)).chain(study.margin.points.first().map(found::gas));
    items.for_each(|said| flow.item(Sign::Bullet, &said));
    steps(&mut flow, machine, study);
    flow.heading(found::MARGIN);
    flow.rows(&found::SPEEDS_HEAD, study.margin.points.iter().map(|at| found::speed_row(study, at)), &[1.0; 6]);
    flow.rows(&found::CASES_HEAD, study.margin.cases.iter().map(|c| found::case_row(study, c)), &[1.2, 1.0, 1.0, 1.0]);
    picture(&mut flow, &margin_chart(study));
    flow.soft(found::HOW_COMPUTED);
    flow.heading(found::ENERGY);
    if let Some(said) = found::energy_line(study) {
        flow.body(&said);
    }
    flow.rows(&found::ENERGY_HEAD, study.energy.iter().map(found::energy_row), &[1.0; 6]);
    flow.soft(found::HOW_BURNT);
    flow.heading(found::COILS);
    for said in study.coils.iter().flat_map(|j| found::coils::judged(study, j)) {
        flow.item(Sign::Bullet, &said);
    }
    let coils = study.coils.iter().map(|j| found::coils::row(study, j));
    flow.rows(&found::coils::COILS_HEAD, coils, &[1.5, 1.0, 0.7, 0.8, 1.4, 0.9]);
    flow.heading(found::SIGNAL);
    match &study.signal {
        Ok(signals) => {
            for said in signals.iter().flat_map(|s| found::signal(machine, s)) {
                flow.item(Sign::Bullet, &said);
            }
            if let Some(chart) = signal_chart(machine, study) {
                picture(&mut flow, &chart);
            }
            flow.soft(found::HOW_SIGNALLED);
        }
        Err(why) => flow.body(&found::held(*why)),
    }
    super::signed(flow, machine, Vec::new())
}

/// What is measured; the cautions stand before the first step and once more before the kick.
fn steps(flow: &mut Flow, machine: &Machine, study: &SparkStudy) {
    let [still, kicked] = paper::steps(machine, study);
    for (heading, list) in [(paper::STILL, still), (paper::KICKED, kicked)] {
        flow.heading(heading);
        for c in found::cautions() {
            flow.caution(text::CAUTION, c.danger, c.protects);
        }
        let columns: Vec<Column> = paper::STEPS_HEAD.iter().zip([1.7, 1.3, 1.0]).map(|(h, s)| Column::new(h, s)).collect();
        let row = |s: paper::Step| vec![Cell::body(s.what), Cell::body(s.should), Cell::Blank(paper::READ)];
        flow.grid(&columns, list.into_iter().map(row).collect());
    }
}

fn picture(flow: &mut Flow, chart: &Chart) {
    flow.picture(chart.scene(Size { width: flow::WIDTH, height: 84.0 }));
}
