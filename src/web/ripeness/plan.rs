//! How many vines, how many clusters a vine: the cheapest walk for a wanted ±.
//! Not here: which vines (the walk card), the sum (`science::ripeness::plan`).

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use crate::science::number::Expect;
use crate::science::ripeness::plan::{Plan, PlanQuestion, Walk, plan};
use crate::store::ledger::Fields;
use crate::web::error::PageError;
use crate::web::form::{Draft, Field, Problem, Reader};
use crate::web::frame::Frame;
use crate::web::harvest::Vineyard;
use crate::web::known::Known;
use crate::web::places::block_named;
use crate::web::typed::Asked;
use crate::web::{App, page, words};

const MOST_PER_VINE: u32 = 20;

#[derive(Template)]
#[template(path = "ripeness/plan.html")]
struct PlanPage {
    frame: Frame,
    problems: Vec<Problem>,
    fields: Vec<Field>,
    answer: Vec<String>,
    closed: Vec<String>,
}

pub async fn get(State(app): State<App>, Asked(asked): Asked) -> Result<Response, PageError> {
    let (known, vineyard) = Vineyard::now(&app).await?;
    let mut typed = asked.clone();
    for (name, start) in [
        ("about", "0.5"),
        ("surety", "90"),
        ("walk", "1.5"),
        ("take", "0.25"),
    ] {
        if !asked.has(name) {
            typed.set(name, start);
        }
    }
    let mut reader = Reader::new(&typed);
    let answer = match asked.has("block") {
        true => answer(&mut reader, &known, &vineyard),
        false => Vec::new(),
    };
    let problems = reader.problems;
    let fields = fields(&typed, &problems, &known);
    Ok(page(&PlanPage {
        frame: Frame::new(&known, &app, "How many vines?").at("/blocks"),
        problems,
        fields,
        answer,
        closed: vineyard
            .closed_for_entry(&known)
            .filter(|(id, _)| {
                !asked.has("block") || known.block_named(asked.first("block")) == Some(*id)
            })
            .map(|(_, words)| words)
            .collect(),
    }))
}

fn fields(typed: &Fields, problems: &[Problem], known: &Known) -> Vec<Field> {
    let draft = Draft {
        fields: typed,
        problems,
        answers: &[],
    };
    let sureties = ["80", "90", "95"].map(|share| (share.to_owned(), format!("{share} %")));
    vec![
        Field::one(&draft, "block", "Block", known.block_choices()),
        Field::decimal(&draft, "about", "Wanted ±").unit("°Brix"),
        Field::one(&draft, "surety", "How sure", sureties),
        Field::decimal(&draft, "walk", "Minutes to the next vine"),
        Field::decimal(&draft, "take", "Minutes for one cluster"),
    ]
}

fn answer(reader: &mut Reader, known: &Known, vineyard: &Vineyard) -> Vec<String> {
    let block = block_named(reader, known);
    let mut positive = |name: &str, most: f64| {
        let value = reader.number(name, Expect::up_to(most))?;
        if value > 0.0 && value <= most {
            return Some(value);
        }
        reader.wrong(name, format!("Type a number above 0, up to {most}."));
        None
    };
    let (about, walk, take) = (
        positive("about", 20.0),
        positive("walk", 120.0),
        positive("take", 120.0),
    );
    let confidence = match reader.raw("surety") {
        "80" => 0.8,
        "95" => 0.95,
        _ => 0.9,
    };
    let Some(one) = block.and_then(|id| vineyard.block(id)) else {
        return Vec::new();
    };
    let (Some(half_width), Some(minutes_per_vine), Some(minutes_per_sample)) = (about, walk, take)
    else {
        return Vec::new();
    };
    if one.count.standing < 2 {
        reader.wrong(
            "block",
            "Write down the block's rows first, so that its vines are known.",
        );
        return Vec::new();
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
        confidence,
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
