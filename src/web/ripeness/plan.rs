//! How many vines, how many clusters a vine: the cheapest walk for a wanted ±.
//! Not here: which vines (the walk card), the sum (`science::ripeness::plan`).

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

use crate::science::access::Rule;
use crate::science::number::Expect;
use crate::science::ripeness::plan::{Plan, PlanQuestion, Walk, plan};
use crate::store::ledger::Fields;
use crate::web::error::PageError;
use crate::web::form::{Draft, Field, Problem, Reader, Summary};
use crate::web::frame::Frame;
use crate::web::harvest::Vineyard;
use crate::web::known::Known;
use crate::web::places::block_named;
use crate::web::typed::Asked;
use crate::web::{App, page, words};

const MOST_PER_VINE: u32 = 20;

/// What stands in the fields until something else is asked for.
const STARTS: [(&str, &str); 4] = [
    ("about", "0.5"),
    ("surety", "90"),
    ("walk", "1.5"),
    ("take", "0.25"),
];

const SURETIES: [(&str, f64); 3] = [("80", 0.8), ("90", 0.9), ("95", 0.95)];

#[derive(Template)]
#[template(path = "ripeness/plan.html")]
struct PlanPage<'a> {
    frame: Frame,
    problems: Summary<'a>,
    fields: Vec<Field>,
    answer: Vec<String>,
    /// Where such a walk is drawn up.
    walk: Option<String>,
    closed: Vec<String>,
}

pub async fn get(app: App, Asked(asked): Asked) -> Result<Response, PageError> {
    let (known, vineyard) = Vineyard::now(&app).await?;
    let mut typed = asked.clone();
    for (name, start) in STARTS {
        // A field that was emptied stays so, and is asked about.
        if !is_sent(&asked, name) {
            typed.set(name, start);
        }
    }
    let is_asked = is_sent(&asked, "block") || STARTS.iter().any(|(name, _)| is_sent(&asked, name));
    let mut reader = Reader::new(&typed);
    let answer = match is_asked {
        true => answer(&mut reader, &known, &vineyard),
        false => Vec::new(),
    };
    let problems = reader.problems;
    let status = match problems.is_empty() {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    let fields = fields(&typed, &problems, &known);
    let drawn = page(&PlanPage {
        frame: Frame::new(&known, &app, "How many vines?").at("/blocks"),
        problems: Summary::beside(&problems, &fields),
        fields,
        walk: (!answer.is_empty() && app.who.may(Rule::Enter))
            .then(|| known.block_named(typed.first("block")))
            .flatten()
            .map(|id| {
                format!(
                    "/walks/new?block={id}&wanted={}",
                    typed.first("about").trim()
                )
            }),
        answer,
        closed: vineyard
            .closed_words(&known, asked.first("block"))
            .collect(),
    });
    Ok((status, drawn).into_response())
}

/// Whether the address names a field, filled or empty.
fn is_sent(asked: &Fields, name: &str) -> bool {
    asked.all(name).next().is_some()
}

fn fields(typed: &Fields, problems: &[Problem], known: &Known) -> Vec<Field> {
    let draft = Draft {
        fields: typed,
        problems,
        answers: &[],
    };
    let sureties = SURETIES.map(|(share, _)| (share.to_owned(), format!("{share} %")));
    vec![
        Field::one(&draft, "block", "Block", known.block_choices()),
        Field::decimal(&draft, "about", "Wanted ±").unit("°Brix"),
        Field::one(&draft, "surety", "How sure", sureties),
        Field::decimal(&draft, "walk", "Minutes to the next vine"),
        Field::decimal(&draft, "take", "Minutes for one cluster"),
    ]
}

fn answer(reader: &mut Reader, known: &Known, vineyard: &Vineyard) -> Vec<String> {
    let block = match reader.needed("block", "Tap the block.") {
        Some(_) => block_named(reader, known),
        None => None,
    };
    let mut positive = |name: &str, most: f64| {
        let wanted = format!("Type a number above 0, up to {most}.");
        reader.needed(name, &wanted);
        let value = reader.number(name, Expect::up_to(most))?;
        if value > 0.0 && value <= most {
            return Some(value);
        }
        reader.wrong(name, wanted);
        None
    };
    let (about, walk, take) = (
        positive("about", 20.0),
        positive("walk", 120.0),
        positive("take", 120.0),
    );
    let surety = reader.raw("surety");
    let confidence = SURETIES.iter().find(|(share, _)| *share == surety);
    if confidence.is_none() {
        reader.wrong("surety", "Tap how sure it is to be.");
    }
    let (
        Some(one),
        Some(half_width),
        Some(minutes_per_vine),
        Some(minutes_per_sample),
        Some((_, confidence)),
    ) = (
        block.and_then(|id| vineyard.block(id)),
        about,
        walk,
        take,
        confidence,
    )
    else {
        return Vec::new();
    };
    if one.count.standing < 2 {
        // Not a slip of the typist: a link from the block leads here as well.
        return vec!["Write down the block's rows first, so that its vines are known.".to_owned()];
    }
    let start = &known.assumptions.brix;
    let (sd_between, sd_within, from) = match &one.spread {
        Some(own) => (own.sd_between, own.sd_within, "this block's own spread"),
        None => (
            start.between_vines_sd,
            start.within_vine_sd,
            "the starting spread, until the block has its own (five vines or more, some read twice)",
        ),
    };
    let question = PlanQuestion {
        sd_between,
        sd_within,
        half_width,
        confidence: *confidence,
        vines_in_block: one.count.standing,
        minutes_per_vine,
        minutes_per_sample,
        max_per_vine: MOST_PER_VINE,
    };
    let spread = format!(
        "Reckoned with {from}: {} °Brix between vines, {} within a vine; {} vines standing.",
        words::number(sd_between, 2),
        words::number(sd_within, 2),
        one.count.standing
    );
    match plan(&question) {
        Ok(Plan::Enough(walk)) => vec![enough(&walk), spread],
        Ok(Plan::Best(walk)) => vec![
            format!(
                "No walk in this block is that sure. The best that can be had: every vine, {} from each, ±{} °Brix.",
                walk.per_vine,
                words::number(walk.half_width, 2)
            ),
            spread,
        ],
        Err(error) => {
            reader.wrong("about", error.to_string());
            Vec::new()
        }
    }
}

fn enough(walk: &Walk) -> String {
    format!(
        "Vines differ more than clusters on one vine, so walk further and take less from each: {} vines, {} from each, about {} minutes. That gives ±{} °Brix.",
        walk.vines,
        walk.per_vine,
        words::number(walk.cost_minutes, 0),
        words::number(walk.half_width, 2)
    )
}
