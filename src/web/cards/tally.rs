//! Blank tally cards on paper: the fields of the form they are typed into, in its order, drawn from
//! the form itself so that the two can't part. Not here: drawing them up, walks' cards.

use askama::Template;
use axum::response::Response;

use super::enter::{CardHead, form_of};
use crate::web::error::PageError;
use crate::web::form::{Control, Draft, Field, Group};
use crate::web::frame::Frame;
use crate::web::harvest::Vineyard;
use crate::web::known::Known;
use crate::web::typed::Asked;
use crate::web::{App, page, words};

/// Letters of a label that leave room beside it.
const SHORT: usize = 8;

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
    lines: Vec<Lines>,
}

/// Fields that stand together on the card.
struct Lines {
    /// Said once for all that belongs to it: "Bag 1".
    legend: Option<String>,
    /// The legend is short enough to begin the line.
    in_a_row: bool,
    /// Labels are so short that six fields fit side by side.
    narrow: bool,
    fields: Vec<Field>,
}

pub async fn get(app: App, Asked(asked): Asked) -> Result<Response, PageError> {
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
        data_up_to: known.data_up_to(),
        printed: words::moment(&known.now, known.today),
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
    let mut lines: Vec<Lines> = Vec::new();
    let mut said = None;
    for group in form.groups(&draft, known) {
        if group.on_screen_only {
            continue;
        }
        let legend = legend(&group).filter(|legend| said.as_ref() != Some(legend));
        said = legend.clone().or(said);
        let narrow = group.fields.iter().all(|field| field.label.len() <= SHORT);
        let in_a_row = legend.as_ref().is_some_and(|text| text.len() <= SHORT) && group.beside;
        // The block stands in the heading, where one is known.
        let fields = group.fields.into_iter();
        let fields = fields.filter(|field| block.is_none() || field.name != "block");
        match lines.last_mut() {
            Some(last) if legend.is_none() && last.narrow == narrow => last.fields.extend(fields),
            _ => lines.push(Lines {
                legend,
                in_a_row,
                narrow,
                fields: fields.collect(),
            }),
        }
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
        lines,
    })
}

/// What a group is called on paper: the part before a colon; what is only folded away on the phone
/// needs no name there.
fn legend(group: &Group) -> Option<String> {
    let legend = group.legend.as_deref()?;
    match legend.split_once(':') {
        Some((first, _)) if first.len() <= SHORT => Some(first.to_owned()),
        _ if group.folded => None,
        _ => Some(legend.to_owned()),
    }
}
