//! The fields of a page that are not the keeper's: which entry this is, what was asked already,
//! which button was pressed. They are taken off before the rest is read.
//! Not here: the meaning of the typed fields.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::science::units::{LengthUnit, MassUnit, TemperatureUnit, Units};
use crate::store::ledger::Fields;

/// A typed text that the keeper agreed to read as another.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Answer {
    pub field: String,
    pub typed: String,
    pub read_as: String,
    /// The key of the question it answers; none where something wrong was mended by a tap.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub key: Option<String>,
}

impl Answer {
    /// As one button's value.
    pub fn packed(answers: &[Self]) -> String {
        serde_json::to_string(answers).unwrap_or_default()
    }

    pub(super) fn unpacked(text: &str) -> Vec<Self> {
        serde_json::from_str(text).unwrap_or_default()
    }
}

/// Name of the kept field that holds what the keeper agreed to.
pub const ANSWER: &str = "answer";
/// Name of the kept field that holds what was asked once and is not asked again.
pub const ASKED: &str = "asked";
/// What the page is asking now. A plain save settles it; tapping one answer, asking for more
/// lines, or keeping the page as typed leaves the other questions open.
const ASKING: &str = "asking";
/// The answer whose button was tapped.
pub(super) const TAP: &str = "tap";
/// The button that says the whole page was a mistake.
pub(super) const MISTAKE: &str = "mistake";
/// Name of the kept field that says why an entry is changed.
pub const REASON: &str = "reason";
/// Name of the kept field that says what the page was called, where this Endpost does not know it.
pub const FORM: &str = "form";
/// Name of the kept field that says in which units the page was typed.
pub const UNITS: &str = "units";

/// What a page sends besides the typed fields.
#[derive(Clone, Debug, Default)]
pub struct Protocol {
    pub entry_id: Option<Uuid>,
    pub subject: Option<Uuid>,
    /// The version of the record that the page began with.
    pub base: Option<Uuid>,
    pub form_version: Option<u16>,
    pub person: Option<String>,
    pub card_code: Option<String>,
    /// It was copied from paper.
    pub from_paper: bool,
    /// The device that drew up the page and its count there, where a script says so.
    pub device: Option<Uuid>,
    pub seq: Option<i64>,
    /// "Keep it as typed, mend it later" was pressed.
    pub keep: bool,
    /// "More of the same" was pressed.
    pub more: bool,
    /// "Mine is a mistake" was pressed.
    pub mistake: bool,
}

impl Protocol {
    /// Takes the page's own fields off. What was agreed to and asked stays with the typed text,
    /// since the record must show it.
    pub fn take(fields: &mut Fields) -> Self {
        let protocol = Self {
            entry_id: Uuid::parse_str(fields.first("entry_id").trim()).ok(),
            subject: Uuid::parse_str(fields.first("subject").trim()).ok(),
            base: Uuid::parse_str(fields.first("base").trim()).ok(),
            form_version: fields.first("form_version").trim().parse().ok(),
            person: text(fields, "person"),
            card_code: text(fields, "card_code"),
            from_paper: take_from_paper(fields),
            device: Uuid::parse_str(fields.first("device").trim()).ok(),
            seq: fields.first("seq").trim().parse().ok(),
            keep: fields.has("keep"),
            more: fields.has("more"),
            mistake: fields.has(MISTAKE),
        };
        Self::take_answers(fields, protocol.keep || protocol.more || protocol.mistake);
        for name in [
            "entry_id",
            "subject",
            "base",
            "form_version",
            "person",
            "card_code",
            "device",
            "seq",
            "keep",
            "more",
            MISTAKE,
        ] {
            fields.remove(name);
        }
        protocol
    }

    /// Puts the tapped answer with those given before; a plain save settles what the page asked.
    pub fn take_answers(fields: &mut Fields, leaves_open: bool) {
        let tapped = fields.has(TAP);
        let mut moved: Vec<(&str, String)> = Vec::new();
        moved.extend(fields.all(TAP).map(|tap| (ANSWER, tap.to_owned())));
        if !tapped && !leaves_open {
            moved.extend(fields.all(ASKING).map(|key| (ASKED, key.to_owned())));
        }
        for (name, text) in moved {
            fields.add(name, &text);
        }
        fields.remove(TAP);
        fields.remove(ASKING);
    }
}

/// Whether a page, or the address it was opened by, says that it is copied from paper. Some forms
/// have a day under the same name, which stays.
pub fn take_from_paper(fields: &mut Fields) -> bool {
    fields.take_off("from", "paper")
}

fn text(fields: &Fields, name: &str) -> Option<String> {
    let text = fields.first(name).trim();
    (!text.is_empty()).then(|| text.to_owned())
}

/// Units in one word for a page to carry: "fahrenheit pound foot".
pub fn units_word(units: Units) -> String {
    let temperature = match units.temperature {
        TemperatureUnit::Fahrenheit => "fahrenheit",
        TemperatureUnit::Celsius => "celsius",
    };
    let mass = match units.mass {
        MassUnit::Pound => "pound",
        MassUnit::Kilogram => "kilogram",
    };
    let length = match units.length {
        LengthUnit::Foot => "foot",
        LengthUnit::Metre => "metre",
    };
    format!("{temperature} {mass} {length}")
}

/// The units that a page carried; none for a page from before, or with a slip in it.
pub fn units_of(fields: &Fields) -> Option<Units> {
    let parts: Vec<&str> = fields.first(UNITS).split_whitespace().collect();
    let [temperature, mass, length] = parts.as_slice() else {
        return None;
    };
    Some(Units {
        temperature: match *temperature {
            "fahrenheit" => TemperatureUnit::Fahrenheit,
            "celsius" => TemperatureUnit::Celsius,
            _ => return None,
        },
        mass: match *mass {
            "pound" => MassUnit::Pound,
            "kilogram" => MassUnit::Kilogram,
            _ => return None,
        },
        length: match *length {
            "foot" => LengthUnit::Foot,
            "metre" => LengthUnit::Metre,
            _ => return None,
        },
    })
}

/// The key under which a question about a typed text is asked once.
pub(super) fn question_key(field: &str, typed: &str, text: &str) -> String {
    format!("{field}|{typed}|{text}")
}

/// The field, the typed text and the words of a question, from its key.
pub(super) fn question_of(key: &str) -> Option<(&str, &str, &str)> {
    let (field, rest) = key.split_once('|')?;
    let (typed, text) = rest.split_once('|')?;
    Some((field, typed, text))
}
