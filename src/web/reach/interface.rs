//! The computer's own addresses, the one that phones can most likely open first.
//! Not here: asking the system for them (`program`).

use std::cmp::Reverse;
use std::net::{IpAddr, Ipv4Addr};

/// An address of this computer and what the system calls the card or tunnel that has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Interface {
    pub name: String,
    pub address: IpAddr,
}

/// How names begin that stand for containers, virtual machines and tunnels.
const ASIDE: [&str; 22] = [
    "docker", "veth", "br-", "virbr", "vmnet", "vboxnet", "vnet", "lxc", "lxdbr", "podman", "cni",
    "flannel", "cali", "tun", "tap", "utun", "wg", "ppp", "ipsec", "zt", "awdl", "llw",
];
/// What such names have somewhere where the system names things in words.
const ASIDE_WORDS: [&str; 8] = [
    "vethernet",
    "virtualbox",
    "vmware",
    "hyper-v",
    "wsl",
    "vpn",
    "tailscale",
    "zerotier",
];
/// How names of cards begin: Ethernet and Wi-Fi.
const CARDS: [&str; 5] = ["en", "eth", "wl", "wi-fi", "local area connection"];

impl Interface {
    pub fn new(name: &str, address: IpAddr) -> Self {
        Self {
            name: name.to_owned(),
            address: address.to_canonical(),
        }
    }

    /// Whether it leads into this computer itself or into a tunnel, and not to the farm's Wi-Fi.
    pub fn is_aside(&self) -> bool {
        let name = self.name.to_lowercase();
        ASIDE.iter().any(|begins| name.starts_with(begins))
            || ASIDE_WORDS.iter().any(|word| name.contains(word))
    }

    fn looks_like_a_card(&self) -> bool {
        let name = self.name.to_lowercase();
        CARDS.iter().any(|begins| name.starts_with(begins))
    }

    /// Whether another computer's browser can open it at all: addresses that need the name of the
    /// asking computer's card with them can't be typed.
    fn can_be_typed(&self) -> bool {
        let only_beside_a_card =
            matches!(self.address, IpAddr::V6(address) if address.is_unicast_link_local());
        !self.address.is_loopback() && !self.address.is_unspecified() && !only_beside_a_card
    }
}

/// Those that can be typed, the likeliest first: cards before tunnels, the ranges that routers
/// give out before others, and in the same order at every start.
pub fn ranked(mut interfaces: Vec<Interface>) -> Vec<Interface> {
    interfaces.retain(Interface::can_be_typed);
    interfaces.sort_by_cached_key(|one| {
        (
            one.is_aside(),
            range(one.address),
            Reverse(one.looks_like_a_card()),
            one.name.clone(),
            one.address,
        )
    });
    interfaces
}

fn range(address: IpAddr) -> u8 {
    match address {
        IpAddr::V4(address) if address.is_private() => 0,
        IpAddr::V4(address) if address.is_link_local() => 3,
        IpAddr::V4(address) if is_shared(address) => 2,
        IpAddr::V4(_) => 1,
        IpAddr::V6(address) if address.is_unique_local() => 4,
        IpAddr::V6(_) => 5,
    }
}

/// 100.64.0.0/10, which providers and some tunnels use (RFC 6598).
fn is_shared(address: Ipv4Addr) -> bool {
    let [first, second, ..] = address.octets();
    first == 100 && second & 0b1100_0000 == 64
}
