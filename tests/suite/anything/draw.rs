//! How texts, trees of JSON and bytes are drawn: some at random, most of them near to what is
//! right, since those get furthest. Not here: what is held of them.

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use serde_json::{Map, Value};

/// Pieces that typed texts are made of here, whatever the field.
const PIECES: &[&str] = &[
    "",
    " ",
    "\u{a0}",
    "\u{202f}",
    "\u{200b}",
    "\u{feff}",
    "\t",
    "0",
    "1",
    "7",
    "12",
    "99",
    "215",
    "999",
    "1000",
    "65536",
    "999999999999999",
    "18446744073709551616",
    "٢١",
    "۲۱",
    ".",
    ",",
    ", ",
    "/",
    "-",
    "\u{2212}",
    "+",
    "~",
    "≈",
    "<",
    ">",
    "%",
    "½",
    "¾",
    "'",
    "''",
    "\"",
    "’",
    "”",
    ":",
    "x",
    "×",
    "*",
    "h",
    "hours",
    "min",
    "m",
    "ft",
    "feet",
    "in",
    "in.",
    "kg",
    "lb",
    "#",
    "g",
    "g/L",
    "°",
    "°C",
    "°F",
    "deg",
    "degrees",
    "Brix",
    "pH",
    "mm",
    "gal",
    "L",
    "?",
    "e",
    "NaN",
    "inf",
    "A",
    "A1",
    "C4",
    "c47",
    "row",
    "rows",
    "panel",
    "panels",
    "vine",
    "post",
    "P",
    "p7",
    "wire",
    "F12",
    "G1",
    "all",
    "edge",
    "block",
    "to",
    "and",
    ";",
    "|",
    "2027-09-10",
    "2027",
    "09",
    "31",
    "24:00",
    "07:30",
    "23:59:60",
    "T",
    "Z",
    "yes",
    "K7Q2",
    "O",
    "I",
    "l",
    "U",
    "ß",
    "ſ",
    "İ",
    "ŉ",
    "Ǆ",
    "🍇",
    "e\u{301}",
    "\u{202e}",
    "\u{0}",
    "\r",
    "\n",
    "\r\n",
    "\u{85}",
    "\u{2028}",
    "\u{fffe}",
    "\u{10ffff}",
];

/// A text that somebody, or something, may have typed.
pub fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        6 => vec(select(PIECES), 0..8).prop_map(|pieces| pieces.concat()),
        2 => "[0-9 .,/'\"~<>+x:hm°%-]{0,20}",
        2 => "\\PC{0,40}",
        1 => vec(any::<char>(), 0..40).prop_map(String::from_iter),
        1 => (select(PIECES), 1_usize..2000).prop_map(|(piece, times)| piece.repeat(times)),
    ]
}

/// A text as a page can hold it and a browser sends it: line ends are CR LF, and a NUL is none.
pub fn line_of_a_page() -> impl Strategy<Value = String> {
    text().prop_map(|text| text.replace(['\0', '\r', '\n'], " "))
}

/// The same for a field with several lines.
pub fn lines_of_a_page() -> impl Strategy<Value = String> {
    text().prop_map(|text| text.replace(['\0', '\r'], "\n").replace('\n', "\r\n"))
}

/// Any tree of JSON, not too large.
pub fn tree() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<u64>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        select(&[0.0, -1.0, 0.5, 1e-308, 1e300, 1e9, 4294967295.0][..]).prop_map(Value::from),
        text().prop_map(Value::from),
    ];
    leaf.prop_recursive(4, 24, 5, |inner| {
        prop_oneof![
            vec(inner.clone(), 0..5).prop_map(Value::from),
            vec((text(), inner), 0..5).prop_map(|pairs| Value::from(Map::from_iter(pairs))),
        ]
    })
}

/// What is done to a tree that is right.
#[derive(Clone, Debug)]
pub enum Slip {
    /// What stands in a place becomes something else.
    Put(prop::sample::Index, Value),
    /// It is left out.
    Drop(prop::sample::Index),
    /// One place takes what stands in another.
    Move(prop::sample::Index, prop::sample::Index),
}

pub fn slip() -> impl Strategy<Value = Slip> {
    prop_oneof![
        4 => (any::<prop::sample::Index>(), tree()).prop_map(|(at, tree)| Slip::Put(at, tree)),
        2 => any::<prop::sample::Index>().prop_map(Slip::Drop),
        1 => any::<(prop::sample::Index, prop::sample::Index)>()
            .prop_map(|(from, to)| Slip::Move(from, to)),
    ]
}

/// The paths to all that stands in a tree, but for the tree itself.
fn places(tree: &Value, before: &str, found: &mut Vec<String>) {
    let mut into = |name: &str, value: &Value| {
        let path = format!("{before}/{}", name.replace('~', "~0").replace('/', "~1"));
        found.push(path.clone());
        places(value, &path, found);
    };
    match tree {
        Value::Object(object) => object.iter().for_each(|(name, value)| into(name, value)),
        Value::Array(list) => (0..)
            .zip(list)
            .for_each(|(at, value): (usize, _)| into(&at.to_string(), value)),
        _ => {}
    }
}

impl Slip {
    pub fn into(&self, tree: &mut Value) {
        let mut found = Vec::new();
        places(tree, "", &mut found);
        if found.is_empty() {
            return;
        }
        match self {
            Self::Put(at, other) => put(tree, at.get::<String>(&found), other.clone()),
            Self::Move(from, to) => {
                let moved = tree
                    .pointer(from.get::<String>(&found))
                    .cloned()
                    .unwrap_or_default();
                put(tree, to.get::<String>(&found), moved);
            }
            Self::Drop(at) => {
                let path = at.get::<String>(&found);
                let (before, name) = path.rsplit_once('/').expect("a path");
                match tree.pointer_mut(before) {
                    Some(Value::Object(object)) => {
                        object.remove(&name.replace("~1", "/").replace("~0", "~"));
                    }
                    Some(Value::Array(list)) => {
                        list.remove(name.parse().expect("a place in a list"));
                    }
                    _ => {}
                }
            }
        }
    }
}

fn put(tree: &mut Value, path: &str, other: Value) {
    if let Some(place) = tree.pointer_mut(path) {
        *place = other;
    }
}

/// Bytes of a text that was cut, joined, or hit on its way.
pub fn hit(text: Vec<u8>) -> impl Strategy<Value = Vec<u8>> {
    let blow = (
        any::<prop::sample::Index>(),
        vec(any::<u8>(), 0..6),
        0_usize..12,
    );
    (Just(text), vec(blow, 0..4)).prop_map(|(mut bytes, blows)| {
        for (at, new, gone) in blows {
            let at = at.index(bytes.len() + 1);
            let end = (at + gone).min(bytes.len());
            bytes.splice(at..end, new);
        }
        bytes
    })
}
