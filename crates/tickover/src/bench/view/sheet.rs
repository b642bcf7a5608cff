//! What every page has: head, sheet, switch between light and night.

use super::super::{assets::address, guard::cookie};
use axum::http::HeaderMap;
use maud::{DOCTYPE, Markup, html};
use sheets::words::page as words;

/// Day, night, or as the device has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Light {
    /// As the device has it.
    Device,
    /// Dark ink on white.
    Day,
    /// Light ink on black.
    Night,
}

impl Light {
    /// Name of the cookie.
    pub const COOKIE: &'static str = "light";

    /// By its name in cookie and form.
    pub fn named(name: &str) -> Self {
        match name {
            "day" => Light::Day,
            "night" => Light::Night,
            _ => Light::Device,
        }
    }

    /// Its name in cookie and form.
    pub fn name(self) -> &'static str {
        match self {
            Light::Device => "device",
            Light::Day => "day",
            Light::Night => "night",
        }
    }

    /// What the browser remembers.
    pub fn of(headers: &HeaderMap) -> Self {
        cookie(headers, Self::COOKIE).map_or(Light::Device, Self::named)
    }
}

/// Where a page is and how it is lit.
#[derive(Clone, Copy, Debug)]
pub struct Around<'a> {
    /// Path of this page, to come back to after a change of light.
    pub path: &'a str,
    /// Light.
    pub light: Light,
}

/// A whole page.
pub fn page(around: Around, title: &str, inside: &Markup) -> String {
    let data_light = (around.light != Light::Device).then(|| around.light.name());
    html! {
        (DOCTYPE)
        html lang=(sheets::words::LANGUAGE) data-light=[data_light] {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (sheets::words::page::title(title)) }
                link rel="icon" href=(address("/mark.svg")) type="image/svg+xml";
                link rel="stylesheet" href=(address("/bench.css"));
                script type="module" src=(address("/bench.js")) {}
                script type="module" src=(address("/readout.js")) {}
                script type="module" src=(address("/run.js")) {}
                script type="module" src=(address("/lighten.js")) {}
                script type="module" src=(address("/fault.js")) {}
                script type="module" src=(address("/later.js")) {}
            }
            body {
                a.skip href="#sheet" { (words::TO_THE_SHEET) }
                header.head {
                    nav.places aria-label=(words::PLACES) { a href="/" { (words::BOOK) } a href="/devices" { (words::DEVICES) } }
                    (light_switch(around))
                }
                section.later #later hidden aria-live="polite" aria-label=(words::LATER)
                    data-kept=(words::KEPT_HERE) data-refused=(words::REFUSED_LATER) data-drop=(words::DROP) {}
                main.sheet #sheet { (inside) }
            }
        }
    }
    .into_string()
}

fn light_switch(around: Around) -> Markup {
    html! {
        form.light method="post" action="/light" {
            input type="hidden" name="back" value=(around.path);
            @for (light, words) in [(Light::Device, words::AS_DEVICE), (Light::Day, words::DAY), (Light::Night, words::NIGHT)] {
                button name="light" value=(light.name()) aria-pressed=(around.light == light) { (words) }
            }
        }
    }
}

/// A page that only says something.
pub fn notice(around: Around, title: &str, words: &str) -> String {
    page(
        around,
        title,
        &html! {
            div.title { h1 { (title) } p { (words) } p { a href="/" { (words::TO_THE_BOOK) } } }
        },
    )
}
