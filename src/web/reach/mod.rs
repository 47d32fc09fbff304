//! Where this computer is reached from: its names, and who may ask and send (`gate`).
//! Not here: asking the system for its addresses (`program`); people and their rights.

pub mod gate;
mod name;

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::Arc;

pub use name::{Host, Name, NoName};

/// What the system says of this computer.
pub trait Computer: Send + Sync {
    /// All its own addresses, asked for afresh: the router may give out another at any time.
    fn addresses(&self) -> Vec<IpAddr>;

    /// The name it was given, such as "shed" or "shed.lan".
    fn host_name(&self) -> Option<String>;
}

/// A computer that knows only itself.
struct Alone;

impl Computer for Alone {
    fn addresses(&self) -> Vec<IpAddr> {
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
        if self.known_as.contains(name) {
            return true;
        }
        match name {
            Name::Digits(digits) => {
                digits.is_loopback() || self.computer.addresses().contains(digits)
            }
            Name::Word(word) => word == "localhost" || self.own_words().contains(word),
        }
    }

    /// "shed.lan", "shed" and "shed.local".
    fn own_words(&self) -> Vec<String> {
        let Some(whole) = self.computer.host_name() else {
            return Vec::new();
        };
        let whole = whole.trim_end_matches('.').to_ascii_lowercase();
        let first = whole.split('.').next().unwrap_or_default().to_owned();
        let local = format!("{first}.local");
        vec![whole, first, local]
    }

    /// The one address to tell.
    pub fn canonical(&self) -> Host {
        let name = self.known_as.first().cloned().unwrap_or_else(|| {
            match self.listening.ip().is_unspecified() {
                true => Name::Word("localhost".to_owned()),
                false => self.listening.ip().into(),
            }
        });
        Host {
            name,
            port: self.port(),
        }
    }
}
