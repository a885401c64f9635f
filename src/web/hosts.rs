//! Under which names the page is asked for, and by whom a form may be sent.
//!
//! # Why
//!
//! A page of somebody else's that is open in the same browser can send it anywhere, this
//! shop's page too, and can have its own name lead to this computer. So only the names
//! that this server was given are answered, and a form is taken only from a page of its
//! own.

/// The names, with their ports, such as `127.0.0.1:8017`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hosts {
    own: Vec<String>,
    /// The address through which others reach it, such as `https://bench.shop.example`,
    /// where something stands between.
    through: Option<String>,
}

impl Hosts {
    /// A server that listens on this address, and is reached through another.
    pub fn new(address: std::net::SocketAddr, through: Option<String>) -> Hosts {
        let mut own = vec![address.to_string()];
        if address.ip().is_loopback() {
            own.push(format!("localhost:{}", address.port()));
        }
        if address.port() == 80 {
            // Where it is the usual one, browsers leave the port out.
            let plain: Vec<String> =
                own.iter().map(|own| own.trim_end_matches(":80").to_owned()).collect();
            own.extend(plain);
        }
        if let Some(host) = through.as_deref().and_then(host_of) {
            own.push(host.to_owned());
        }
        Hosts { own, through }
    }

    /// The address to give to others, without a path.
    pub fn address(&self) -> String {
        self.through.clone().unwrap_or_else(|| format!("http://{}", self.own[0]))
    }

    /// Whether what is sent between is kept from others, so that a cookie may say so.
    pub fn is_private(&self) -> bool {
        self.through.as_ref().is_some_and(|through| through.starts_with("https://"))
    }

    /// Whether others reach it through something, from whose address they all come.
    pub fn has_something_between(&self) -> bool {
        self.through.is_some()
    }

    /// Whether it is a name of this server.
    pub fn knows(&self, host: &str) -> bool {
        self.own.iter().any(|own| own.eq_ignore_ascii_case(host))
    }

    /// Whether a page from there is one of this server's.
    pub fn owns(&self, origin: &str) -> bool {
        host_of(origin).is_some_and(|host| self.knows(host))
    }
}

/// The host of an address without a path.
fn host_of(origin: &str) -> Option<&str> {
    let host = origin.strip_prefix("http://").or_else(|| origin.strip_prefix("https://"))?;
    (!host.is_empty() && !host.contains(['/', '@', ' '])).then_some(host)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_its_own_names_are_known() {
        let hosts = Hosts::new(([127, 0, 0, 1], 8017).into(), Some("https://bench.example".into()));
        for own in ["127.0.0.1:8017", "localhost:8017", "bench.example", "BENCH.example"] {
            assert!(hosts.knows(own), "{own}");
            assert!(hosts.owns(&format!("http://{own}")), "{own}");
        }
        for other in ["", "127.0.0.1", "127.0.0.1:80", "evil.example", "bench.example.evil:1"] {
            assert!(!hosts.knows(other), "{other}");
            assert!(!hosts.owns(&format!("http://{other}")), "{other}");
        }
        for odd in [
            "null",
            "",
            "ftp://localhost:8017",
            "http://localhost:8017/x",
            "http://a@localhost:8017",
        ] {
            assert!(!hosts.owns(odd), "{odd}");
        }
        assert!(hosts.is_private());
        let lan = Hosts::new(([192, 168, 1, 4], 80).into(), None);
        assert!(lan.knows("192.168.1.4") && lan.knows("192.168.1.4:80"));
        assert!(!lan.knows("localhost:80") && !lan.knows("localhost"));
    }
}
