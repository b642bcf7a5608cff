//! The label of a job: the code can be read, and what does not fit is refused or shown to be cut.

#[path = "common/reader.rs"]
mod reader;

use reader::read_back;
use sheets::job::{Label, LabelError, LabelSize, label, label_pdf};
use sheets::scene::{Fill, Ink, Item, Scene, Segment};

fn says(address: &str) -> Label {
    Label {
        number: "2030-0014".to_owned(),
        machine: "Corran 360 of the long name, with a second line and a third one".to_owned(),
        date: "2030-03-02".to_owned(),
        address: address.to_owned(),
    }
}

/// Dots of the scene's dark rectangles, as a printer of 300 dots per inch makes them.
fn dots(scene: &Scene) -> (usize, usize, Vec<bool>) {
    const PER_MM: f64 = 300.0 / 25.4;
    let (w, h) = ((scene.width * PER_MM) as usize, (scene.height * PER_MM) as usize);
    let mut dark = vec![false; w * h];
    let Some(Item::Group(code)) = scene.items.iter().find(|i| matches!(i, Item::Group(_))) else { panic!("no code") };
    for item in &code.items {
        let Item::Path { path, fill: Some(Fill { ink: Ink::CodeDark, .. }), .. } = item else { continue };
        let mut corners = Vec::new();
        for segment in &path.segments {
            match segment {
                Segment::Move(p) | Segment::Line(p) => corners.push(*p),
                Segment::Close => {
                    let dot = |v: f64, shift: f64| ((v + shift) * PER_MM).round().max(0.0) as usize;
                    let (x, y) = (code.shift.x, code.shift.y);
                    for row in dot(corners[0].y, y)..dot(corners[2].y, y).min(h) {
                        for column in dot(corners[0].x, x)..dot(corners[2].x, x).min(w) {
                            dark[row * w + column] = true;
                        }
                    }
                    corners.clear();
                }
                Segment::Cubic(..) => panic!("a code has no curves"),
            }
        }
    }
    (w, h, dark)
}

/// Read with `rqrr`, a decoder that shares nothing with the encoder, as printed.
#[test]
fn the_code_on_the_label_opens_the_job() {
    let address = "http://192.168.178.201:7878/jobs/2030-0014";
    for (width_mm, height_mm) in [(62.0, 29.0), (29.0, 62.0), (40.0, 30.0), (100.0, 100.0), (210.0, 20.0)] {
        let scene = label(&says(address), LabelSize { width_mm, height_mm }).unwrap();
        let (w, h, dark) = dots(&scene);
        let mut image = rqrr::PreparedImage::prepare_from_bitmap(w, h, |x, y| dark[y * w + x]);
        let grids = image.detect_grids();
        assert_eq!(grids.len(), 1, "{width_mm} × {height_mm}");
        assert_eq!(grids[0].decode().unwrap().1, address);
        let Some(Item::Group(code)) = scene.items.first() else { panic!("no code") };
        for text in scene.texts() {
            let b = text.bounds();
            assert!(
                b.x >= 0.0 && b.y >= 0.0 && b.right() <= width_mm && b.bottom() <= height_mm,
                "{width_mm} × {height_mm}: {text:?}"
            );
            let side = if height_mm > width_mm { width_mm.min(0.6 * height_mm) } else { height_mm.min(0.6 * width_mm) };
            assert!(b.x >= code.shift.x + side || b.y >= code.shift.y + side, "on the code: {text:?}");
        }
    }
}

#[test]
fn a_label_says_what_it_must_and_refuses_what_it_cannot() {
    let text = read_back(&label_pdf(&says("http://127.0.0.1:7878/"), LabelSize::default()).unwrap());
    for said in ["2030-0014", "Corran360", "2030-03-02"] {
        assert!(text.contains(said), "{said} in {text}");
    }
    for side in [f64::NAN, f64::INFINITY, -62.0, 0.0, 19.9, 210.1] {
        let size = LabelSize { width_mm: 62.0, height_mm: side };
        assert!(matches!(label(&says("x"), size), Err(LabelError::Size { .. })), "{side}");
    }
    for bytes in [400, 5000] {
        let refused = label(&says(&"x".repeat(bytes)), LabelSize { width_mm: 30.0, height_mm: 20.0 });
        assert_eq!(refused, Err(LabelError::AddressTooLong { bytes }));
    }
    let odd = Label { number: "漢\u{0}\n".to_owned(), machine: "W".repeat(4000), ..says("x") };
    let scene = label(&odd, LabelSize::default()).unwrap();
    assert!(scene.texts().iter().any(|t| t.content.contains("□□")));
    assert!(scene.texts().iter().all(|t| t.bounds().right() <= scene.width));
}
