//! Where this computer is reached from: its names and addresses (`interface` ranks them), who may
//! ask and send (`gate`), and the pages that bring a phone here.
//! Not here: asking the system for its addresses (`program`); people and their rights.

pub mod code;
mod connect;
mod drawn;
pub mod gate;
mod interface;
mod name;
mod qr;
mod told;

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::sync::Arc;

use super::site::Site;
use crate::science::access::Rule;
pub use drawn::Drawn;
pub use interface::{Interface, ranked};
pub use name::{Host, Name, NoName};
pub use told::{Moved, moved, remember};

/// What the system says of this computer.
pub trait Computer: Send + Sync {
    /// All its own addresses, asked for afresh: the router may give out another at any time.
    fn interfaces(&self) -> Vec<Interface>;

    /// The name it was given, such as "shed" or "shed.lan".
    fn host_name(&self) -> Option<String>;
}

/// A computer that knows only itself.
struct Alone;

impl Computer for Alone {
    fn interfaces(&self) -> Vec<Interface> {
        Vec::new()
    }

    fn host_name(&self) -> Option<String> {
        None
    }
}

/// Where Endpost listens, and under which names; cheap to clone.
#[derive(Clone)]
pub struct Reach {
    listening: SocketAddr,
    known_as: Arc<[Name]>,
    computer: Arc<dyn Computer>,
}

/// What can be typed into a browser to come here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ways {
    /// On this computer itself.
    pub here: Host,
    /// On a phone: names that were set first, then addresses, the likeliest first.
    pub phones: Vec<Host>,
    /// Addresses that containers, virtual machines and tunnels have, with whose they are.
    pub aside: Vec<(Host, String)>,
    /// "shed.local": not every phone knows such names.
    pub by_name: Option<Host>,
}

impl Ways {
    /// The one that phones are told, and that they keep their entries for.
    pub fn canonical(&self) -> &Host {
        let aside = self.aside.first().map(|(host, _)| host);
        self.phones.first().or(aside).unwrap_or(&self.here)
    }

    /// Whether anything but this computer itself can come here.
    pub fn lead_in(&self) -> bool {
        !self.canonical().name.is_loopback()
    }
}

impl Default for Reach {
    /// For what is not served at all.
    fn default() -> Self {
        Self::new((Ipv4Addr::LOCALHOST, 0).into(), Vec::new(), Arc::new(Alone))
    }
}

impl Reach {
    pub fn new(listening: SocketAddr, known_as: Vec<Name>, computer: Arc<dyn Computer>) -> Self {
        Self {
            listening,
            known_as: known_as.into(),
            computer,
        }
    }

    pub fn port(&self) -> u16 {
        self.listening.port()
    }

    /// Whether a name is this computer's, whatever the port.
    fn is_named(&self, name: &Name) -> bool {
        if name.is_loopback() || self.known_as.contains(name) {
            return true;
        }
        match name {
            Name::Digits(digits) => {
                let own = self.computer.interfaces();
                own.iter().any(|one| one.address == *digits)
            }
            Name::Word(word) => self.own_words().is_some_and(|words| words.contains(word)),
        }
    }

    /// "shed.lan", "shed" and "shed.local".
    fn own_words(&self) -> Option<[String; 3]> {
        let whole = self.computer.host_name()?;
        let whole = whole.trim_end_matches('.').to_ascii_lowercase();
        let first = whole.split('.').next().unwrap_or_default().to_owned();
        let local = format!("{first}.local");
        (first != "localhost").then_some([whole, first, local])
    }

    /// All that can be typed to come here, as it is now.
    pub fn ways(&self) -> Ways {
        let reachable = ranked(self.computer.interfaces())
            .into_iter()
            .filter(|one| self.listens_on(one.address));
        let (aside, cards): (Vec<Interface>, Vec<Interface>) =
            reachable.partition(Interface::is_aside);
        let cards = cards.iter().map(|one| Name::Digits(one.address));
        let phones = self.known_as.iter().cloned().chain(cards);
        Ways {
            here: self.here(),
            phones: phones.map(|name| self.at(name)).collect(),
            aside: aside
                .into_iter()
                .map(|one| (self.at(Name::Digits(one.address)), one.name))
                .collect(),
            by_name: self.by_name(),
        }
    }

    fn at(&self, name: Name) -> Host {
        Host {
            name,
            port: self.port(),
        }
    }

    fn here(&self) -> Host {
        let digits = match self.listening.ip() {
            IpAddr::V4(all) if all.is_unspecified() => Ipv4Addr::LOCALHOST.into(),
            IpAddr::V6(all) if all.is_unspecified() => Ipv6Addr::LOCALHOST.into(),
            one => one,
        };
        self.at(Name::Digits(digits))
    }

    /// Only where all addresses are listened on: elsewhere it may lead to one that is not.
    fn by_name(&self) -> Option<Host> {
        let [_, _, local] = self.own_words()?;
        let name = local.parse().ok()?;
        let is_new = !self.known_as.contains(&name);
        (is_new && self.listening.ip().is_unspecified()).then(|| self.at(name))
    }

    /// The whole of the sixth version takes in the fourth, but not on every system.
    fn listens_on(&self, address: IpAddr) -> bool {
        const BOTH: bool = !cfg!(any(windows, target_os = "openbsd"));
        match self.listening.ip() {
            IpAddr::V4(all) if all.is_unspecified() => address.is_ipv4(),
            IpAddr::V6(all) if all.is_unspecified() => BOTH || address.is_ipv6(),
            one => one == address,
        }
    }
}

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/qr", Rule::Anyone, qr::get)
        .get("/qr/sheet", Rule::Look, qr::sheet)
        .post("/qr/told", Rule::Keeper, told::post)
        .get("/help/connect", Rule::Anyone, connect::get)
}
