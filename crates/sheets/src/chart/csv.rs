//! A chart's points as comma-separated values.

use super::Chart;
use std::fmt::Write;

pub(super) fn csv(chart: &Chart) -> String {
    let mut out = String::new();
    let header = [
        "series".to_owned(),
        chart.x.label(),
        chart.y.label(),
        format!("± {}", chart.x.label()),
        format!("± {}", chart.y.label()),
        "set aside".to_owned(),
    ];
    let _ = write!(out, "{}\r\n", header.map(|h| field(&h)).join(","));
    let mut name = String::new();
    for s in &chart.series {
        if !s.name.is_empty() {
            name.clone_from(&s.name);
        }
        let name = field(&name);
        for &(x, y) in s.line.iter().filter(|(x, y)| x.is_finite() && y.is_finite()) {
            let half = s.band.iter().find(|b| b.0 == x).map(|b| plain(0.5 * (b.2 - b.1))).unwrap_or_default();
            let _ = write!(out, "{name},{},{},,{half},\r\n", plain(x), plain(y));
        }
        for m in &s.marks {
            let wild = if m.wild { "yes" } else { "no" };
            let _ = write!(
                out,
                "{name},{},{},{},{},{wild}\r\n",
                plain(m.x),
                plain(m.y),
                plain(m.plus_minus_x),
                plain(m.plus_minus_y)
            );
        }
    }
    out
}

/// Six significant digits are beyond any reading here.
fn plain(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let digits = (5 - value.abs().log10().floor() as i32).clamp(0, 12) as usize;
    let text = format!("{value:.digits$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// RFC 4180, 2.5–2.7: a field with comma, quote or line end is quoted, quotes doubled.
fn field(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.to_owned() }
}
