//! What every form does: show an empty page, take a post, ask, keep as typed, store, lead on.
//! Not here: the fields of any form, and the ledger's door.

use std::collections::BTreeSet;

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use futures_util::future::BoxFuture;
use uuid::Uuid;

use super::entering::{Entering, Sent};
use super::overtaken::{changes_nothing, overtaken};
use super::protocol::{ANSWER, ASKED, REASON, take_from_paper, units_word};
use super::view::{Draft, Field, Group};
use super::{Form, Problem, Protocol, Reader, Summary, answers};
use crate::store::StoreError;
use crate::store::ledger::{
    Entry, Fields, Happened, Kind, NewEntry, Outcome, Source, VoidEntry, new_id,
};
use crate::web::access::{held_back, may_change};
use crate::web::cards::enter::CardHead;
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::harvest::Vineyard;
use crate::web::kept::may_be_kept;
use crate::web::known::Known;
use crate::web::places::common_zone;
use crate::web::typed::{Asked, Posted};
use crate::web::visitor::Visitor;
use crate::web::{App, page, see_other};

/// The handler of a form's empty page.
pub fn blank_of(
    form: &'static dyn Form,
) -> impl Fn(App, Visitor, Asked) -> Answering + Clone + Send + Sync + 'static {
    move |app, visitor, Asked(asked)| Box::pin(blank(form, app, visitor, asked))
}

/// The handler of a form's posts.
pub fn post_of(
    form: &'static dyn Form,
) -> impl Fn(App, Visitor, Posted) -> Answering + Clone + Send + Sync + 'static {
    move |app, visitor, Posted(fields)| Box::pin(post(form, app, visitor, fields))
}

type Answering = BoxFuture<'static, Result<Response, PageError>>;

/// The page of a form, whatever the form.
#[derive(Template)]
#[template(path = "form/page.html")]
struct FormPage<'a> {
    frame: Frame,
    heading: String,
    intro: Vec<String>,
    path: &'static str,
    kind: &'static str,
    /// Under what a phone keeps what is being typed here.
    draft_key: String,
    /// Nothing was typed on this page yet.
    fresh: bool,
    entry_id: Uuid,
    form_version: u16,
    subject: Option<Uuid>,
    base: Option<Uuid>,
    card_code: String,
    card: Option<CardHead>,
    from_paper: bool,
    /// The phone and its number for this entry, where it has one already.
    numbered: Option<(Uuid, i64)>,
    answers: Vec<&'a str>,
    asked: BTreeSet<&'a str>,
    asking: BTreeSet<String>,
    units: String,
    problems: Summary<'a>,
    groups: Vec<Group>,
    people: Option<Field>,
    more: Option<&'static str>,
    can_keep: bool,
}

/// A page being filled: what it holds and what is wrong with it.
struct Filling<'a> {
    form: &'static dyn Form,
    protocol: &'a Protocol,
    fields: &'a Fields,
    problems: &'a [Problem],
    fresh: bool,
    /// The paper card that is typed in.
    card: Option<CardHead>,
}

/// An empty page, or one that starts with what its address names.
pub async fn blank(
    form: &'static dyn Form,
    app: App,
    visitor: Visitor,
    mut asked: Fields,
) -> Result<Response, PageError> {
    let (known, vineyard) = Vineyard::now(&app).await?;
    if known.farm.is_none() {
        return Ok(see_other("/start"));
    }
    let from_paper = take_from_paper(&mut asked) || asked.has("card");
    let card = match asked.first("card") {
        "" => None,
        code => CardHead::of(&mut app.store.read().await?, &known, code).await?,
    };
    if card.is_none() && asked.has("card") {
        return Ok(see_other("/cards/enter"));
    }
    let mut fields = match &card {
        Some(card) => card.blank(form, &known),
        None => form.blank(&known, &asked),
    };
    if from_paper && fields.has("date") {
        // Weeks late is normal: a date that nobody typed would be taken for the day of the paper.
        fields.set("date", "");
    }
    let protocol = Protocol {
        from_paper,
        person: known.person(visitor.person.as_deref()),
        card_code: card.as_ref().map(|head| head.card.code.to_string()),
        ..Protocol::default()
    };
    let filling = Filling {
        form,
        protocol: &protocol,
        fields: &fields,
        problems: &[],
        fresh: true,
        card,
    };
    let drawn = draw(&app, &known, &vineyard, filling, StatusCode::OK);
    Ok(may_be_kept(drawn))
}

/// A page that starts with what an earlier entry holds, to correct or mend it.
pub async fn correct(
    app: App,
    visitor: Visitor,
    entry: Entry,
    record: Uuid,
) -> Result<Response, PageError> {
    let form = super::of(entry.kind).ok_or(PageError::missing("form for this entry"))?;
    let (mut known, vineyard) = Vineyard::now(&app).await?;
    known.read_in_units_of(&entry.fields);
    let code = entry.card_code.as_deref();
    known.look_up_card(&app, code).await?;
    let mut fields = refilled(&entry.fields, &known);
    if entry.values.is_none() && entry.fields.has(REASON) {
        // What is mended still has the reason that was typed for it.
        fields.set(REASON, entry.fields.first(REASON));
    }
    let reader_problems = match entry.values {
        Some(_) => Vec::new(),
        None => {
            let mut reader = Reader::new(&fields);
            reader.correcting = Some(record);
            reader.from_paper = entry.source == Source::Paper;
            form.check(&mut reader, &known);
            reader.problems
        }
    };
    let protocol = Protocol {
        subject: Some(record),
        base: Some(entry.id),
        person: known.person(visitor.person.as_deref()),
        card_code: entry.card_code.clone(),
        ..Protocol::default()
    };
    let filling = Filling {
        form,
        protocol: &protocol,
        fields: &fields,
        problems: &reader_problems,
        fresh: true,
        card: None,
    };
    Ok(draw(&app, &known, &vineyard, filling, StatusCode::OK))
}

/// What an earlier entry holds, for its form: blocks, instruments and zones typed by name become
/// the choices they mean, and a new change has a reason of its own.
fn refilled(fields: &Fields, known: &Known) -> Fields {
    fields
        .iter()
        .filter(|(name, _)| *name != REASON)
        .filter(|(name, _)| *name != "zone_common" || !fields.has("zone"))
        .map(|(name, text)| {
            if let ("zone", Some(zone)) = (name, common_zone(text)) {
                return ("zone_common", zone.to_owned());
            }
            let id = match name {
                "block" => known.block_named(text),
                "instrument" => known.instrument_named(text).map(|one| one.id),
                _ => None,
            };
            (
                name,
                id.map_or_else(|| text.to_owned(), |id| id.to_string()),
            )
        })
        .collect()
}

/// Takes a post: asks again, keeps as typed, or stores and leads on.
pub async fn post(
    form: &'static dyn Form,
    app: App,
    visitor: Visitor,
    mut fields: Fields,
) -> Result<Response, PageError> {
    let mut protocol = Protocol::take(&mut fields);
    let (mut known, vineyard) = Vineyard::now(&app).await?;
    let device = protocol.device.unwrap_or(visitor.device);
    let visitor = visitor.called(device);
    let card = protocol.card_code.as_deref();
    known.take_in(&app, &fields, device, card).await?;
    protocol.person = known.person(protocol.person.as_deref());
    let card = match &protocol.card_code {
        Some(code) if protocol.from_paper => {
            CardHead::of(&mut app.store.read().await?, &known, code).await?
        }
        _ => None,
    };
    let again = |protocol: &Protocol, fields: &Fields, problems: &[Problem], status| {
        let filling = Filling {
            form,
            protocol,
            fields,
            problems,
            fresh: false,
            card,
        };
        draw(&app, &known, &vineyard, filling, status)
    };
    if protocol.more {
        form.add_more(&mut fields);
        return Ok(again(&protocol, &fields, &[], StatusCode::OK));
    }
    let status = StatusCode::UNPROCESSABLE_ENTITY;
    if let Some((now, mut problem)) = overtaken(form, &app, &protocol).await? {
        protocol.base = Some(now);
        problem.field = first_field(form, &fields, &known);
        return Ok(again(&protocol, &fields, &[problem], status));
    }
    let now = app.clock.now();
    let sent = Sent {
        device_id: Some(device),
        seq: protocol.seq,
        came_by: app.who.session,
        ..Sent::default()
    };
    let entering = Entering::of_page(form.kind(), &protocol, fields, sent, now);
    let understood = entering.understood_unless_sent_before(&app.store, &known);
    let entry = match understood.await? {
        Ok(entry) => entry,
        Err(problems) => {
            return Ok(again(&protocol, &entering.fields, &problems, status));
        }
    };
    if let Some(record) = entry.subject
        && changes_nothing(&app, &entry).await?
    {
        return Ok(see_other(&format!("/entries/{record}?now=same")));
    }
    let entry = held_back(&app, entry).await?;
    if protocol.mistake {
        return as_a_mistake(&app, entry).await;
    }
    let receipt = app.store.enter(entry).await?;
    let answer = see_other(&format!(
        "/entries/{}?now={}",
        receipt.id,
        match receipt.outcome {
            Outcome::New => "new",
            Outcome::Replayed => "again",
            Outcome::KeptBoth => "both",
        }
    ));
    Ok(visitor.remembered(answer, protocol.person.as_deref()))
}

/// Keeps what was typed and takes it back at once: nothing typed is lost, and nothing of it counts.
pub async fn as_a_mistake(app: &App, entry: NewEntry) -> Result<Response, PageError> {
    let reason = "a mistake";
    let mut void = NewEntry {
        id: new_id(entry.received_at),
        kind: Kind::Void,
        form_version: 1,
        fields: [(REASON, reason)].into_iter().collect(),
        values: Some(
            VoidEntry {
                reason: Some(reason.to_owned()),
            }
            .into(),
        ),
        problems: Vec::new(),
        card_code: None,
        // The number that the phone gave is the entry's own.
        seq: None,
        happened: Happened::default(),
        ..entry.clone()
    };
    let kept = app.store.enter(entry).await?;
    if kept.outcome == Outcome::KeptBoth {
        // The page had been sent with other values: what it says of both is for a person to say.
        return Ok(see_other(&format!("/entries/{}?now=both", kept.id)));
    }
    if kept.outcome == Outcome::Replayed {
        let mut read = app.store.read().await?;
        let there = read.entry(kept.id).await?;
        // An id stands in the address of its page: who sends it again need not have entered it.
        if let Some(there) = there
            && !may_change(app, &mut read, &there).await?
        {
            return Ok(see_other(&format!("/entries/{}?now=again", kept.id)));
        }
    }
    void.subject = Some(kept.id);
    match app.store.enter(void).await {
        // Tapped twice, it was taken back before.
        Ok(_) | Err(StoreError::Refused(_)) => {
            Ok(see_other(&format!("/entries/{}?now=done", kept.id)))
        }
        Err(error) => Err(error.into()),
    }
}

/// The name of the page's first field, for what concerns the page as a whole.
fn first_field(form: &dyn Form, fields: &Fields, known: &Known) -> String {
    let draft = Draft {
        fields,
        problems: &[],
        answers: &[],
    };
    let groups = form.groups(&draft, known);
    let mut fields = groups.into_iter().flat_map(|group| group.fields);
    fields.next().map_or_else(String::new, |field| field.name)
}

fn draw(
    app: &App,
    known: &Known,
    vineyard: &Vineyard,
    filling: Filling,
    status: StatusCode,
) -> Response {
    let Filling {
        form,
        protocol,
        fields,
        problems,
        fresh,
        card,
    } = filling;
    let agreed = answers(fields);
    let draft = Draft {
        fields,
        problems,
        answers: &agreed,
    };
    let mut groups = form.groups(&draft, known);
    if card.is_some() {
        // All that stands on the card is open, so that it is a straight copy.
        for group in groups.iter_mut().filter(|one| !one.on_screen_only) {
            group.folded = false;
        }
    }
    if protocol.subject.is_some() {
        let reason = Field::text(&draft, REASON, "Why it is changed")
            .hint("Shown beside the old value. May stay empty.");
        groups.push(Group::open(vec![reason]));
    }
    let heading = match protocol.subject {
        Some(_) => format!("Change: {}", form.heading()),
        None => form.heading().to_owned(),
    };
    let asking = problems
        .iter()
        .filter_map(|one| one.asked.clone())
        .collect();
    let frame = Frame::new(known, app, &heading).with_script("form.js");
    let kind = form.kind().word();
    let page_to_draw = FormPage {
        frame: match fresh && protocol.subject.is_none() {
            true => frame.to_keep(),
            false => frame,
        },
        intro: form.intro(known, vineyard, fields),
        path: form.path(),
        kind,
        draft_key: draft_key(kind, protocol, fields),
        fresh,
        entry_id: protocol.entry_id.unwrap_or_else(|| new_id(app.clock.now())),
        form_version: form.version(),
        subject: protocol.subject,
        base: protocol.base,
        card_code: protocol.card_code.clone().unwrap_or_default(),
        card,
        from_paper: protocol.from_paper,
        numbered: protocol.device.zip(protocol.seq),
        answers: fields.all(ANSWER).collect(),
        asked: fields.all(ASKED).collect(),
        asking,
        units: units_word(known.units()),
        problems: Summary::in_groups(problems, &groups),
        groups,
        people: people(known, protocol.person.as_deref()),
        more: form.more(),
        can_keep: !problems.is_empty(),
        heading,
    };
    (status, page(&page_to_draw)).into_response()
}

/// What was half typed for one record, card or block is put back on no page of another.
fn draft_key(kind: &str, protocol: &Protocol, fields: &Fields) -> String {
    match (protocol.subject, &protocol.card_code) {
        (Some(record), _) => format!("{kind} {record}"),
        (None, Some(code)) => format!("{kind} {code}"),
        (None, None) => format!("{kind} {}", fields.first("block"))
            .trim()
            .to_owned(),
    }
}

/// Whose entry it is: initials to tap, if the farm has a list.
pub fn people(known: &Known, person: Option<&str>) -> Option<Field> {
    let here: Vec<(String, String)> = known
        .people
        .iter()
        .filter(|person| person.here)
        .map(|person| (person.initials.clone(), person.initials.clone()))
        .collect();
    if here.is_empty() {
        return None;
    }
    let mut fields = Fields::default();
    fields.set("person", person.unwrap_or(""));
    let draft = Draft {
        fields: &fields,
        problems: &[],
        answers: &[],
    };
    Some(Field::one(&draft, "person", "Who is writing", here).carried())
}
