//! An oscilloscope's table: time and one or two channels in columns, with the scope's own heading.

use super::{BLOCK, Fault};
use std::io::{BufRead, Read};

/// Which columns hold what, counted from 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Columns {
    /// Time; 0: there is none, and `rate_hz` says how fast it goes on.
    pub time: usize,
    /// Both channels.
    pub channels: [usize; 2],
    /// Samples a second, where there is no column of times [Hz].
    pub rate_hz: Option<f64>,
}

impl Default for Columns {
    fn default() -> Self {
        Self { time: 1, channels: [2, 3], rate_hz: None }
    }
}

/// Longest line [bytes] (own choice).
const LONGEST_LINE: u64 = 64 * 1024;
/// Lines of heading at most [1], and lines from which the rate is taken [1] (own choice).
const MOST_HEADING: usize = 200;
const RATE_FROM: usize = 2000;
/// Steps of time may differ from the usual one by this share \[1\] (own choice): times are often printed to few digits.
const UNEVEN: f64 = 0.6;

/// A table that is being read.
#[derive(Debug)]
pub(super) struct Table<R> {
    source: R,
    columns: Columns,
    separator: char,
    comma: bool,
    line: u64,
    text: Vec<u8>,
    time_s: f64,
    scale: [f64; 2],
    volts: bool,
    rate_hz: f64,
    two: bool,
    /// Rows that were read to tell the rate.
    waiting: Vec<[f64; 3]>,
    last_time: Option<f64>,
    ended: bool,
}

impl<R: BufRead> Table<R> {
    pub(super) fn open(source: R, columns: &Columns) -> Result<Self, Fault> {
        let mut table = Self {
            source,
            columns: *columns,
            separator: ',',
            comma: false,
            line: 0,
            text: Vec::new(),
            time_s: 1.0,
            scale: [1.0; 2],
            volts: false,
            rate_hz: columns.rate_hz.unwrap_or(0.0),
            two: true,
            waiting: Vec::new(),
            last_time: None,
            ended: false,
        };
        table.heading()?;
        while table.waiting.len() < RATE_FROM && table.row()? {}
        if columns.rate_hz.is_none() {
            let (first, last) = (table.waiting.first().ok_or(Fault::NoNumbers)?, table.waiting[table.waiting.len() - 1]);
            let step = (last[0] - first[0]) / (table.waiting.len() as f64 - 1.0);
            table.rate_hz = 1.0 / step;
        }
        if !(4e3..=1e9).contains(&table.rate_hz) {
            return Err(Fault::Rate(table.rate_hz));
        }
        let rows = std::mem::take(&mut table.waiting);
        for (i, row) in rows.iter().enumerate() {
            let line = table.line + 1 + i as u64 - rows.len() as u64;
            table.even(row[0], line)?;
        }
        table.waiting = rows;
        Ok(table)
    }

    pub(super) fn rate_hz(&self) -> f64 {
        self.rate_hz
    }

    pub(super) fn channels(&self) -> usize {
        if self.two { 2 } else { 1 }
    }

    pub(super) fn volts(&self) -> Option<f64> {
        self.volts.then_some(1.0)
    }

    /// Reads up to the first line of numbers, and learns from what stands above it.
    fn heading(&mut self) -> Result<(), Fault> {
        let mut above: Vec<String> = Vec::new();
        while self.next_line()? {
            let text = self.as_text()?.trim_start_matches('\u{feff}').to_owned();
            if self.tell(&text) {
                self.units(&above);
                let values = self.values(&text)?;
                self.waiting.push(values);
                return Ok(());
            }
            if above.len() == MOST_HEADING {
                break;
            }
            above.push(text);
        }
        Err(Fault::NoNumbers)
    }

    /// Whether a line holds numbers in the wanted columns, with some separator; keeps the first that does.
    fn tell(&mut self, text: &str) -> bool {
        // Where semicolons or tabs part the cells a comma is a decimal one.
        for (separator, comma) in [('\t', true), (';', true), (',', false)] {
            if !text.contains(separator) {
                continue;
            }
            let cells: Vec<&str> = text.split(separator).collect();
            let number = |column: usize| cells.get(column - 1).is_some_and(|c| parse(c, comma).is_some());
            let time = self.columns.time == 0 || number(self.columns.time);
            if time && number(self.columns.channels[0]) {
                self.two = number(self.columns.channels[1]);
                (self.separator, self.comma) = (separator, comma);
                return true;
            }
        }
        false
    }

    /// Units from the lines above the numbers: the last cell over a column that names one.
    fn units(&mut self, above: &[String]) {
        let cell = |line: &String, column: usize| {
            let cells: Vec<&str> = line.split(self.separator).collect();
            column.checked_sub(1).and_then(|c| cells.get(c)).map(|c| unit_in(c).to_owned())
        };
        let named = |column: usize, known: &dyn Fn(&str) -> Option<f64>| {
            above.iter().rev().filter_map(|l| cell(l, column)).find_map(|u| known(&u))
        };
        self.time_s = named(self.columns.time, &|u| match u {
            "s" | "sec" | "second" | "seconds" => Some(1.0),
            "ms" => Some(1e-3),
            "us" | "µs" | "μs" => Some(1e-6),
            "ns" => Some(1e-9),
            _ => None,
        })
        .unwrap_or(1.0);
        for c in 0..2 {
            let volts = named(self.columns.channels[c], &|u| match u {
                "mV" | "mv" => Some(1e-3),
                "kV" | "kv" => Some(1e3),
                volts if volts.eq_ignore_ascii_case("v") || volts.to_ascii_lowercase().starts_with("volt") => Some(1.0),
                _ => None,
            });
            self.scale[c] = volts.unwrap_or(1.0);
            self.volts |= volts.is_some();
        }
    }

    fn next_line(&mut self) -> Result<bool, Fault> {
        self.text.clear();
        let got = self.source.by_ref().take(LONGEST_LINE + 1).read_until(b'\n', &mut self.text).map_err(Fault::Io)?;
        if got as u64 > LONGEST_LINE {
            return Err(Fault::LongLine { line: self.line + 1 });
        }
        self.line += u64::from(got > 0);
        Ok(got > 0)
    }

    fn as_text(&self) -> Result<&str, Fault> {
        std::str::from_utf8(&self.text).map(|t| t.trim_end_matches(['\r', '\n'])).map_err(|_| Fault::NotText { line: self.line })
    }

    fn values(&self, text: &str) -> Result<[f64; 3], Fault> {
        let mut cells = text.split(self.separator).enumerate();
        let mut values = [0.0; 3];
        let wanted = [self.columns.time, self.columns.channels[0], if self.two { self.columns.channels[1] } else { 0 }];
        let highest = wanted.iter().copied().max().unwrap_or(0);
        let mut seen = 0;
        for (i, cell) in cells.by_ref().take(highest) {
            for (k, column) in wanted.iter().enumerate().filter(|(_, c)| **c == i + 1) {
                values[k] = parse(cell, self.comma).ok_or_else(|| Fault::Cell {
                    line: self.line,
                    column: *column,
                    found: cell.trim().chars().take(40).collect(),
                })?;
            }
            seen = i + 1;
        }
        if seen < highest {
            return Err(Fault::Cell { line: self.line, column: seen + 1, found: String::new() });
        }
        if !self.two {
            values[2] = values[1];
        }
        Ok([values[0] * self.time_s, values[1] * self.scale[0], values[2] * if self.two { self.scale[1] } else { self.scale[0] }])
    }

    /// One more row into those that wait; `false` at the end.
    fn row(&mut self) -> Result<bool, Fault> {
        loop {
            if !self.next_line()? {
                self.ended = true;
                return Ok(false);
            }
            let text = self.as_text()?;
            if text.trim().is_empty() {
                continue;
            }
            let values = self.values(text)?;
            self.waiting.push(values);
            return Ok(true);
        }
    }

    /// Time must go on by the usual step.
    fn even(&mut self, time: f64, line: u64) -> Result<(), Fault> {
        if self.columns.time == 0 {
            return Ok(());
        }
        let step = 1.0 / self.rate_hz;
        if let Some(last) = self.last_time
            // What is printed to few digits stands still now and then, and jumps.
            && !((-0.01 * step..).contains(&(time - last)) && (time - last) < (1.0 + UNEVEN) * step.max(1e-9) + 1e-6 * time.abs())
        {
            return Err(Fault::Time { line });
        }
        self.last_time = Some(time);
        Ok(())
    }

    pub(super) fn next_block(&mut self, out: &mut [Vec<f32>; 2]) -> Result<bool, Fault> {
        for row in std::mem::take(&mut self.waiting) {
            out[0].push(row[1] as f32);
            out[1].push(row[2] as f32);
        }
        while out[0].len() < BLOCK && !self.ended && self.row()? {
            if let Some(row) = self.waiting.pop() {
                self.even(row[0], self.line)?;
                out[0].push(row[1] as f32);
                out[1].push(row[2] as f32);
            }
        }
        Ok(!out[0].is_empty())
    }
}

/// The unit in a heading's cell: what stands in brackets, or the whole cell.
fn unit_in(cell: &str) -> &str {
    let cell = cell.trim().trim_matches('"');
    let inside = cell.rsplit_once(['(', '[']).map(|(_, r)| r.trim_end_matches([')', ']']));
    inside.unwrap_or(cell).trim()
}

fn parse(cell: &str, comma: bool) -> Option<f64> {
    let cell = cell.trim().trim_matches('"');
    let value: f64 = if comma && cell.contains(',') {
        if cell.contains('.') || cell.matches(',').count() > 1 {
            return None;
        }
        cell.replace(',', ".").parse().ok()?
    } else {
        cell.parse().ok()?
    };
    value.is_finite().then_some(value)
}
