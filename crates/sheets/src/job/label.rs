//! The label that sticks to the machine: job, machine, date, and a code that opens the job.

use crate::font::{self, Weight};
use crate::qr;
use crate::scene::{Canvas, Ink, Scene, Text, at, pdf};
use crate::words::job as words;
use std::ops::RangeInclusive;

/// Least and greatest side of a label [mm]: below it the code cannot be read, above it is a sheet and no label (own
/// choice; A4 is 210 × 297, ISO 216).
pub const SIDES_MM: RangeInclusive<f64> = 20.0..=210.0;
/// Least width of a module of the code [mm]: more than two dots of a thermal printer with 203 dots per inch
/// (own choice).
const LEAST_MODULE_MM: f64 = 0.3;
/// Margin that a label printer leaves [mm] (common practice, no source).
const MARGIN: f64 = 1.5;

/// Size of a label.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LabelSize {
    /// Width [mm].
    pub width_mm: f64,
    /// Height [mm].
    pub height_mm: f64,
}

impl Default for LabelSize {
    /// 62 × 29 mm, a common size of address labels.
    fn default() -> Self {
        Self { width_mm: 62.0, height_mm: 29.0 }
    }
}

/// What a label says. It names no owner.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Label {
    /// Number of the job.
    pub number: String,
    /// Name of the machine.
    pub machine: String,
    /// Date, as the text to print.
    pub date: String,
    /// Address that the code holds.
    pub address: String,
}

/// Why there is no label.
#[derive(Clone, Debug, PartialEq)]
pub enum LabelError {
    /// A side is not within `SIDES_MM`.
    Size {
        /// The side as given [mm].
        side_mm: f64,
    },
    /// The address is too long for a code that can be read at this size.
    AddressTooLong {
        /// Its length [bytes].
        bytes: usize,
    },
    /// The PDF could not be written.
    Pdf(pdf::PdfError),
}

/// The label as a PDF of its own size.
///
/// # Errors
/// As [`label`], and [`LabelError::Pdf`].
pub fn label_pdf(label: &Label, size: LabelSize) -> Result<Vec<u8>, LabelError> {
    let title = super::pieces::one_line(&format!("{} {}", words::JOB, label.number));
    pdf::document(&[self::label(label, size)?], &title).map_err(LabelError::Pdf)
}

/// The label: code to the left, or on top of an upright label, and text beside it. Text that has no room ends with an
/// ellipsis; a character without a glyph is a [`font::STAND_IN`].
///
/// # Errors
/// [`LabelError::Size`], [`LabelError::AddressTooLong`].
///
/// ```
/// use sheets::job::{Label, LabelSize, label};
/// let says = Label { number: "2026-0014".into(), address: "http://192.168.1.20:7878/jobs/2026-0014".into(), ..Label::default() };
/// assert_eq!(label(&says, LabelSize::default())?.width, 62.0);
/// # Ok::<(), sheets::job::LabelError>(())
/// ```
pub fn label(label: &Label, size: LabelSize) -> Result<Scene, LabelError> {
    let (w, h) = (size.width_mm, size.height_mm);
    if let Some(side_mm) = [w, h].into_iter().find(|side| !SIDES_MM.contains(side)) {
        return Err(LabelError::Size { side_mm });
    }
    let too_long = || LabelError::AddressTooLong { bytes: label.address.len() };
    let upright = h > w;
    // The code has its own clear margin. It takes the short side, and at most 60 % of the long one.
    let side = if upright { w.min(0.6 * h) } else { h.min(0.6 * w) };
    let modules = qr::modules_across(&label.address).map_err(|_| too_long())?;
    if side / (modules as f64) < LEAST_MODULE_MM {
        return Err(too_long());
    }
    let code = qr::draw(&label.address, side, words::JOB).map_err(|_| too_long())?;
    let mut scene = Scene::new(w, h, words::JOB, &label.address);
    let (x, y, room_w, room_h);
    if upright {
        scene.place(code, at((w - side) / 2.0, 0.0));
        (x, y, room_w, room_h) = (MARGIN, side, w - 2.0 * MARGIN, h - side - MARGIN);
    } else {
        scene.place(code, at(0.0, (h - side) / 2.0));
        (x, y, room_w, room_h) = (side, MARGIN, w - side - MARGIN, h - 2.0 * MARGIN);
    }
    // Sizes follow the room: number, up to two lines of machine, date take its height.
    let unit = (room_h / 8.0).min(room_w / 9.0);
    let (large, small) = ((1.9 * unit).clamp(1.5, 14.0), (1.3 * unit).clamp(1.2, 10.0));
    let clean = super::pieces::one_line;
    // The number shrinks before any of it is lost.
    let number = clean(&label.number);
    let whole = large * room_w / font::width(&number, large, Weight::Bold).max(room_w);
    let mut texts: Vec<(String, f64, Weight)> = vec![(number, (whole * 0.999).max(small * 0.7), Weight::Bold)];
    let mut machine = font::wrap(&clean(&label.machine), small, Weight::Regular, room_w);
    if machine.len() > 2 {
        machine = vec![machine[0].clone(), machine[1..].join(" ")];
    }
    texts.extend(machine.into_iter().map(|line| (line, small, Weight::Regular)));
    texts.push((clean(&label.date), small, Weight::Regular));
    texts.retain(|(content, ..)| !content.is_empty());
    let height: f64 = texts.iter().map(|(_, size, _)| size * 1.3).sum();
    let mut top = y + (room_h - height).max(0.0) / 2.0;
    for (content, size, weight) in texts {
        let mut text = Text::new(at(x, top + size), size, font::fit(&content, size, weight, room_w)).ink(Ink::CodeDark);
        text.weight = weight;
        scene.text(text);
        top += size * 1.3;
    }
    Ok(scene)
}
