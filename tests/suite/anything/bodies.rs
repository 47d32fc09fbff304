//! Whatever bytes are posted as a form, to whatever address: a page of ours answers.
//! Not here: bodies with a name (`web::hostile`), texts in the fields of forms (`forms`).

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use reqwest::Method;

use super::draw::{hit, text};
use super::{Asked, no_fault};
use crate::web::addresses::{filled, ids_of};
use crate::web::hostile::posts;

const FORM: &str = "application/x-www-form-urlencoded";

/// Names that mean something to one form or another.
const NAMES: &str = "entry_id subject base form_version person card_code device seq keep more mistake \
    tap answer asked asking units from date time note rain low block instrument \
    brix_1_1 bag_1 reason settled as called role code then until what title zone \
    name block_name start";

fn name() -> impl Strategy<Value = &'static str> {
    select(NAMES.split_whitespace().collect::<Vec<_>>())
}

/// What scripts and buttons send and no hand types.
const SENT: [&str; 8] = [
    "01990000-0000-7000-8000-000000000001",
    "[]",
    "{}",
    "[{\"field\":\"rain\",\"typed\":\"\",\"read_as\":\"0.2\"}]",
    "[{\"field\":\"date\",\"typed\":\"x\",\"read_as\":\"2027-09-10\",\"key\":\"date|x|x\"}]",
    "fahrenheit pound foot",
    "paper",
    "-9223372036854775808",
];

fn named() -> impl Strategy<Value = Vec<u8>> {
    let value = prop_oneof![3 => text(), 2 => select(&SENT[..]).prop_map(str::to_owned)];
    vec((name(), value), 0..16).prop_map(|pairs| {
        let mut body = form_urlencoded::Serializer::new(String::new());
        body.extend_pairs(pairs);
        body.finish().into_bytes()
    })
}

fn body() -> impl Strategy<Value = Vec<u8>> {
    prop_oneof![
        4 => named(),
        2 => named().prop_flat_map(hit),
        2 => vec(any::<u8>(), 0..300),
        2 => "([a-z_0-9]{0,8}(=|&|%|%[0-9A-Fa-f]|%[0-9A-Fa-f]{2}|\\+)){0,20}".prop_map(String::into_bytes),
        1 => (1_usize..4000, select(&["a=1&", "&", "=", "%", "a_1=&"][..]))
            .prop_map(|(times, piece)| piece.repeat(times).into_bytes()),
    ]
}

#[test]
fn any_body_at_any_address_is_answered_with_a_page() {
    let asked = Asked::started();
    let paths = asked.runtime.block_on(posts(&asked.farm));
    let drawn = (any::<Index>(), body());
    asked.about(512, drawn, async |farm, (path, body)| {
        let path = path.get(&paths);
        let page = farm.ask(Method::POST, path, Some((FORM, body))).await;
        no_fault(&page)?;
        prop_assert!(
            page.status == 303 || !page.body.is_empty(),
            "{path}: {}",
            page.status
        );
        Ok(())
    });
    asked.ends_well();
}

#[test]
fn any_question_in_an_address_is_answered_with_a_page() {
    let asked = Asked::started();
    let [block, entry] = asked.runtime.block_on(ids_of(&asked.farm));
    let paths = [filled(&block), filled(&entry)].concat();
    let name =
        prop_oneof![3 => name(), 1 => select(&["q", "year", "at", "days", "hours", "now"][..])];
    let drawn = (any::<Index>(), vec((name, text()), 0..6));
    asked.about(256, drawn, async |farm, (path, pairs)| {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.extend_pairs(pairs);
        let mut query = query.finish();
        // Longer lines than this no browser sends.
        query.truncate(4000);
        let page = farm.get(&format!("{}?{query}", path.get(&paths))).await;
        no_fault(&page)
    });
    asked.ends_well();
}
