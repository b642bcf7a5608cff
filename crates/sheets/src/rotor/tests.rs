//! Geometry of the drawing for every turning direction, side and drive. Invented rotor.

use super::*;
use std::f64::consts::PI;

/// Angles agree to this [rad]: rounding of a handful of additions.
const ROUNDING: f64 = 1e-12;

fn picture(turns: Turns, seen_from: SeenFrom, ratio: f64) -> RotorPicture {
    RotorPicture {
        turns,
        seen_from,
        rim_diameter_m: 0.104,
        segment_arc_m: 0.030,
        cut_m: 0.006,
        pickups_rad: vec![0.0, PI * ratio],
        lead_rotor_rad: 36f64.to_radians() * ratio,
        turns_per_crank_turn: ratio,
    }
}

fn every_way() -> impl Iterator<Item = RotorPicture> {
    [Turns::Clockwise, Turns::Anticlockwise].into_iter().flat_map(|turns| {
        [SeenFrom::CoverSide, SeenFrom::EngineSide]
            .into_iter()
            .flat_map(move |from| [1.0, 0.5].into_iter().map(move |ratio| picture(turns, from, ratio)))
    })
}

/// Trade rule (common practice, no source): the leading edge reaches the pickup first. The rotor is turned back by a
/// whole lead and more, then forward in its turning direction; the first edge to pass the pickup must be the leading one.
#[test]
fn the_leading_end_reaches_the_pickup_first() {
    for p in every_way() {
        let places = Places::of(&p);
        let back = 1.5;
        let passes = |edge: f64| {
            // Seen position after turning forward by t: edge + sense·t. It passes straight up when that is 0.
            let start = edge - places.sense * back;
            -start / places.sense
        };
        let (first, edge, second) = (passes(places.leading), passes(places.cut_edge), passes(places.trailing));
        assert!(first > 0.0 && first < edge && edge < second, "{p:?}");
        // It passes when the rotor still lacks the lead to top dead centre (which is at `back`).
        assert!((back - first - p.lead_rotor_rad).abs() < ROUNDING);
    }
}

#[test]
fn clockwise_the_leading_end_is_to_the_right_of_a_pickup_at_the_top() {
    for p in every_way() {
        let x = at(0.0, 0.0).polar(1.0, Places::of(&p).leading).x;
        assert_eq!(x > 0.0, p.turns == Turns::Clockwise);
    }
}

/// Turned over, everything is mirrored left to right; nothing moves up or down.
#[test]
fn the_other_side_is_the_mirror_image() {
    for p in every_way() {
        let (here, there) = (Places::of(&p), Places::of(&other_side(&p)));
        let c = at(0.0, 0.0);
        for (a, b) in [(here.leading, there.leading), (here.trailing, there.trailing), (here.cut_edge, there.cut_edge)] {
            let (a, b) = (c.polar(1.0, a), c.polar(1.0, b));
            assert!((a.x + b.x).abs() < ROUNDING && (a.y - b.y).abs() < ROUNDING);
        }
        assert_eq!(other_side(&other_side(&p)), p);
    }
}

/// Arc = radius × angle; 6 mm of a 104 mm rim are 6.611° of the rotor (6·360/(π·104)).
#[test]
fn the_cut_is_as_long_on_the_drawing_as_on_the_rim() {
    for p in every_way() {
        let places = Places::of(&p);
        let cut = (places.cut_edge - places.trailing).abs();
        assert!((cut.to_degrees() - 6.0 * 360.0 / (PI * 104.0)).abs() < 1e-9);
        assert!((places.leading - places.trailing).abs() > cut);
    }
}

/// The formula that the page uses for dragging gives the cut back.
#[test]
fn the_handle_carries_what_dragging_needs() {
    for p in every_way() {
        let scene = draw(&p, 150.0);
        let handle = scene.find("rotor-cut-handle").expect("a handle");
        let get = |name: &str| handle.attributes.iter().find(|(n, _)| n == name).unwrap().1.parse::<f64>().unwrap();
        let phi = Places::of(&p).cut_edge.to_degrees();
        let cut = get("data-sense") * (phi - get("data-trailing-deg")) * PI / 360.0 * get("data-rim-diameter-mm");
        // Attributes are rounded to a thousandth of a degree, 1 µm on this rim.
        assert!((cut - 6.0).abs() < 0.002, "{cut}");
    }
}

#[test]
fn no_label_covers_another_and_all_stay_on_the_sheet() {
    for p in every_way() {
        for width in [88.0, 150.0] {
            for cut in [0.0, 0.006] {
                let scene = draw(&RotorPicture { cut_m: cut, ..p.clone() }, width);
                assert_eq!(collisions(&scene), vec![], "{p:?} {width}");
                for t in scene.texts() {
                    let b = t.bounds();
                    assert!(b.x >= 0.0 && b.right() <= width && b.y >= 0.0 && b.bottom() <= scene.height + 2.0, "{t:?} {width}");
                }
            }
        }
    }
}
