//! Writes every paper of an invented job, and its label, into a folder: `cargo run -p sheets --example job -- DIR`.

#[path = "../tests/common/mod.rs"]
mod common;
#[allow(dead_code, reason = "the tests use the others")]
#[path = "../tests/common/job.rs"]
mod jobs;

use sheets::chart::{CurveExtras, curve_chart};
use sheets::job::{JobPaper, Label, LabelSize, Paper, Picture, label_pdf, pdf};

fn main() -> std::io::Result<()> {
    let dir = std::env::args().nth(1).unwrap_or_else(|| ".".to_owned());
    let mut job = jobs::corran();
    job.before = vec![Picture::Chart(Box::new(curve_chart(&common::machine(), &common::curve(), CurveExtras::default())))];
    job.after = vec![Picture::Drawing(sheets::rotor::draw(&common::rotor(6.3e-3), 150.0))];
    let blank = JobPaper { machine: "Tarn 500".to_owned(), number: "2030-0015".to_owned(), ..JobPaper::default() };
    let failed = |e: &dyn std::fmt::Debug| std::io::Error::other(format!("{e:?}"));
    for paper in Paper::ALL {
        for (name, job) in [("", &job), ("-blank", &blank)] {
            std::fs::write(format!("{dir}/{}{name}.pdf", paper.key()), pdf(paper, job).map_err(|e| failed(&e))?)?;
        }
    }
    let says = Label {
        number: job.number.clone(),
        machine: job.machine.clone(),
        date: job.opened.clone(),
        address: format!("http://192.168.1.20:7878/jobs/{}", job.number),
    };
    for (name, width_mm, height_mm) in [("label", 62.0, 29.0), ("label-upright", 40.0, 60.0), ("label-small", 30.0, 20.0)] {
        let bytes = label_pdf(&says, LabelSize { width_mm, height_mm }).map_err(|e| failed(&e))?;
        std::fs::write(format!("{dir}/{name}.pdf"), bytes)?;
    }
    Ok(())
}
