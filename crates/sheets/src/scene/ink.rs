//! Inks by role, and the colours they have on paper, on a light page and on a page at night.
//!
//! Series colours are those of Okabe and Ito, *Color Universal Design (CUD): How to make figures and presentations that
//! are friendly to colorblind people*, 2002, revised 2008, jfly.uni-koeln.de/color. On white the darker ones are used, at
//! night the brighter ones; dash and marker tell series apart without colour.

use super::Dash;

/// What a line, area or text stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ink {
    /// The sheet itself.
    Paper,
    /// Main lines and text.
    Ink,
    /// Text and lines that stand back.
    Soft,
    /// Grid of a chart.
    Grid,
    /// Metal in a drawing.
    Metal,
    /// What is cut away, and what hangs.
    Cut,
    /// A series of a chart, counted from 0; see [`SERIES`] for how many are told apart.
    Series(u8),
    /// A caution.
    Caution,
    /// Ground of a machine-readable code, light at night too.
    CodeLight,
    /// Modules of a machine-readable code, dark at night too.
    CodeDark,
}

/// Number of series that colour, dash and marker tell apart.
pub const SERIES: u8 = 4;

/// A colour, red, green, blue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour(pub u8, pub u8, pub u8);

/// The light under which a drawing is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Light {
    /// Paper, or the page by day.
    Day,
    /// The page at night.
    Night,
}

/// All inks, for style sheets and checks.
pub const ALL: [Ink; 13] = [
    Ink::Paper,
    Ink::Ink,
    Ink::Soft,
    Ink::Grid,
    Ink::Metal,
    Ink::Cut,
    Ink::Caution,
    Ink::CodeLight,
    Ink::CodeDark,
    Ink::Series(0),
    Ink::Series(1),
    Ink::Series(2),
    Ink::Series(3),
];

impl Ink {
    /// Name of the ink in style sheets, without the `--ink-`.
    pub const fn name(self) -> &'static str {
        match self {
            Ink::Paper => "paper",
            Ink::Ink => "main",
            Ink::Soft => "soft",
            Ink::Grid => "grid",
            Ink::Metal => "metal",
            Ink::Cut => "cut",
            Ink::Caution => "caution",
            Ink::CodeLight => "code-light",
            Ink::CodeDark => "code-dark",
            Ink::Series(n) => match n % SERIES {
                0 => "series-1",
                1 => "series-2",
                2 => "series-3",
                _ => "series-4",
            },
        }
    }

    /// Its colour in a light.
    pub const fn colour(self, light: Light) -> Colour {
        let (day, night) = match self {
            Ink::Paper => (Colour(255, 255, 255), Colour(20, 24, 28)),
            Ink::Ink => (Colour(17, 20, 24), Colour(236, 239, 242)),
            Ink::Soft => (Colour(84, 92, 101), Colour(168, 177, 187)),
            Ink::Grid => (Colour(215, 219, 224), Colour(58, 65, 73)),
            Ink::Metal => (Colour(232, 235, 238), Colour(48, 55, 63)),
            // Vermillion by day; orange at night (Okabe and Ito).
            Ink::Cut | Ink::Caution => (Colour(0xD5, 0x5E, 0x00), Colour(0xE6, 0x9F, 0x00)),
            Ink::CodeLight => (Colour(255, 255, 255), Colour(255, 255, 255)),
            Ink::CodeDark => (Colour(0, 0, 0), Colour(0, 0, 0)),
            Ink::Series(n) => match n % SERIES {
                0 => (Colour(0x00, 0x72, 0xB2), Colour(0x56, 0xB4, 0xE9)),
                1 => (Colour(0xD5, 0x5E, 0x00), Colour(0xE6, 0x9F, 0x00)),
                2 => (Colour(0x00, 0x9E, 0x73), Colour(0x00, 0x9E, 0x73)),
                // Black by day, yellow at night: reddish purple is too pale on white.
                _ => (Colour(0x00, 0x00, 0x00), Colour(0xF0, 0xE4, 0x42)),
            },
        };
        match light {
            Light::Day => day,
            Light::Night => night,
        }
    }

    /// The custom properties of all inks for a style sheet: `--ink-main:#111418;…`.
    ///
    /// ```
    /// use sheets::scene::ink::{Ink, Light};
    /// assert!(Ink::css_variables(Light::Night).contains("--ink-series-1:#56b4e9;"));
    /// ```
    pub fn css_variables(light: Light) -> String {
        ALL.iter().map(|ink| format!("--ink-{}:{};", ink.name(), ink.colour(light).hex())).collect()
    }
}

/// The dash of a series.
pub const fn dash_of(series: u8) -> Dash {
    match series % SERIES {
        0 => Dash::Full,
        1 => Dash::Long,
        2 => Dash::Short,
        _ => Dash::Centre,
    }
}

impl Colour {
    /// `#rrggbb`.
    pub fn hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WCAG 2.2, success criterion 1.4.11: graphics need 3 : 1 against what lies beside them.
    const GRAPHIC_CONTRAST: f64 = 3.0;
    /// WCAG 2.2, success criterion 1.4.3: text needs 4.5 : 1.
    const TEXT_CONTRAST: f64 = 4.5;

    /// WCAG 2.2, definitions of relative luminance and contrast ratio.
    fn contrast(a: Colour, b: Colour) -> f64 {
        let luminance = |c: Colour| {
            let part = |v: u8| {
                let v = f64::from(v) / 255.0;
                if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * part(c.0) + 0.7152 * part(c.1) + 0.0722 * part(c.2)
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn inks_stand_out_from_the_paper_by_day_and_at_night() {
        for light in [Light::Day, Light::Night] {
            for ink in ALL {
                let paper = if ink == Ink::CodeDark { Ink::CodeLight } else { Ink::Paper }.colour(light);
                let least = match ink {
                    Ink::Paper | Ink::Grid | Ink::Metal | Ink::CodeLight => continue,
                    Ink::Ink | Ink::Soft => TEXT_CONTRAST,
                    _ => GRAPHIC_CONTRAST,
                };
                let got = contrast(ink.colour(light), paper);
                assert!(got >= least, "{ink:?} {light:?}: {got:.2}");
            }
        }
    }
}
