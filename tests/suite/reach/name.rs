//! Names and ports as browsers write them, read so that they can be compared.

use endpost::web::reach::{Host, Name};

fn read(text: &str) -> Option<String> {
    text.parse::<Host>().ok().map(|host| host.to_string())
}

#[test]
fn hosts_are_read_and_written_alike() {
    for (text, same) in [
        ("192.168.1.20:8087", "192.168.1.20:8087"),
        ("192.168.1.20", "192.168.1.20"),
        ("192.168.1.20:80", "192.168.1.20"),
        ("SHED.Local:8087", "shed.local:8087"),
        ("shed.local.:8087", "shed.local:8087"),
        ("[::1]:8087", "[::1]:8087"),
        ("[0:0:0:0:0:0:0:1]", "[::1]"),
        ("[FD00::A]:8087", "[fd00::a]:8087"),
        ("[::ffff:192.168.1.20]:8087", "192.168.1.20:8087"),
    ] {
        assert_eq!(read(text).as_deref(), Some(same), "{text}");
    }
}

#[test]
fn what_is_no_host_is_not_read() {
    for text in [
        "",
        ":8087",
        ".:8087",
        "shed:",
        "shed:+80",
        "shed:65536",
        "shed:80:87",
        "::1",
        "fd00::a:8087",
        "[::1",
        "[shed]:8087",
        "[192.168.1.20]:8087",
        "me@shed:8087",
        "shed/x:8087",
        "shed lan:8087",
        "192.168.1.20:8087, shed:8087",
        "m\u{fc}hle:8087",
    ] {
        assert_eq!(read(text), None, "{text}");
    }
}

#[test]
fn a_name_alone_may_be_an_address_without_brackets() {
    for (text, same) in [
        ("Shed", "shed"),
        ("fd00::a", "[fd00::a]"),
        ("[fd00::a]", "[fd00::a]"),
        ("192.168.1.20", "192.168.1.20"),
    ] {
        let name: Name = text.parse().unwrap();
        assert_eq!(name.to_string(), same);
    }
    for text in ["http://shed", "shed:8087", "shed/", ""] {
        assert!(text.parse::<Name>().is_err(), "{text}");
    }
}
