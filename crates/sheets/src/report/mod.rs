//! Studies as text for a terminal.

/// Breaks text into lines of at most `width` columns, at spaces; later lines start with `hang`. A longer word stays whole.
pub fn wrap(text: &str, width: usize, hang: &str) -> Vec<String> {
    let mut lines = Vec::new();
    let indent: String = text.chars().take_while(|c| *c == ' ').collect();
    let mut line = indent.clone();
    let mut empty = true;
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let extra = word.chars().count() + usize::from(!empty);
        if !empty && line.chars().count() + extra > width {
            lines.push(std::mem::replace(&mut line, hang.to_owned()));
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    lines.push(line);
    lines
}
