//! Quoted cells of a CSV text (RFC 4180) that comes whole or piece by piece.

/// The line on which a quoted cell begins that never ends.
pub(super) fn open_quote(text: &str, separator: char) -> Option<u64> {
    let mut quotes = Quotes::new(separator);
    quotes.feed(text.as_bytes());
    quotes.open()
}

/// Whether a text that comes piece by piece stands within a quoted cell.
pub(in crate::exchange) struct Quotes {
    separator: u8,
    line: u64,
    begun: u64,
    quoted: bool,
    at_start: bool,
}

impl Quotes {
    /// At the start of a text; the separator is an ASCII sign.
    pub fn new(separator: char) -> Self {
        Self { separator: separator as u8, line: 1, begun: 1, quoted: false, at_start: true }
    }

    /// Goes on. Quotes, separators and ends of lines are ASCII, so a piece may end anywhere.
    pub fn feed(&mut self, piece: &[u8]) {
        for &c in piece {
            match c {
                // Two quotes within a quoted cell end it and begin it again.
                b'"' if self.quoted => {
                    self.quoted = false;
                    self.at_start = true;
                    continue;
                }
                b'"' if self.at_start => {
                    self.quoted = true;
                    self.begun = self.line;
                }
                _ => {}
            }
            self.at_start = !self.quoted && (c == self.separator || c == b'\n' || c == b'\r');
            self.line += u64::from(c == b'\n');
        }
    }

    /// The line on which the quoted cell begins that is not ended yet.
    pub fn open(&self) -> Option<u64> {
        self.quoted.then_some(self.begun)
    }
}
