//! What a guess costs: codes that die, tries that wait, answers that tell nothing, and how a
//! passphrase is kept. Check values: RFC 9106 names Argon2id and its version 1.3 (memory); OWASP's
//! Password Storage Cheat Sheet has 19 MiB, two passes, one lane (memory).

use chrono::{DateTime, TimeDelta, Utc};
use endpost::science::access::{PhoneCode, Role, Tries};
use endpost::store::Keys;
use endpost::web::access::{Doorkeeper, Place, Waiting, hashing};
use proptest::prelude::*;

use crate::support::caller::{Caller, PASSPHRASE};
use crate::support::entries::id;
use crate::support::farm::{Farm, MORNING, moment};

fn now() -> DateTime<Utc> {
    moment(MORNING)
}

fn handed_out(code: PhoneCode) -> Doorkeeper {
    let doorkeeper = Doorkeeper::default();
    doorkeeper.hand_out(Waiting::new(id(1), code, Role::Helper, None, now()), now());
    doorkeeper
}

fn code(text: &str) -> PhoneCode {
    text.parse().expect("a code")
}

#[test]
fn a_code_works_once() {
    let doorkeeper = handed_out(code("K7Q2-9XRD"));
    assert!(doorkeeper.use_up(code("K7Q2-9XRD"), now()).is_some());
    assert!(doorkeeper.use_up(code("K7Q2-9XRD"), now()).is_none());
}

#[test]
fn a_code_works_for_ten_minutes() {
    let almost = now() + TimeDelta::seconds(599);
    let over = now() + TimeDelta::seconds(600);
    let doorkeeper = handed_out(code("K7Q2-9XRD"));
    assert!(doorkeeper.use_up(code("K7Q2-9XRD"), over).is_none());
    let set_back = now() - TimeDelta::days(1);
    assert!(doorkeeper.use_up(code("K7Q2-9XRD"), set_back).is_none());
    assert!(doorkeeper.use_up(code("K7Q2-9XRD"), almost).is_some());
}

#[test]
fn five_wrong_guesses_end_a_code_and_no_other() {
    let doorkeeper = handed_out(code("K7Q2-9XRD"));
    let other = Waiting::new(id(2), code("W000-0000"), Role::Looker, None, now());
    doorkeeper.hand_out(other, now());
    for guess in [
        "K7Q2-0000",
        "K7Q2-0001",
        "K7Q2-0002",
        "K7Q2-0003",
        "K7Q2-0004",
    ] {
        assert!(doorkeeper.use_up(code(guess), now()).is_none());
    }
    assert!(doorkeeper.use_up(code("K7Q2-9XRD"), now()).is_none());
    assert!(doorkeeper.use_up(code("W000-0000"), now()).is_some());
}

#[test]
fn a_passphrase_that_can_not_be_read_opens_the_door_to_nobody_from_the_network() {
    let mut keys = Keys::default();
    let open = Doorkeeper::open_to_all();
    assert_eq!(open.lets_in(&keys, false), Some(Role::Keeper));
    assert!(open.lets_all_in(&keys));
    keys.unreadable = true;
    assert_eq!(open.lets_in(&keys, false), None);
    assert!(!open.lets_all_in(&keys));
    assert_eq!(
        open.lets_in(&keys, true),
        Some(Role::Helper),
        "whoever sits at the computer looks and enters, and is not the keeper for it"
    );
}

#[test]
fn many_places_can_neither_fill_the_memory_nor_escape() {
    let doorkeeper = Doorkeeper::default();
    for number in 0..10_000_u32 {
        let place = Place::of(std::net::Ipv4Addr::from(0x0a00_0000 + number).into());
        doorkeeper.wrong(&[place], now());
    }
    // All who came too late share one account, which waits by now.
    let fresh = Place::of("10.200.0.1".parse().unwrap());
    assert!(doorkeeper.wait(&[fresh], now()).is_some());
    // After an hour all is forgotten.
    let later = now() + TimeDelta::hours(2);
    assert!(doorkeeper.wait(&[fresh], later).is_none());
}

#[test]
fn a_network_of_the_sixth_version_is_one_place() {
    let of = |text: &str| Place::of(text.parse().unwrap());
    assert_eq!(of("2001:db8:2:3:aaaa::1"), of("2001:db8:2:3:bbbb::2"));
    assert_ne!(of("2001:db8:2:3::1"), of("2001:db8:2:4::1"));
    // All phones of the farm share these.
    assert_ne!(of("fe80::1"), of("fe80::2"));
    assert_ne!(of("fd00:1:2:3::1"), of("fd00:1:2:3::2"));
    assert_eq!(of("::ffff:192.168.1.9"), of("192.168.1.9"));
}

proptest! {
    #[test]
    fn more_wrong_tries_never_wait_less_and_never_more_than_a_minute(tries in 0..40_u32) {
        let mut one = Tries::default();
        let mut before = TimeDelta::zero();
        for _ in 0..tries {
            one.wrong(now());
            let wait = one.wait(now()).unwrap_or_default();
            prop_assert!(wait >= before && wait <= TimeDelta::seconds(60));
            before = wait;
        }
        prop_assert_eq!(one.wait(now()).is_some(), tries >= 5);
        prop_assert!(one.wait(now() + TimeDelta::seconds(61)).is_none());
    }

    #[test]
    fn a_code_reads_as_it_is_written(number in any::<u64>()) {
        let one = PhoneCode::of(number);
        prop_assert!(one.to_string().parse() == Ok(one));
        prop_assert!(one.in_one().to_lowercase().parse() == Ok(one));
        prop_assert_eq!(format!("{one:?}"), "PhoneCode");
    }

    #[test]
    fn no_text_is_more_than_a_slip(text in ".{0,40}") {
        // Reading it must end; what it is does not matter.
        let read: Result<PhoneCode, _> = text.parse();
        prop_assert!(read.is_ok() || read.is_err_and(|slip| !slip.to_string().is_empty()));
    }
}

#[test]
fn a_passphrase_is_kept_as_argon2id_with_a_salt_of_its_own() {
    let hash = hashing::hash(PASSPHRASE).unwrap();
    assert!(
        hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
        "{hash}"
    );
    assert_ne!(hash, hashing::hash(PASSPHRASE).unwrap());
    assert!(!hash.contains("larch"));
    assert!(hashing::matches(PASSPHRASE, &hash).unwrap());
    assert!(!hashing::matches("larch gate seven bucket", &hash).unwrap());
}

#[tokio::test]
async fn the_sixth_wrong_code_waits_and_so_does_the_right_one() {
    let farm = Farm::guarded().await;
    let good = farm.code_for("helper").await;
    let phone = Caller::on_the_wifi(&farm);
    let first = good.split('-').next().unwrap();
    let mut answers = Vec::new();
    for last in ["0000", "0001", "0002", "0003", "0004"] {
        let wrong = format!("{first}-{last}");
        let page = phone.post("/pair", &[("code", &wrong)]).await;
        assert_eq!(page.status, 422);
        assert!(page.cookie("ep_s").is_none());
        answers.push(page.body.replace(&wrong, ""));
    }
    let page = phone.post("/pair", &[("code", &good)]).await;
    assert_eq!(page.status, 429, "{}", page.text());
    let wait: u64 = page.header("retry-after").parse().unwrap();
    assert!((1..=2).contains(&wait), "{wait}");
    page.says("Too many wrong tries.");
    assert!(page.cookie("ep_s").is_none());
    farm.close().await;
}

#[tokio::test]
async fn a_wrong_a_used_and_an_unknown_code_are_told_the_same() {
    let farm = Farm::guarded().await;
    let used = farm.code_for("helper").await;
    let phone = Caller::on_the_wifi(&farm);
    phone
        .post("/pair", &[("code", &used), ("then", "/")])
        .await
        .sent_to("/");
    let out = farm.code_for("helper").await;
    let near = format!("{}-0000", out.split('-').next().unwrap());
    let stranger = Caller::on_the_wifi(&farm);
    let mut told = Vec::new();
    for code in [used.as_str(), near.as_str(), "0000-0000"] {
        let page = stranger.post("/pair", &[("code", code)]).await;
        told.push((page.status, without_the_hour(&page.body).replace(code, "")));
    }
    assert_eq!(told[0], told[1]);
    assert_eq!(told[1], told[2]);
    farm.close().await;
}

/// A page without the moment that it was drawn at.
pub fn without_the_hour(body: &str) -> String {
    let (before, after) = body.split_once("data-drawn=\"").expect("a page");
    format!(
        "{before}{}",
        after.trim_start_matches(|sign: char| sign.is_ascii_digit())
    )
}

#[tokio::test]
async fn wrong_passphrases_wait_too() {
    let farm = Farm::guarded().await;
    let here = Caller::at_the_house(&farm);
    for _ in 0..5 {
        let page = here
            .post("/login", &[("passphrase", "a guess at it")])
            .await;
        assert_eq!(page.status, 422);
        page.says("This is not the passphrase.");
        assert!(
            !page.body.contains("a guess at it"),
            "a passphrase is never drawn again"
        );
    }
    let page = here.post("/login", &[("passphrase", PASSPHRASE)]).await;
    assert_eq!(page.status, 429);
    farm.close().await;
}
