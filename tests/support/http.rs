//! A line to a server on this computer: one request and its answer, in plain HTTP.
#![allow(dead_code, reason = "each test file uses its own part of this")]

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::Duration;

/// What was answered.
#[derive(Debug, Clone)]
pub struct Reply {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: String,
}

impl Reply {
    /// What a header says; empty if it is not there.
    pub fn header(&self, name: &str) -> &str {
        let found = self.headers.iter().find(|(own, _)| own.eq_ignore_ascii_case(name));
        found.map_or("", |(_, value)| value)
    }

    /// The cookie that it sets, as it is sent back.
    pub fn cookie(&self) -> String {
        self.header("set-cookie").split(';').next().unwrap_or_default().to_owned()
    }
}

/// Sends bytes as they are, and reads what is answered until the line is closed.
pub fn send(address: SocketAddr, bytes: &[u8]) -> std::io::Result<Reply> {
    let mut line = TcpStream::connect(address)?;
    line.set_read_timeout(Some(Duration::from_secs(60)))?;
    // One that is refused early may close the line before all is written.
    let _ = line.write_all(bytes);
    let (mut answer, mut some) = (Vec::new(), [0; 0x4000]);
    while !is_whole(&answer) {
        match line.read(&mut some) {
            Ok(0) => break,
            Ok(read) => answer.extend_from_slice(&some[..read]),
            Err(error) if answer.is_empty() => return Err(error),
            Err(_) => break,
        }
    }
    parse(&answer)
}

/// Whether all of an answer is there that says how long it is.
fn is_whole(answer: &[u8]) -> bool {
    let Some(end) = head_of(answer) else { return false };
    let head = String::from_utf8_lossy(&answer[..end]).to_lowercase();
    let length = head.lines().find_map(|line| line.strip_prefix("content-length:"));
    let length = length.and_then(|length| length.trim().parse::<usize>().ok());
    length.is_some_and(|length| answer.len() >= end + 4 + length)
}

/// Where its head ends.
fn head_of(answer: &[u8]) -> Option<usize> {
    answer.windows(4).position(|four| four == b"\r\n\r\n")
}

/// An answer as it came over the line.
pub fn parse(answer: &[u8]) -> std::io::Result<Reply> {
    let odd = || std::io::Error::other(format!("no answer: {}", String::from_utf8_lossy(answer)));
    let end = head_of(answer).ok_or_else(odd)?;
    let head = String::from_utf8_lossy(&answer[..end]).into_owned();
    let mut lines = head.split("\r\n");
    let status = lines.next().and_then(|line| line.split(' ').nth(1)?.parse().ok());
    let headers: Vec<(String, String)> = lines
        .filter_map(|line| line.split_once(':'))
        .map(|(name, value)| (name.to_owned(), value.trim().to_owned()))
        .collect();
    let mut reply = Reply { status: status.ok_or_else(odd)?, headers, body: String::new() };
    let mut body = answer[end + 4..].to_vec();
    if reply.header("transfer-encoding") == "chunked" {
        body = joined(&body);
    }
    reply.body = String::from_utf8_lossy(&body).into_owned();
    Ok(reply)
}

/// A body without the lengths of its chunks.
fn joined(mut chunks: &[u8]) -> Vec<u8> {
    let mut body = Vec::new();
    while let Some(end) = chunks.windows(2).position(|two| two == b"\r\n") {
        let length = std::str::from_utf8(&chunks[..end]).unwrap_or_default();
        let Ok(length) = usize::from_str_radix(length.trim(), 16) else { break };
        let rest = &chunks[end + 2..];
        body.extend_from_slice(&rest[..length.min(rest.len())]);
        chunks = rest.get(length + 2..).unwrap_or_default();
    }
    body
}

/// A field as forms send it.
pub fn encoded(text: &str) -> String {
    let each = text.bytes().map(|byte| match byte.is_ascii_alphanumeric() {
        true => char::from(byte).to_string(),
        false => format!("%{byte:02X}"),
    });
    each.collect()
}

/// Fields as a form sends them.
pub fn form(fields: &[(&str, &str)]) -> String {
    let each = fields.iter().map(|(name, value)| format!("{name}={}", encoded(value)));
    each.collect::<Vec<_>>().join("&")
}

/// A form on a page: where it is sent, and what it carries by itself.
#[derive(Debug, Clone)]
pub struct PageForm {
    pub action: String,
    pub fields: Vec<(String, String)>,
    pub text: String,
}

/// The forms of a page that are posted.
pub fn forms(page: &str) -> Vec<PageForm> {
    let each = page.split("<form ").skip(1).map(|rest| &rest[..rest.find("</form>").unwrap()]);
    let posted = each.filter(|form| form.starts_with("method=\"post\""));
    let form = |text: &str| {
        let inputs = text.split("<input ").skip(1).map(|rest| &rest[..rest.find('>').unwrap()]);
        let hidden = inputs.filter(|input| input.contains("type=\"hidden\""));
        let fields = hidden.map(|input| (said(input, "name"), said(input, "value"))).collect();
        PageForm { action: said(text, "action"), fields, text: text.to_owned() }
    };
    posted.map(form).collect()
}

/// What an attribute says, in plain letters.
fn said(tag: &str, attribute: &str) -> String {
    let begins = format!("{attribute}=\"");
    let Some(at) = tag.find(&begins) else { return String::new() };
    let rest = &tag[at + begins.len()..];
    plain(&rest[..rest.find('"').unwrap()])
}

/// Text of a page without what was escaped in it.
pub fn plain(text: &str) -> String {
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}
