//! Reads the text of a PDF back.

use lopdf::{Dictionary, Document, Object, content::Content};
use std::collections::BTreeMap;

/// Text of a PDF without its spaces: the codes that are shown, by way of each font's `ToUnicode` (ISO 32000-1:2008, 9.10.3).
pub fn read_back(bytes: &[u8]) -> String {
    let document = Document::load_mem(bytes).unwrap();
    let mut text = String::new();
    for page in document.get_pages().into_values() {
        let fonts = document.get_page_fonts(page).unwrap();
        let maps: BTreeMap<_, _> = fonts.iter().map(|(name, font)| (name.clone(), to_unicode(&document, font))).collect();
        let mut map = None;
        for op in Content::decode(&document.get_page_content(page).unwrap()).unwrap().operations {
            match op.operator.as_str() {
                "Tf" => map = maps.get(op.operands[0].as_name().unwrap()),
                "Tj" | "TJ" => {
                    let shown = op.operands.iter().flat_map(|o| match o {
                        Object::Array(all) => all.clone(),
                        one => vec![one.clone()],
                    });
                    for codes in shown.filter_map(|o| o.as_str().ok().map(<[u8]>::to_vec)) {
                        text.extend(codes.chunks(2).map(|c| map.unwrap()[&u16::from_be_bytes([c[0], c[1]])].as_str()));
                    }
                }
                _ => {}
            }
        }
    }
    squeezed(&text)
}

fn to_unicode(document: &Document, font: &Dictionary) -> BTreeMap<u16, String> {
    let map = document.get_object(font.get(b"ToUnicode").unwrap().as_reference().unwrap()).unwrap();
    let map = String::from_utf8(map.as_stream().unwrap().get_plain_content().unwrap()).unwrap();
    let hex = |s: &str| -> Vec<u16> {
        s.as_bytes().chunks(4).map(|h| u16::from_str_radix(std::str::from_utf8(h).unwrap(), 16).unwrap()).collect()
    };
    let pairs = map.lines().skip_while(|l| !l.ends_with("beginbfchar")).filter(|l| l.starts_with('<'));
    pairs
        .map(|l| {
            let parts: Vec<&str> = l.split(['<', '>']).filter(|p| !p.trim().is_empty()).collect();
            assert_eq!(parts.len(), 2, "{l}");
            (hex(parts[0])[0], String::from_utf16(&hex(parts[1])).unwrap())
        })
        .collect()
}

pub fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}
