//! The printed sheet, read back with a PDF library of its own: scale, fonts, sameness.

mod common;
#[path = "common/ruler.rs"]
mod ruler;

use lopdf::Document;
use ruler::{MM, lines, number};
use sheets::scene::{Canvas, Scene, Text, at, pdf};
use sheets::sheet::{SheetOptions, sheet};

/// How far a bar of 100 mm may be off [mm]: a tenth of the width of its line.
const BAR_TOLERANCE_MM: f64 = 0.01;

fn options() -> SheetOptions {
    SheetOptions { date: Some("2030-01-02".to_owned()), ..SheetOptions::default() }
}

/// Lengths [mm] across and down of all straight lines that a page draws.
fn line_lengths(document: &Document, page: lopdf::ObjectId) -> Vec<(f64, f64)> {
    lines(document, page).iter().map(|[a, b]| ((b.0 - a.0).abs(), (b.1 - a.1).abs())).collect()
}

#[test]
fn both_bars_on_the_template_are_100_mm() {
    let bytes = sheet(&common::machine(), &common::study(), &options()).unwrap();
    let document = Document::load_mem(&bytes).unwrap();
    let last = *document.get_pages().values().last().unwrap();
    let lines = line_lengths(&document, last);
    let is_bar = |long: f64, thin: f64| (long - 100.0).abs() < BAR_TOLERANCE_MM && thin < BAR_TOLERANCE_MM;
    assert!(lines.iter().any(|&(x, y)| is_bar(x, y)), "no bar across");
    assert!(lines.iter().any(|&(x, y)| is_bar(y, x)), "no bar down");
    // And the page is A4 on its side (ISO 216: 297 × 210 mm), without a scaling of its own.
    let page = document.get_dictionary(last).unwrap();
    let media: Vec<f64> = page.get(b"MediaBox").unwrap().as_array().unwrap().iter().map(number).collect();
    assert!((media[2] / MM - 297.0).abs() < BAR_TOLERANCE_MM && (media[3] / MM - 210.0).abs() < BAR_TOLERANCE_MM);
    assert!(page.get(b"UserUnit").is_err());
}

#[test]
fn the_check_of_the_bars_can_fail() {
    let mut scene = Scene::new(210.0, 297.0, "", "");
    scene.line(at(10.0, 10.0), at(110.1, 10.0), sheets::scene::Stroke::line(sheets::scene::Ink::Ink, 0.3));
    let document = Document::load_mem(&pdf::document(&[scene], "").unwrap()).unwrap();
    let lines = line_lengths(&document, *document.get_pages().values().next().unwrap());
    assert_eq!(lines.len(), 1);
    assert!((lines[0].0 - 100.1).abs() < BAR_TOLERANCE_MM);
}

#[test]
fn the_same_study_gives_the_same_bytes() {
    let make = || sheet(&common::machine(), &common::study(), &options()).unwrap();
    assert!(make() == make());
    let undated = sheet(&common::machine(), &common::study(), &SheetOptions::default()).unwrap();
    assert!(undated != make());
}

/// Every font is embedded (ISO 32000-1:2008, 9.9: a font descriptor with a font file).
#[test]
fn fonts_are_embedded() {
    let document = Document::load_mem(&sheet(&common::machine(), &common::study(), &options()).unwrap()).unwrap();
    let descriptors = document.objects.values().filter_map(|o| o.as_dict().ok()).filter(|d| d.has_type(b"FontDescriptor"));
    let embedded: Vec<bool> = descriptors.map(|d| d.has(b"FontFile2") || d.has(b"FontFile3")).collect();
    assert!(embedded.len() >= 2 && embedded.iter().all(|&e| e), "{embedded:?}");
}

#[test]
fn every_character_on_the_sheet_has_a_glyph() {
    for page in sheets::sheet::pages(&common::machine(), &common::study(), &options()) {
        for text in page.texts() {
            let missing: Vec<char> = text.content.chars().filter(|&c| !sheets::font::covers(c)).collect();
            assert!(missing.is_empty(), "{missing:?} in {:?}", text.content);
        }
    }
}

#[test]
fn nothing_on_the_sheet_collides_or_leaves_the_page() {
    for page in sheets::sheet::pages(&common::machine(), &common::study(), &options()) {
        let texts: Vec<Text> = page.texts().into_iter().filter(|t| t.turn_deg == 0.0).collect();
        for (i, a) in texts.iter().enumerate() {
            let box_a = a.bounds();
            assert!(box_a.x >= 0.0 && box_a.right() <= page.width && box_a.bottom() <= page.height, "{a:?}");
            for b in &texts[i + 1..] {
                assert!(!box_a.overlaps(&b.bounds()), "{:?} covers {:?}", a.content, b.content);
            }
        }
    }
}

#[test]
fn no_page_no_pdf() {
    assert_eq!(pdf::document(&[], ""), Err(pdf::PdfError::NoPage));
    assert_eq!(pdf::document(&[Scene::new(0.0, 10.0, "", "")], ""), Err(pdf::PdfError::NoPage));
}

/// Without a cut there is no template and no cutting list; the sheet says why.
#[test]
fn a_machine_that_is_not_studied_still_gets_its_sheet() {
    use workshop::study::{NotStudied, trim::Advice};
    let all = |study: &workshop::study::Study| -> String {
        let pages = sheets::sheet::pages(&common::machine(), study, &options());
        assert!(pages.iter().all(|p| p.width < p.height), "a template without a cut");
        pages.iter().flat_map(|p| p.texts()).map(|t| t.content + " ").collect()
    };
    let mut study = common::study();
    (study.idle, study.trim) = (Err(NotStudied::TwoStroke), Err(NotStudied::TwoStroke));
    let text = all(&study);
    assert!(text.contains("four-strokes only") && !text.contains("stop line"));
    let mut study = common::study();
    study.trim.as_mut().unwrap().advice = Advice::NoneNeeded;
    let text = all(&study);
    assert!(text.contains("Cut nothing.") && !text.contains("stop line"));
}
