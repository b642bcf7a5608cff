//! Charts and drawings: well-formed, legible, complete.

mod common;

use sheets::chart::{Chart, CurveExtras, Size, Style, curve_chart, rest_chart, torque_chart};
use sheets::scene::svg::{self, Home};
use sheets::scene::{Scene, Text};
use std::collections::HashSet;

fn charts() -> Vec<Chart> {
    let (machine, curve, idle, trim) = (common::machine(), common::curve(), common::idle(), common::trim());
    let after = [common::law().with_trailing_cut(quantity::CrankAngle::from_degrees(7.0)).unwrap()];
    let load = common::load();
    let extras = CurveExtras {
        after: &after,
        load: Some(&load),
        idle_rad_s: Some(common::rad_s(1050.0)),
        hang_rad_s: Some(common::rad_s(1100.0)),
    };
    vec![
        curve_chart(&machine, &curve, extras),
        rest_chart(&idle.rest, Some(&trim.cuts[3].same_idle), idle.opening_m2),
        rest_chart(&idle.rest, None, None),
        torque_chart(&load),
    ]
}

fn scenes() -> Vec<Scene> {
    let mut all: Vec<Scene> = charts().iter().flat_map(|c| [c.scene(Size::WIDE), c.scene(Size::PHONE)]).collect();
    all.push(sheets::rotor::draw(&common::rotor(0.006), 150.0));
    all.extend(sheets::template::pages(&common::rotor(0.006), 1e-4));
    all
}

/// Read back by an XML parser: well-formed, with title and description, ids used once (SVG 1.1, 5.10 and 5.4).
#[test]
fn svg_is_well_formed_and_described() {
    for scene in scenes() {
        for home in [Home::Page, Home::File] {
            let text = svg::render(&scene, home);
            let tree = roxmltree::Document::parse(&text).expect("well-formed");
            let root = tree.root_element();
            assert_eq!(root.attribute("role"), Some("img"));
            for tag in ["title", "desc"] {
                let node = root.children().find(|n| n.has_tag_name(("http://www.w3.org/2000/svg", tag)));
                assert!(node.and_then(|n| n.text()).is_some_and(|t| !t.is_empty()), "{tag} of {}", scene.title);
            }
            let mut ids = HashSet::new();
            assert!(root.descendants().filter_map(|n| n.attribute("id")).all(|id| ids.insert(id.to_owned())));
            assert_eq!(text.contains("var(--ink-"), home == Home::Page);
            assert!(!text.contains("NaN") && !text.contains("inf"));
        }
    }
}

#[test]
fn labels_of_charts_do_not_cover_each_other() {
    for chart in charts() {
        for size in [Size::WIDE, Size::PHONE, Size { width: 120.0, height: 70.0 }] {
            let scene = chart.scene(size);
            let texts: Vec<Text> = scene.texts();
            for (i, a) in texts.iter().enumerate() {
                assert!(
                    a.bounds().x >= 0.0 && a.bounds().right() <= scene.width + 0.01 && a.bounds().bottom() <= scene.height,
                    "{a:?}"
                );
                for b in &texts[i + 1..] {
                    assert!(!a.bounds().overlaps(&b.bounds()), "{:?} covers {:?} at {size:?}", a.content, b.content);
                }
            }
        }
    }
}

/// What the page reads from the drawing gives the data back: a point of the curve, its place on the plot, and the axes.
#[test]
fn the_drawing_carries_its_data() {
    let chart = &charts()[0];
    let scene = chart.scene(Size::WIDE);
    let plot = scene.find("curve-plot").unwrap();
    let get = |name: &str| plot.attributes.iter().find(|(n, _)| n == name).unwrap().1.parse::<f64>().unwrap();
    let series = scene.find("curve-curve-0").unwrap();
    let points = &series.attributes.iter().find(|(n, _)| n == "data-points").unwrap().1;
    let (x, y) = points.split(' ').next().unwrap().split_once(',').unwrap();
    let (x, y): (f64, f64) = (x.parse().unwrap(), y.parse().unwrap());
    assert!((x - 450.0).abs() < 1e-3 && (y - 4.0).abs() < 1e-3, "{x} {y}");
    let sheets::scene::Item::Path { path, .. } =
        series.items.iter().rfind(|i| matches!(i, sheets::scene::Item::Path { fill: None, .. })).unwrap()
    else {
        panic!()
    };
    let sheets::scene::Segment::Move(at) = path.segments[0] else { panic!() };
    let expected = get("data-left")
        + (x - get("data-x-from")) / (get("data-x-to") - get("data-x-from")) * (get("data-right") - get("data-left"));
    assert!((at.x - expected).abs() < 0.01, "{} {expected}", at.x);
}

#[test]
fn csv_has_a_row_for_every_reading() {
    let csv = charts()[0].csv();
    let rows: Vec<&str> = csv.split("\r\n").collect();
    assert!(rows[0].starts_with("series,Crank speed (rpm),Advance (° before TDC)"));
    // RFC 4180, 2.4: every line has the same number of fields; none here holds a comma.
    assert!(rows.iter().filter(|r| !r.is_empty()).all(|r| r.matches(',').count() == 5));
    assert_eq!(rows.iter().filter(|r| r.starts_with("strobe readings")).count(), 7);
    assert_eq!(rows.iter().filter(|r| r.ends_with(",yes")).count(), 1);
}

#[test]
fn terminal_charts_fit_and_fall_back_to_ascii() {
    for chart in charts() {
        for columns in [40, 60, 80, 132] {
            for unicode in [true, false] {
                let text = chart.terminal(columns, 14, Style { colour: false, unicode });
                assert!(text.lines().all(|l| l.chars().count() <= columns), "{columns}\n{text}");
                assert!(unicode || text.is_ascii());
            }
        }
    }
}
