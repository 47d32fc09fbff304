//! The way in for typed text, from a page or from elsewhere: the demo, an import, a phone's
//! envelope. It goes through its form's check and the ledger's door, always the same.
//! Not here: pages (`handle`), and what each form makes of its text.

use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::protocol::{ASKED, FORM, UNITS, units_word};
use super::{Problem, Protocol, Reader};
use crate::store::ledger::{
    Fields, Kind, NewEntry, Receipt, Source, Values, VoidEntry, fingerprint, new_id,
};
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
    /// The version of the record that a change began with.
    pub base: Option<Uuid>,
    pub fields: Fields,
    /// Keys of questions (`Problem::asked`) that somebody has answered with "it stands".
    pub confirmed: Vec<String>,
    /// What can't be understood is kept as typed instead of refused.
    pub keep: bool,
    pub source: Source,
    pub person: Option<String>,
    pub card_code: Option<String>,
    pub sent: Sent,
    pub received_at: DateTime<Utc>,
}

/// Which device sent it, and what that says of it; nothing where no device is known.
#[derive(Clone, Copy, Debug, Default)]
pub struct Sent {
    pub device_id: Option<Uuid>,
    /// The device's own count of what it keeps.
    pub seq: Option<i64>,
    /// The session by which it came, where there is one.
    pub came_by: Option<Uuid>,
    /// The page carried no id, so that this one was made here.
    pub no_client_id: bool,
    pub typed_at: Option<DateTime<Utc>>,
    pub sent_at: Option<DateTime<Utc>>,
}

/// What became of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Entered {
    Taken(Box<Receipt>),
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
        Ok(entry) => Ok(Entered::Taken(Box::new(store.enter(entry).await?))),
        Err(problems) => Ok(Entered::Refused(problems)),
    }
}

impl Entering {
    /// A page that came in, with what it says of itself.
    pub fn of_page(
        kind: Kind,
        protocol: &Protocol,
        fields: Fields,
        sent: Sent,
        received_at: DateTime<Utc>,
    ) -> Self {
        Self {
            id: protocol.entry_id.unwrap_or_else(|| new_id(received_at)),
            kind,
            form_version: protocol.form_version,
            subject: protocol.subject,
            base: protocol.base,
            fields,
            confirmed: Vec::new(),
            keep: protocol.keep || protocol.mistake,
            source: match protocol.from_paper {
                true => Source::Paper,
                false => Source::Phone,
            },
            person: protocol.person.clone(),
            card_code: protocol.card_code.clone(),
            sent: Sent {
                no_client_id: protocol.entry_id.is_none(),
                ..sent
            },
            received_at,
        }
    }

    /// The entry for the door, or what is asked about it. What came before in the same words is
    /// asked about no more: its own values may be what a question would be about.
    pub async fn understood_unless_sent_before(
        &self,
        store: &Store,
        known: &Known,
    ) -> Result<Result<NewEntry, Vec<Problem>>, StoreError> {
        let problems = match self.understood(known) {
            Ok(entry) => return Ok(Ok(entry)),
            Err(problems) => problems,
        };
        let Some(before) = store.read().await?.entry(self.id).await? else {
            return Ok(Err(problems));
        };
        let fields = self.as_kept(known);
        let print = fingerprint(self.kind, self.version(), self.subject, &fields);
        Ok(match before.fingerprint == print {
            true => Ok(self.entry(fields, None, Vec::new())),
            false => Err(problems),
        })
    }

    /// The entry for the door; nothing is written yet.
    pub fn understood(&self, known: &Known) -> Result<NewEntry, Vec<Problem>> {
        let fields = self.as_kept(known);
        if let Some(why) = self.not_for_us(&fields) {
            return Ok(self.entry(fields, None, vec![why]));
        }
        let (values, problems) = self.check(&fields, known);
        let values = match (values, problems.is_empty()) {
            (Some(values), true) => Some(values),
            _ if self.keep => None,
            _ => return Err(problems),
        };
        let problems = match values {
            Some(_) => Vec::new(),
            None => problems.into_iter().map(|one| one.text).collect(),
        };
        Ok(self.entry(fields, values, problems))
    }

    /// The typed text with what belongs to it: what was settled, and the units it was typed in.
    fn as_kept(&self, known: &Known) -> Fields {
        let mut fields = self.fields.clone();
        for key in &self.confirmed {
            fields.add(ASKED, key);
        }
        if super::of(self.kind).is_some() && !fields.has(UNITS) {
            fields.set(UNITS, &units_word(known.units()));
        }
        fields
    }

    fn version(&self) -> u16 {
        let form = super::of(self.kind);
        self.form_version
            .unwrap_or_else(|| form.map_or(1, |form| form.version()))
    }

    /// Why this Endpost can't read the page, whatever stands in it.
    fn not_for_us(&self, fields: &Fields) -> Option<String> {
        if self.kind == Kind::Unread {
            return Some(format!(
                "It was typed on a page that this Endpost does not know, called \"{}\". It stays as \
                 typed.",
                fields.all(FORM).last().unwrap_or("")
            ));
        }
        let known = super::of(self.kind)?.version();
        (self.version() > known).then(|| {
            format!(
                "It was typed on a page of a newer Endpost: version {}, where this one reads up to \
                 {known}.",
                self.version()
            )
        })
    }

    fn entry(&self, fields: Fields, values: Option<Values>, problems: Vec<String>) -> NewEntry {
        let form = super::of(self.kind);
        NewEntry {
            id: self.id,
            kind: self.kind,
            form_version: self.version(),
            subject: self.subject,
            base: self.base,
            happened: form
                .zip(values.as_ref())
                .map(|(form, values)| form.happened(values))
                .unwrap_or_default(),
            fields,
            problems,
            values,
            person: self.person.clone(),
            device_id: self.sent.device_id,
            seq: self.sent.seq,
            came_by: self.sent.came_by,
            no_client_id: self.sent.no_client_id,
            source: self.source,
            card_code: self.card_code.clone(),
            typed_at: self.sent.typed_at,
            sent_at: self.sent.sent_at,
            received_at: self.received_at,
        }
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
