//! The way in for typed text, from a page or from elsewhere: the demo, an import, a phone's
//! envelope. It goes through its form's check and the ledger's door, always the same.
//! Not here: pages (`handle`), and what each form makes of its text.

use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::protocol::{ASKED, UNITS, units_word};
use super::{Problem, Reader};
use crate::store::ledger::{Fields, Kind, NewEntry, Receipt, Source, Values, VoidEntry};
use crate::store::{Store, StoreError};
use crate::web::known::Known;

/// Typed text on its way in.
#[derive(Clone, Debug)]
pub struct Entering {
    pub id: Uuid,
    pub kind: Kind,
    /// The form's own version when none is given.
    pub form_version: Option<u16>,
    /// The first entry of the record that is corrected, mended or taken back.
    pub subject: Option<Uuid>,
    pub fields: Fields,
    /// Keys of questions (`Problem::asked`) that somebody has answered with "it stands".
    pub confirmed: Vec<String>,
    /// What can't be understood is kept as typed instead of refused.
    pub keep: bool,
    pub source: Source,
    pub person: Option<String>,
    pub card_code: Option<String>,
    pub device_id: Option<Uuid>,
    pub received_at: DateTime<Utc>,
}

/// What became of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Entered {
    Taken(Receipt),
    /// Nothing was stored; these are wrong or asked about.
    Refused(Vec<Problem>),
}

/// Checks the text and takes it in, or tells all that is wrong or asked about it.
pub async fn enter_typed(
    store: &Store,
    known: &Known,
    entering: &Entering,
) -> Result<Entered, StoreError> {
    match entering.understood(known) {
        Ok(entry) => Ok(Entered::Taken(store.enter(entry).await?)),
        Err(problems) => Ok(Entered::Refused(problems)),
    }
}

impl Entering {
    /// The entry for the door; nothing is written yet.
    pub fn understood(&self, known: &Known) -> Result<NewEntry, Vec<Problem>> {
        let mut fields = self.fields.clone();
        for key in &self.confirmed {
            fields.add(ASKED, key);
        }
        if super::of(self.kind).is_some() && !fields.has(UNITS) {
            fields.set(UNITS, &units_word(known.units()));
        }
        let (values, problems) = self.check(&fields, known);
        let values = match (values, problems.is_empty()) {
            (Some(values), true) => Some(values),
            _ if self.keep => None,
            _ => return Err(problems),
        };
        let form = super::of(self.kind);
        Ok(NewEntry {
            id: self.id,
            kind: self.kind,
            form_version: self
                .form_version
                .unwrap_or_else(|| form.map_or(1, |form| form.version())),
            subject: self.subject,
            happened: form
                .zip(values.as_ref())
                .map(|(form, values)| form.happened(values))
                .unwrap_or_default(),
            fields,
            problems: match values {
                Some(_) => Vec::new(),
                None => problems.into_iter().map(|one| one.text).collect(),
            },
            values,
            person: self.person.clone(),
            device_id: self.device_id,
            seq: None,
            source: self.source,
            card_code: self.card_code.clone(),
            typed_at: None,
            sent_at: None,
            received_at: self.received_at,
        })
    }

    fn check(&self, fields: &Fields, known: &Known) -> (Option<Values>, Vec<Problem>) {
        let mut reader = Reader::new(fields);
        reader.correcting = self.subject;
        reader.from_paper = self.source == Source::Paper;
        let values = match (super::of(self.kind), self.kind) {
            (Some(form), _) => form.check(&mut reader, known),
            (None, Kind::Void) => {
                let reason = reader.text("reason");
                Some(VoidEntry { reason }.into())
            }
            (None, _) => {
                reader.wrong("settled", "A conflict is settled on the page of its entry.");
                None
            }
        };
        (values, reader.problems)
    }
}
