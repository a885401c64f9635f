//! `longpoint serve`: the shop's page, from the book.

use std::io::Write;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener};
use std::path::PathBuf;
use std::sync::Arc;

use anyhow::Context;

use super::book::opened::{done, open_book};
use super::book::signed::BOOK;
use super::clock;
use super::exit::WrongInput;
use crate::book::Role;
use crate::web::{Invitation, Pace, Server};

/// What `longpoint serve` is told.
#[derive(Debug, clap::Args)]
pub struct ServeArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// Share it on the shop's network, at this address of this computer's; without it,
    /// the page is for this computer alone
    #[arg(long, value_name = "ADDRESS")]
    pub lan: Option<IpAddr>,
    /// The port to listen at
    #[arg(long, value_name = "N", default_value_t = PORT)]
    pub port: u16,
    /// The address through which others reach it, where a proxy stands before it, such as
    /// https://bench.example
    #[arg(long, value_name = "ADDRESS", value_parser = through)]
    pub through: Option<String>,
    /// Give codes to pair devices with: bench, counter, office, wall
    #[arg(long, value_name = "ROLE", value_parser = role)]
    pub pair: Vec<Role>,
}

/// The long point's port.
const PORT: u16 = 8017;

fn role(read: &str) -> Result<Role, String> {
    Role::named(read).ok_or_else(|| "say bench, counter, office or wall".to_owned())
}

fn through(read: &str) -> Result<String, String> {
    let host = read.strip_prefix("https://").or_else(|| read.strip_prefix("http://"));
    let plain = |host: &str| {
        let fits = |byte: u8| byte.is_ascii_alphanumeric() || b".-:[]".contains(&byte);
        !host.is_empty() && host.bytes().all(fits)
    };
    match host.is_some_and(plain) {
        true => Ok(read.to_ascii_lowercase()),
        false => Err("write it as https://bench.example, without a path".to_owned()),
    }
}

/// Serves the page until the program is ended.
///
/// # Errors
/// [`WrongInput`] if there is no such book or the address is not this computer's.
pub fn run(args: &ServeArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let book = open_book(&args.book)?;
    let first = done(book.devices())?.is_empty();
    let address = SocketAddr::new(args.lan.unwrap_or(Ipv4Addr::LOCALHOST.into()), args.port);
    if address.ip().is_unspecified() {
        let words = "--lan: say which address of this computer's others are to reach, not all";
        return Err(WrongInput(words.to_owned()).into());
    }
    let listener = TcpListener::bind(address).map_err(|error| {
        WrongInput(format!(
            "{address}: cannot be listened at: {error} (is it an address of this computer's, and \
             does nothing else listen there? --port chooses another port)"
        ))
    })?;
    let clock = Arc::new(|| clock::now().map_err(|error| format!("{error:#}")));
    let random = Arc::new(|bytes: &mut [u8]| {
        getrandom::fill(bytes).expect("the system gives random bytes");
    });
    let server =
        Server::new(book, (listener, args.through.clone()), Pace::default(), (clock, random));
    let server = done(server)?;
    // Without a port of its own the system chose one.
    let address = server.address().context("the page has no address")?;
    let roles: &[Role] = match args.pair.as_slice() {
        [] if first => &[Role::Office],
        some => some,
    };
    writeln!(out, "The page of {} is at http://{address}/", args.book.display())?;
    for role in roles {
        out.write_all(words(&done(server.invitation(*role))?).as_bytes())?;
    }
    writeln!(out, "It is there until this program is ended (ctrl-C).")?;
    out.flush()?;
    let (_stop, stopped) = server.stop();
    server.run(stopped).context("the page cannot be served")
}

fn words(of: &Invitation) -> String {
    format!(
        "\nTo pair a device as {}, within half an hour, open {}\nand type {}, or open {}\n{}\n",
        of.role.word(),
        of.address,
        of.code,
        of.link(),
        of.blocks()
    )
}
