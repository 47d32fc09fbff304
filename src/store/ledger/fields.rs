//! The typed text of an entry, field by field, and the fingerprint by which a repeat is known.
//! Not here: what the text means.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::Kind;

/// Field names with all that was typed under each, exactly as typed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Fields(BTreeMap<String, Typed>);

/// One text, or several under the same name (ticked boxes). Kept apart so that the JSON reads well.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
enum Typed {
    One(String),
    Several(Vec<String>),
}

impl Fields {
    /// Adds a text under a name, after those already there.
    pub fn add(&mut self, name: &str, text: &str) {
        let text = text.to_owned();
        match self.0.get_mut(name) {
            None => {
                self.0.insert(name.to_owned(), Typed::One(text));
            }
            Some(Typed::Several(texts)) => texts.push(text),
            Some(one) => {
                if let Typed::One(first) = one {
                    *one = Typed::Several(vec![std::mem::take(first), text]);
                }
            }
        }
    }

    /// The first text under a name, or an empty one.
    pub fn first(&self, name: &str) -> &str {
        self.all(name).next().unwrap_or("")
    }

    /// All texts under a name, in the order typed.
    pub fn all(&self, name: &str) -> impl Iterator<Item = &str> {
        match self.0.get(name) {
            None => [].iter(),
            Some(Typed::One(text)) => std::slice::from_ref(text).iter(),
            Some(Typed::Several(texts)) => texts.iter(),
        }
        .map(String::as_str)
    }

    /// Whether anything but blanks stands under a name.
    pub fn has(&self, name: &str) -> bool {
        self.all(name).any(|text| !text.trim().is_empty())
    }

    /// Puts one text in place of all that stands under a name.
    pub fn set(&mut self, name: &str, text: &str) {
        self.0.insert(name.to_owned(), Typed::One(text.to_owned()));
    }

    pub fn remove(&mut self, name: &str) {
        self.0.remove(name);
    }

    /// Takes one text off a name and leaves the others; whether it stood there.
    pub fn take_off(&mut self, name: &str, text: &str) -> bool {
        let texts: Vec<String> = self.all(name).map(str::to_owned).collect();
        let found = texts.iter().any(|one| one == text);
        if found {
            self.remove(name);
            for left in texts.iter().filter(|one| *one != text) {
                self.add(name, left);
            }
        }
        found
    }

    /// Every name with every text, by name.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0
            .keys()
            .flat_map(|name| self.all(name).map(move |text| (name.as_str(), text)))
    }
}

impl<Name: AsRef<str>, Text: AsRef<str>> FromIterator<(Name, Text)> for Fields {
    fn from_iter<Pairs: IntoIterator<Item = (Name, Text)>>(pairs: Pairs) -> Self {
        let mut fields = Self::default();
        for (name, text) in pairs {
            fields.add(name.as_ref(), text.as_ref());
        }
        fields
    }
}

/// SHA-256 over kind, form version, the subject it names (empty for none) and the fields sorted by
/// name, texts trimmed. The same texts about another record are another entry.
/// Every part is written with its length, so that no two different entries read alike.
pub fn fingerprint(
    kind: Kind,
    form_version: u16,
    subject: Option<Uuid>,
    fields: &Fields,
) -> [u8; 32] {
    let mut hash = Sha256::new();
    let mut part = |text: &str| {
        hash.update((text.len() as u64).to_be_bytes());
        hash.update(text.as_bytes());
    };
    part(kind.word());
    part(&form_version.to_string());
    part(&subject.map_or_else(String::new, |id| id.to_string()));
    for (name, text) in fields.iter() {
        part(name);
        part(text.trim());
    }
    hash.finalize().into()
}
