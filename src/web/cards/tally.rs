//! Blank tally cards on paper: the fields of the form they are typed into, in its order, drawn from
//! the form itself so that the two can't part. Not here: drawing them up, walks' cards.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use super::enter::{CardHead, form_of};
use crate::web::error::PageError;
use crate::web::form::{Control, Draft, Group};
use crate::web::frame::Frame;
use crate::web::harvest::Vineyard;
use crate::web::known::Known;
use crate::web::typed::Asked;
use crate::web::{App, page, words};

#[derive(Template)]
#[template(path = "cards/tally.html")]
struct TallySheet {
    frame: Frame,
    farm: String,
    printed: String,
    data_up_to: String,
    cards: Vec<Tally>,
}

struct Tally {
    code: String,
    what: &'static str,
    block: Option<String>,
    /// "Entry OPEN" or "CLOSED until …" as it stands at the moment of printing.
    entry: Vec<String>,
    groups: Vec<Group>,
}

pub async fn get(State(app): State<App>, Asked(asked): Asked) -> Result<Response, PageError> {
    let (known, vineyard) = Vineyard::now(&app).await?;
    let mut read = app.store.read().await?;
    let mut cards = Vec::new();
    for code in asked.all("code") {
        let head = CardHead::of(&mut read, &known, code).await?;
        let head = head.ok_or_else(|| PageError::missing("card with this code"))?;
        cards.extend(tally(&head, &known, &vineyard));
    }
    if cards.is_empty() {
        return Err(PageError::missing("card with this code"));
    }
    Ok(page(&TallySheet {
        frame: Frame::new(&known, &app, "Tally cards").at("/sheets"),
        farm: known
            .farm
            .as_ref()
            .map_or_else(String::new, |farm| farm.name.clone()),
        printed: words::moment(&known.now, known.today),
        data_up_to: known.data_up_to(),
        cards,
    }))
}

fn tally(head: &CardHead, known: &Known, vineyard: &Vineyard) -> Option<Tally> {
    let form = form_of(&head.card)?;
    let fields = head.blank(form, known);
    let draft = Draft {
        fields: &fields,
        problems: &[],
        answers: &[],
    };
    let block = head.card.block.map(|block| known.block_called(block));
    let wanted = head
        .card
        .block
        .map_or_else(String::new, |block| block.to_string());
    let closed: Vec<String> = vineyard.closed_words(known, &wanted).collect();
    let mut groups = form.groups(&draft, known);
    groups.retain(|group| !group.on_screen_only);
    for group in &mut groups {
        // The block stands in the heading, where one is known.
        group
            .fields
            .retain(|field| block.is_none() || field.name != "block");
    }
    Some(Tally {
        code: head.card.code.to_string(),
        what: head.card.what.name(),
        entry: match (closed.is_empty(), &block) {
            (false, _) => closed,
            (true, Some(_)) => vec!["Entry open as far as the house knew when this was printed; ask whether anyone has sprayed since.".to_owned()],
            (true, None) => vec!["Look at the spray board before going into the rows.".to_owned()],
        },
        block,
        groups,
    })
}
