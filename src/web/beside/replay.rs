//! What was kept beside a damaged database comes through the same check and the same door as if it
//! came now; what is doubtful is held, since nobody is there to be asked. The same line twice is
//! entered once. Not here: reading the file (`program::beside`).

use uuid::Uuid;

use crate::clock::Clock;
use crate::store::Store;
use crate::store::beside::{Came, Line};
use crate::store::ledger::{Fields, Kind};
use crate::web::App;
use crate::web::access::{Who, held_back};
use crate::web::error::PageError;
use crate::web::form::{self, Entering, Protocol, Sent, handle};
use crate::web::known::Known;
use crate::web::phones::{Arrived, Envelope, arrive};

/// What became of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Became {
    Entered,
    /// It belongs to another house, or this Endpost does not know how to read it.
    Left,
}

/// Enters one line, with the moment at which it came.
pub async fn replay(store: &Store, line: &Line) -> Result<Became, PageError> {
    if line.house != store.house().server_id && !line.house.is_nil() {
        return Ok(Became::Left);
    }
    let app = App {
        who: Who::once_sent(line.by),
        ..App::new(store.clone(), Clock::starting_at(line.received_at), false)
    };
    match &line.came {
        Came::Envelope(sent) => match Envelope::read(sent.to_string().as_bytes()) {
            Ok(envelope) => sent_by_phone(&app, envelope).await,
            Err(why) => {
                tracing::error!(why = %why, id = %line.id, "a kept entry can't be read");
                Ok(Became::Left)
            }
        },
        Came::Page {
            form,
            device,
            fields,
        } => posted(&app, line, form, fields.clone(), *device).await,
    }
}

async fn sent_by_phone(app: &App, mut envelope: Envelope) -> Result<Became, PageError> {
    envelope.may_ask = false;
    Ok(match arrive(app, &envelope).await? {
        Arrived::Taken { .. } => Became::Entered,
        Arrived::Asks | Arrived::OtherServer => Became::Left,
    })
}

async fn posted(
    app: &App,
    line: &Line,
    word: &str,
    mut fields: Fields,
    device: Uuid,
) -> Result<Became, PageError> {
    let Some(form) = Kind::of_word(word).and_then(form::of) else {
        return Ok(Became::Left);
    };
    let mut protocol = Protocol::take(&mut fields);
    protocol.entry_id = Some(line.id);
    protocol.keep = true;
    let mut known = Known::for_entries(app, form.leans_on_samples()).await?;
    let card = protocol.card_code.as_deref();
    known.take_in(app, &fields, device, card).await?;
    protocol.person = known.person(protocol.person.as_deref());
    let sent = Sent {
        device_id: Some(device),
        seq: protocol.seq,
        came_by: app.who.session,
        ..Sent::default()
    };
    let entering = Entering::of_page(form.kind(), &protocol, fields, sent, line.received_at);
    let understood = entering.understood_unless_sent_before(&app.store, &known);
    let Ok(entry) = understood.await? else {
        return Ok(Became::Left);
    };
    let entry = held_back(app, entry).await?;
    match protocol.mistake {
        true => drop(handle::as_a_mistake(app, entry).await?),
        false => drop(app.store.enter(entry).await?),
    }
    Ok(Became::Entered)
}
