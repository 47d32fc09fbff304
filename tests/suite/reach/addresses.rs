//! Which addresses can be typed, and which comes first.

use endpost::web::reach::{Host, Ways, ranked};

use super::shed::{Made, interfaces, reach};

/// Cards with their addresses as the system may list them, in the order in which they are told.
type Told<'a> = &'a [(&'a str, &'a str)];

const ORDERS: [Told; 8] = [
    // A laptop with containers and a virtual machine.
    &[
        ("wlp3s0", "192.168.1.20"),
        ("br-5f2a6c1d9e3b", "172.18.0.1"),
        ("docker0", "172.17.0.1"),
        ("virbr0", "192.168.122.1"),
    ],
    // A small board computer with a tunnel.
    &[
        ("eth0", "10.0.0.5"),
        ("wlan0", "10.0.1.5"),
        ("wg0", "10.8.0.1"),
    ],
    // Windows names things in words.
    &[
        ("Ethernet", "192.168.1.20"),
        ("Wi-Fi", "192.168.1.21"),
        ("VirtualBox Host-Only Network", "192.168.56.1"),
        ("vEthernet (WSL (Hyper-V firewall))", "172.24.16.1"),
    ],
    // A Mac: a tunnel is there even without a VPN.
    &[("en0", "192.168.1.20"), ("utun4", "10.64.0.2")],
    // A card that got no address from a router, one with an address of the provider.
    &[
        ("eth1", "192.168.1.20"),
        ("eth2", "203.0.113.5"),
        ("eth3", "100.72.1.1"),
        ("eth0", "169.254.7.7"),
    ],
    // The sixth version comes after the fourth, the farm's own range first.
    &[
        ("wlan0", "192.168.1.20"),
        ("eth0", "fd00::a"),
        ("eth0", "2001:db8::a"),
        ("tailscale0", "100.101.102.103"),
        ("zt7nnig26", "fd80::1"),
    ],
    // A bridge of the farm's own is as good as a card, but a card comes before it.
    &[("enp1s0", "192.168.1.20"), ("br0", "192.168.1.19")],
    // Where nothing else is there, the tunnel is told all the same.
    &[("tun0", "10.8.0.2")],
];

#[test]
fn cards_come_before_containers_and_tunnels() {
    for order in ORDERS {
        let wanted = interfaces(order);
        let mut other_way = wanted.clone();
        other_way.reverse();
        assert_eq!(ranked(other_way), wanted);
        assert_eq!(ranked(wanted.clone()), wanted);
    }
}

#[test]
fn what_no_phone_can_type_is_left_out() {
    let none = interfaces(&[
        ("lo", "127.0.0.1"),
        ("lo", "::1"),
        ("wlan0", "fe80::1"),
        ("eth0", "0.0.0.0"),
        ("eth0", "::"),
    ]);
    assert_eq!(ranked(none), []);
}

fn laptop() -> std::sync::Arc<Made> {
    Made::with(&[
        ("lo", "127.0.0.1"),
        ("docker0", "172.17.0.1"),
        ("eth0", "192.168.1.20"),
        ("eth0", "fd00::a"),
    ])
}

fn ways(listening: &str, known_as: &[&str]) -> Ways {
    reach(listening, known_as, laptop()).ways()
}

fn urls(hosts: &[Host]) -> Vec<String> {
    hosts.iter().map(Host::url).collect()
}

#[test]
fn only_what_is_listened_on_is_told() {
    for (listening, phones, aside, by_name) in [
        ("127.0.0.1:8087", &[][..], 0, None),
        ("[::1]:8087", &[], 0, None),
        ("192.168.1.20:8087", &["http://192.168.1.20:8087/"], 0, None),
        (
            "0.0.0.0:80",
            &["http://192.168.1.20/"],
            1,
            Some("http://shed.local/"),
        ),
        (
            "[::]:8087",
            &["http://192.168.1.20:8087/", "http://[fd00::a]:8087/"],
            1,
            Some("http://shed.local:8087/"),
        ),
    ] {
        let ways = ways(listening, &[]);
        assert_eq!(urls(&ways.phones), phones, "{listening}");
        assert_eq!(ways.aside.len(), aside, "{listening}");
        let named = ways.by_name.as_ref().map(Host::url);
        assert_eq!(named.as_deref(), by_name, "{listening}");
        assert_eq!(ways.lead_in(), !phones.is_empty(), "{listening}");
    }
}

#[test]
fn the_first_name_set_by_hand_is_the_one_that_is_told() {
    for (listening, known_as, canonical) in [
        ("0.0.0.0:8087", &[][..], "http://192.168.1.20:8087/"),
        ("0.0.0.0:8087", &["farm.lan"], "http://farm.lan:8087/"),
        (
            "0.0.0.0:8087",
            &["192.168.1.99", "farm.lan"],
            "http://192.168.1.99:8087/",
        ),
        ("127.0.0.1:8087", &["farm.lan"], "http://farm.lan:8087/"),
        ("127.0.0.1:8087", &[], "http://127.0.0.1:8087/"),
        ("[::]:8087", &["shed.local"], "http://shed.local:8087/"),
    ] {
        let ways = ways(listening, known_as);
        assert_eq!(
            ways.canonical().url(),
            canonical,
            "{listening} {known_as:?}"
        );
    }
    let by_hand = ways("0.0.0.0:8087", &["shed.local"]);
    assert_eq!(by_hand.by_name, None, "it is told once");
}

#[test]
fn a_tunnel_is_told_where_nothing_else_is_there() {
    let computer = Made::with(&[("tun0", "10.8.0.2")]);
    let ways = reach("0.0.0.0:8087", &[], computer).ways();
    assert_eq!(ways.canonical().url(), "http://10.8.0.2:8087/");
    assert!(ways.lead_in());
}
