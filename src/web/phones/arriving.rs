//! What becomes of an envelope: the same check and the same door as for a plain post.
//! Not here: how it came (`put`, `paste`), and how the answer is written (`answer`).

use chrono::Utc;

use super::envelope::Envelope;
use crate::store::ledger::{NewEntry, Receipt};
use crate::web::App;
use crate::web::access::held_back;
use crate::web::error::PageError;
use crate::web::form::overtaken::overtaken;
use crate::web::form::{self, Entering, Sent};
use crate::web::known::Known;
use crate::web::words::ReadBack;

/// What became of an envelope.
pub enum Arrived {
    Taken {
        receipt: Box<Receipt>,
        /// What was understood, in words.
        read_back: Option<ReadBack>,
    },
    /// There is something to ask, and somebody who can answer; nothing was stored.
    Asks,
    /// The phone keeps it for another house; nothing was stored.
    OtherServer,
}

/// Takes an envelope in.
pub async fn arrive(app: &App, envelope: &Envelope) -> Result<Arrived, PageError> {
    let house = app.store.house();
    if envelope.server_id.is_some_and(|id| id != house.server_id) {
        return Ok(Arrived::OtherServer);
    }
    let form = form::of(envelope.kind());
    let leans = form.is_some_and(|form| form.leans_on_samples());
    let mut known = Known::for_entries(app, leans).await?;
    let fields = envelope.kept_fields();
    let card = envelope.card_code.as_deref();
    known.take_in(app, &fields, envelope.device, card).await?;
    let mut protocol = envelope.protocol();
    if let (Some(form), true) = (form, envelope.may_ask)
        && overtaken(form, app, &protocol).await?.is_some()
    {
        return Ok(Arrived::Asks);
    }
    // Initials that nobody has any more stay as they were typed.
    let nobody = protocol.person.clone().filter(|who| !known.lists(who));
    if protocol.person.is_none() {
        protocol.person = known.person(None);
    }
    let sent = Sent {
        device_id: Some(envelope.device),
        seq: Some(envelope.seq),
        came_by: app.who.session,
        typed_at: Some(envelope.entered_at.with_timezone(&Utc)),
        sent_at: envelope.sent_at.map(|at| at.with_timezone(&Utc)),
        ..Sent::default()
    };
    let now = app.clock.now();
    let entering = Entering::of_page(envelope.kind(), &protocol, fields, sent, now);
    let understood = entering.understood_unless_sent_before(&app.store, &known);
    let Ok(entry) = understood.await? else {
        return Ok(Arrived::Asks);
    };
    let entry = match nobody {
        Some(who) => held_without(entry, &who),
        None => entry,
    };
    let entry = held_back(app, entry).await?;
    let receipt = Box::new(app.store.enter(entry).await?);
    let read_back = form
        .zip(receipt.values.as_ref())
        .map(|(form, values)| form.read_back(values, &known));
    Ok(Arrived::Taken { receipt, read_back })
}

fn held_without(mut entry: NewEntry, who: &str) -> NewEntry {
    entry.values = None;
    entry.problems.push(format!(
        "{who} is not on the list of people. Say whose entry it is."
    ));
    entry
}
