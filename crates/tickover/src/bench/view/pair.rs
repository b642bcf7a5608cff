//! Devices that may open the page, and the page where one types its code.

use crate::pictures;
use jobbook::Device;
use maud::{Markup, PreEscaped, html};
use sheets::words::page as words;

/// Side of the code on the page [mm].
const CODE_MM: f64 = 60.0;

/// What waits for the next device.
pub struct Invitation {
    /// The code.
    pub code: String,
    /// Addresses with the code in them.
    pub addresses: Vec<String>,
}

/// The devices; `places` are the addresses in the workshop's network, none without it.
pub fn devices(devices: &[Device], places: &[String], invitation: Option<&Invitation>) -> Markup {
    html! {
        div.title { h1 { (words::DEVICES) } p { (if places.is_empty() { words::NO_NETWORK } else { words::NETWORK }) } }
        div.plain-part {
            @if !places.is_empty() {
                div.caution { h2 { (words::BEFORE_PAIRING) } p { (words::NETWORK_CAUTION) } }
                @match invitation {
                    Some(invitation) => {
                        h2 { (words::CODE) }
                        p.large { (invitation.code[..4]) " " (invitation.code[4..]) }
                        p { (words::CODE_LIFE) }
                        @for address in &invitation.addresses {
                            figure.code {
                                @if let Ok(code) = sheets::qr::draw(address, CODE_MM, words::CODE) { (PreEscaped(pictures::scene_on_page(&code))) }
                                figcaption { (address) }
                            }
                        }
                        form method="post" action="/devices/invite" { button.plain { (words::ANOTHER_CODE) } }
                    }
                    None => { form method="post" action="/devices/invite" { button { (words::INVITE) } } }
                }
            }
            h2 { (words::LET_IN) }
            @if devices.is_empty() { p.soft { (words::NOBODY_YET) } }
            ul.said {
                @for device in devices {
                    li { div.row {
                        span { (device.name) ", " (sheets::words::at(device.since)) }
                        form method="post" action={ "/devices/" (device.id) "/forget" } { button.plain { (words::FORGET) } }
                    } }
                }
            }
        }
    }
}

/// Where a device types its code.
pub fn pair(code: &str, refused: bool) -> Markup {
    html! {
        div.title { h1 { (words::PAIR) } p { (words::HOW_TO_PAIR) } }
        form.plain-part method="post" action="/pair" {
            @if refused { p.error #refused role="alert" { (words::WRONG_CODE) } }
            div.field {
                label for="code" { (words::CODE) }
                input #code name="code" value=(code) required autocomplete="off" autocapitalize="characters" spellcheck="false"
                    aria-describedby=[refused.then_some("refused")];
            }
            div.field {
                label for="name" { (words::DEVICE_NAME) }
                input #name name="name" maxlength="60" autocomplete="off" placeholder=(words::NAMELESS);
            }
            button { (words::LET_ME_IN) }
        }
    }
}
