//! An address as a QR code (ISO/IEC 18004), for a label, a page or a terminal. The encoding is the `qrcode` library's.

use crate::scene::{Canvas, Fill, Ink, Path, Rect, Scene};
use qrcode::{Color, EcLevel, QrCode, types::QrError};

/// Clear modules round the code that a reader needs (ISO/IEC 18004, 5.3.8).
const QUIET_MODULES: usize = 4;

/// The dark modules, row by row, with the clear margin around them.
fn modules(content: &str) -> Result<Vec<Vec<bool>>, QrError> {
    // A quarter of it may be oily: quality, of the four levels of the standard.
    let code = QrCode::with_error_correction_level(content, EcLevel::Q)?;
    let width = code.width();
    let wide = width + 2 * QUIET_MODULES;
    let inside = |at: usize| at.checked_sub(QUIET_MODULES).filter(|at| *at < width);
    Ok((0..wide)
        .map(|y| (0..wide).map(|x| inside(x).zip(inside(y)).is_some_and(|(x, y)| code[(x, y)] == Color::Dark)).collect())
        .collect())
}

/// Modules along a side of the code, clear margin included; the side over it is the width of one.
///
/// # Errors
/// As [`draw`].
pub fn modules_across(content: &str) -> Result<usize, QrError> {
    modules(content).map(|rows| rows.len())
}

/// The code as a square drawing `side` mm wide, dark on light by day and by night, because readers expect that.
///
/// # Errors
/// When `content` is longer than a QR code can hold.
pub fn draw(content: &str, side: f64, title: &str) -> Result<Scene, QrError> {
    let rows = modules(content)?;
    let module = side / rows.len() as f64;
    let mut scene = Scene::new(side, side, title, content);
    let whole = Rect { x: 0.0, y: 0.0, width: side, height: side };
    scene.path(whole.path(), Fill::solid(Ink::CodeLight), None);
    // One path, and a run of modules as one rectangle: no hairlines between neighbours.
    let mut dark = Path::default();
    for (y, row) in rows.iter().enumerate() {
        let mut x = 0;
        for run in row.chunk_by(|a, b| a == b) {
            if run[0] {
                let run = Rect { x: x as f64 * module, y: y as f64 * module, width: run.len() as f64 * module, height: module };
                dark.segments.extend(run.path().segments);
            }
            x += run.len();
        }
    }
    scene.path(dark, Fill::solid(Ink::CodeDark), None);
    Ok(scene)
}

/// The code in half blocks, two rows a line, for a terminal with dark or light ground: the light modules are drawn too.
///
/// # Errors
/// As [`draw`].
///
/// ```
/// let text = sheets::qr::terminal("http://192.168.1.20:7878/pair")?;
/// assert!(text.lines().count() > 10);
/// # Ok::<(), qrcode::types::QrError>(())
/// ```
pub fn terminal(content: &str) -> Result<String, QrError> {
    let rows = modules(content)?;
    let mut text = String::new();
    for pair in rows.chunks(2) {
        for (x, upper) in pair[0].iter().enumerate() {
            let lower = pair.get(1).is_some_and(|row| row[x]);
            // Light is the drawn colour.
            text.push(match (*upper, lower) {
                (false, false) => '█',
                (false, true) => '▀',
                (true, false) => '▄',
                (true, true) => ' ',
            });
        }
        text.push('\n');
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Read back by `rqrr`, a decoder that shares nothing with the encoder, from modules this many pixels wide.
    const PIXELS: usize = 4;

    #[test]
    fn a_reader_gets_the_address_back() {
        for content in ["http://192.168.178.201:7878/pair?code=K7M2PX9A", "http://10.0.0.7:60123/job/2026-0014", "ä"] {
            let rows = modules(content).unwrap();
            let side = rows.len() * PIXELS;
            let mut image = rqrr::PreparedImage::prepare_from_bitmap(side, side, |x, y| rows[y / PIXELS][x / PIXELS]);
            let found = image.detect_grids();
            assert_eq!(found.len(), 1, "{content}");
            assert_eq!(found[0].decode().unwrap().1, content);
        }
    }

    #[test]
    fn the_drawing_and_the_terminal_have_the_same_modules() {
        let content = "http://127.0.0.1:7878/";
        let rows = modules(content).unwrap();
        let dark = rows.iter().flatten().filter(|m| **m).count();
        let text = terminal(content).unwrap();
        let light = text
            .chars()
            .map(|c| match c {
                '█' => 2,
                '▀' | '▄' => 1,
                _ => 0,
            })
            .sum::<usize>();
        // An odd last row is completed with light modules.
        let drawn = rows.len() * rows.len().next_multiple_of(2);
        assert_eq!(light, drawn - dark);
        assert!(draw(&"x".repeat(3000), 30.0, "").is_err(), "longer than a code can hold");
    }
}
