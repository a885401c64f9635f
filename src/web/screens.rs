//! The devices that are paired: which, how one more is, and how one is taken off.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use maud::{Markup, PreEscaped, html};
use qrcode::render::{svg, unicode};
use qrcode::{EcLevel, QrCode};

use super::form::form;
use super::page::{self, Screen};
use super::press::Press;
use super::reply;
use super::site::Site;
use super::sure;
use super::visit::Visit;
use crate::book::{BookError, Role};

/// How a device is paired.
pub struct Invitation {
    /// As what.
    pub role: Role,
    /// The code to type.
    pub code: String,
    /// The address at which it is typed.
    pub address: String,
}

impl Invitation {
    /// The address with the code in it: whoever opens it need not type.
    pub fn link(&self) -> String {
        format!("{}?code={}", self.address, self.code)
    }

    /// The link as a square code of text blocks.
    pub fn blocks(&self) -> String {
        let drawn = self.square().map(|code| {
            // Most terminals are dark: what is light in a code is what is drawn.
            let (dark, light) = (unicode::Dense1x2::Light, unicode::Dense1x2::Dark);
            code.render::<unicode::Dense1x2>().dark_color(dark).light_color(light).build()
        });
        drawn.unwrap_or_default()
    }

    fn square(&self) -> Option<QrCode> {
        QrCode::with_error_correction_level(self.link().as_bytes(), EcLevel::M).ok()
    }
}

/// A new code for a role.
pub(super) fn invitation(site: &Site, role: Role) -> Result<Invitation, BookError> {
    let code = site.codes.give(role, site.now()?, &*site.random);
    Ok(Invitation { role, code, address: format!("{}/pair", site.hosts.address()) })
}

/// Where a device begins.
pub(super) async fn home(visit: Visit) -> Response {
    reply::go(visit.home())
}

/// There is no such page.
pub(super) async fn nothing() -> Response {
    reply::nothing()
}

pub(super) async fn list(State(site): State<Arc<Site>>, visit: Visit) -> Response {
    page::show(site, visit, |site, visit| Ok(Screen::new("Devices", devices(site, visit, None)?)))
        .await
}

/// Gives a code for one more.
pub(super) async fn invite(State(site): State<Arc<Site>>, press: Press) -> Response {
    let role = Role::named(press.text("role"));
    page::show(site, press.visit, move |site, visit| {
        let new = role.map(|role| invitation(site, role)).transpose()?;
        Ok(Screen::new("Devices", devices(site, visit, new)?))
    })
    .await
}

/// Takes one off.
pub(super) async fn off(State(site): State<Arc<Site>>, press: Press) -> Response {
    page::aside(move || {
        let id = press.number("device")?;
        let (doubts, back) = (own_device(&site, &press, id)?, "/devices");
        let ask = (doubts.as_slice(), "It shows nothing more then.", "YES, TAKE IT OFF");
        if let Some(question) = sure::asked(&site, &press, ("/devices/off", back), ask)? {
            return Ok(question);
        }
        site.write(|book| book.unpair(id))?;
        site.devices.set(site.look(|book| book.devices())?);
        Ok(reply::go("/devices"))
    })
    .await
}

/// What taking off this very device means, and what is to be done if no office is left.
fn own_device(site: &Site, press: &Press, id: i64) -> Result<Vec<String>, BookError> {
    let own = &press.visit.session.device;
    if own.id != id {
        return Ok(Vec::new());
    }
    let mut words = vec![format!("{} is the device in your hand", own.name)];
    let all = site.look(|book| book.devices())?;
    if !all.iter().any(|device| device.id != id && device.role == Role::Office) {
        words.push(
            "It is the last that is paired as office, and no other can pair one: an office is \
             paired again only on the computer that this page comes from, by ending its program \
             and starting it with pair office"
                .to_owned(),
        );
    }
    Ok(words)
}

fn devices(site: &Site, visit: &Visit, new: Option<Invitation>) -> Result<Markup, BookError> {
    let all = site.look(|book| book.devices())?;
    let own = visit.session.device.id;
    Ok(html! {
        h1 { "Devices" }
        @if let Some(new) = &new { (shown(new)) }
        div.scroll tabindex="0" { table {
            thead { tr { th { "Device" } th { "May" } th { "Since" } th { } } }
            tbody {
                @for device in &all {
                    tr {
                        td { (device.name) @if device.id == own { " (this one)" } }
                        td { (device.role.word()) }
                        td { (device.since.get(..10).unwrap_or_default()) }
                        td { (form(visit, "/devices/off", &html! {
                            input type="hidden" name="device" value=(device.id);
                            button { "TAKE OFF" span.unseen { " " (device.name) } }
                        })) }
                    }
                }
            }
        } }
        h2 { "Pair one more" }
        p { "Each code is good once, for half an hour." }
        div.keys {
            @for role in Role::ALL {
                (form(visit, "/devices/new", &html! {
                    input type="hidden" name="role" value=(role.word());
                    button { (role.word()) }
                }))
            }
        }
    })
}

fn shown(new: &Invitation) -> Markup {
    let drawn = new.square().map(|code| {
        let svg = code.render::<svg::Color>().min_dimensions(100, 100).quiet_zone(true).build();
        svg[svg.find("<svg").unwrap_or(0)..].to_owned()
    });
    html! {
        section.framed {
            h2 { "Pair a device as " (new.role.word()) }
            p { "Open " b { (new.address) } " on it and type" }
            p.code { (new.code) }
            @if let Some(drawn) = drawn {
                p { "or scan this with its camera:" }
                div.square { (PreEscaped(drawn)) }
            }
        }
    }
}
