//! The names a browser may ask for this computer by, read so that they can be compared.
//! Not here: which of them are ours (`mod`).

use std::fmt;
use std::net::{IpAddr, Ipv6Addr};
use std::str::FromStr;

const PORT_OF_HTTP: u16 = 80;

/// What stands before the port: an address in digits, or a word.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Name {
    Digits(IpAddr),
    /// In small letters, without the full stop that may end it.
    Word(String),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "write a name such as \"farm.lan\" or an address such as \"192.168.1.20\", without http://"
)]
pub struct NoName;

impl FromStr for Name {
    type Err = NoName;

    fn from_str(text: &str) -> Result<Self, NoName> {
        let inner = text
            .strip_prefix('[')
            .and_then(|rest| rest.strip_suffix(']'));
        let digits = match inner {
            Some(inner) => Some(IpAddr::V6(inner.parse().map_err(|_| NoName)?)),
            None => text.parse().ok(),
        };
        if let Some(digits) = digits {
            return Ok(Self::Digits(digits.to_canonical()));
        }
        let word = text.strip_suffix('.').unwrap_or(text).to_ascii_lowercase();
        let plain = |letter: char| letter.is_ascii_alphanumeric() || "-_.".contains(letter);
        match !word.is_empty() && word.chars().all(plain) {
            true => Ok(Self::Word(word)),
            false => Err(NoName),
        }
    }
}

impl fmt::Display for Name {
    /// As it stands in an address: the sixth version between brackets.
    fn fmt(&self, out: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Self::Digits(IpAddr::V6(digits)) => write!(out, "[{digits}]"),
            Self::Digits(digits) => write!(out, "{digits}"),
            Self::Word(word) => out.write_str(word),
        }
    }
}

impl From<IpAddr> for Name {
    fn from(digits: IpAddr) -> Self {
        Self::Digits(digits)
    }
}

/// A name and a port: what the header `Host` holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Host {
    pub name: Name,
    pub port: u16,
}

impl FromStr for Host {
    type Err = NoName;

    fn from_str(text: &str) -> Result<Self, NoName> {
        let (name, port) = match text.rsplit_once(':') {
            Some((name, port)) if !port.ends_with(']') => (name, read_port(port)?),
            _ => (text, PORT_OF_HTTP),
        };
        // Without brackets the last part of such an address could be a port.
        if name.parse::<Ipv6Addr>().is_ok() {
            return Err(NoName);
        }
        Ok(Self {
            name: name.parse()?,
            port,
        })
    }
}

/// Digits alone: Rust itself would take "+80".
fn read_port(text: &str) -> Result<u16, NoName> {
    match text.bytes().all(|letter| letter.is_ascii_digit()) {
        true => text.parse().map_err(|_| NoName),
        false => Err(NoName),
    }
}

impl fmt::Display for Host {
    fn fmt(&self, out: &mut fmt::Formatter) -> fmt::Result {
        match self.port {
            PORT_OF_HTTP => write!(out, "{}", self.name),
            port => write!(out, "{}:{port}", self.name),
        }
    }
}

impl Host {
    /// "http://192.168.1.20:8087/", as it is typed into a browser.
    pub fn url(&self) -> String {
        format!("http://{self}/")
    }
}
