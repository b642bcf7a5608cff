//! Writes every picture of an invented machine as SVG into a folder: `cargo run -p sheets --example pictures -- DIR`.

#[path = "../tests/common/mod.rs"]
mod common;

use sheets::chart::{CurveExtras, Size, Style, curve_chart, rest_chart, torque_chart};
use sheets::scene::svg::{self, Home};

fn main() -> std::io::Result<()> {
    let dir = std::env::args().nth(1).unwrap_or_else(|| ".".to_owned());
    let (machine, curve, idle, trim) = (common::machine(), common::curve(), common::idle(), common::trim());
    let after =
        [common::law().with_trailing_cut(quantity::CrankAngle::from_radians(6.3 / 52.0)).expect("the cut leaves a segment")];
    let load = common::load();
    let extras = CurveExtras {
        after: &after,
        load: Some(&load),
        idle_rad_s: Some(common::rad_s(1050.0)),
        hang_rad_s: Some(common::rad_s(2400.0)),
    };
    let charts = [
        ("curve", curve_chart(&machine, &curve, extras)),
        ("rest", rest_chart(&idle.rest, Some(&trim.cuts[3].same_idle), idle.opening_m2)),
        ("torque", torque_chart(&load)),
    ];
    for (name, chart) in &charts {
        std::fs::write(format!("{dir}/{name}.svg"), chart.svg(Size::WIDE, Home::File))?;
        std::fs::write(format!("{dir}/{name}-phone.svg"), chart.svg(Size::PHONE, Home::File))?;
        std::fs::write(format!("{dir}/{name}.csv"), chart.csv())?;
        println!("{}", chart.terminal(78, 18, Style { colour: false, unicode: true }));
    }
    println!("{}", charts[0].1.terminal(60, 12, Style::PLAIN));
    let mut pages: Vec<_> = charts.iter().flat_map(|(_, c)| [c.scene(Size::WIDE), c.scene(Size::PHONE)]).collect();
    pages.extend([150.0, 92.0].map(|width| sheets::rotor::draw(&common::rotor(6.3e-3), width)));
    let pdf = sheets::scene::pdf::document(&pages, "Pictures").map_err(|e| std::io::Error::other(format!("{e:?}")))?;
    std::fs::write(format!("{dir}/pictures.pdf"), pdf)?;
    for (name, width) in [("rotor", 150.0), ("rotor-phone", 92.0)] {
        std::fs::write(
            format!("{dir}/{name}.svg"),
            svg::render(&sheets::rotor::draw(&common::rotor(6.3e-3), width), Home::File),
        )?;
    }
    Ok(())
}
