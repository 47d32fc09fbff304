//! The harvest-readiness sheet for the shed wall: two lines a block, course charts behind.
//! What no room can fill yet prints as dots to write on.
//! Not here: the words (`sentences`), the paper (`static/print.css`).

use askama::Template;
use axum::response::Response;
use chrono::NaiveDate;

use super::advice::next_step;
use super::sentences::{
    Opens, Said, blank_words, from_words, hold_words, lead, opens, sentences, state_word,
};
use super::vineyard::{BlockToday, Vineyard};
use crate::science::harvest::{Flag, Outlook, Readiness, State as Ripe};
use crate::science::ripeness::Attribute;
use crate::science::ripeness::day::{RestsOn, SampleDay, change_per_week};
use crate::science::sprays::{Blank, Until};
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::ripeness::course::{Course, THIRD};
use crate::web::ripeness::target_words;
use crate::web::weather::rain_words;
use crate::web::{App, page, see_other, words};

#[derive(Template)]
#[template(path = "harvest/readiness_sheet.html")]
struct Sheet {
    frame: Frame,
    farm: String,
    date: String,
    printed: String,
    data_up_to: String,
    rule: String,
    lines: Vec<Line>,
    courses: Vec<(String, String, Course)>,
}

/// The two lines of one block.
struct Line {
    called: String,
    bearing: Option<u32>,
    state: &'static str,
    held: Option<String>,
    flags: Vec<String>,
    sampled: Option<Sampled>,
    cells: [Cell; 3],
    opens: Opens,
    in_doubt: bool,
    slowest: Option<&'static str>,
    entry: String,
    picking: String,
    figures: Vec<String>,
    said: Vec<Said>,
    /// What is to be written on paper: what no room filled, and the picking.
    pencil: Vec<String>,
}

struct Sampled {
    day: String,
    age: String,
    bags: String,
    /// Edge rows were among those sampled, for want of others.
    edge_rows: bool,
}

/// A value with its ± and the keeper's window.
struct Cell {
    name: &'static str,
    value: Option<String>,
    about: Option<String>,
    window: Option<String>,
    measured_on: Option<String>,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let (known, vineyard) = Vineyard::now(&app).await?;
    let Some(farm) = &known.farm else {
        return Ok(see_other("/start"));
    };
    let mut frame = Frame::new(&known, &app, "Harvest readiness").at("/sheets");
    frame = frame.across().shared_at("/harvest/sheet".to_owned(), &app);
    Ok(page(&Sheet {
        farm: farm.name.clone(),
        date: words::day_and_year(known.today),
        printed: words::moment(&known.now, known.today),
        data_up_to: known.data_up_to(),
        rule: format!("rules version {}", crate::store::ledger::RULE_VERSION),
        lines: vineyard
            .blocks
            .iter()
            .map(|one| line(one, &known, &vineyard))
            .collect(),
        courses: courses(&vineyard, known.today),
        frame,
    }))
}

fn courses(vineyard: &Vineyard, today: NaiveDate) -> Vec<(String, String, Course)> {
    vineyard
        .blocks
        .iter()
        .enumerate()
        .filter_map(|(place, one)| {
            let outlook = &one.outlooks[0];
            let id = format!("p{place}");
            let course = Course::of(outlook, one.series(today), one.season_end, THIRD, id)?;
            let opens = opens(outlook, one.season_end);
            let parts: Vec<String> = [Some(opens.about), opens.from_to, opens.chance]
                .into_iter()
                .flatten()
                .collect();
            let window = target_words(outlook.window, Attribute::Brix)
                .map_or_else(|| ": ".to_owned(), |window| format!(" {window}: "));
            Some((
                one.block.called(),
                format!("°Brix{window}{}", parts.join("; ")),
                course,
            ))
        })
        .collect()
}

fn line(one: &BlockToday, known: &Known, vineyard: &Vineyard) -> Line {
    let judged = one.readiness(known, vineyard);
    let series = one.series(known.today);
    let last = series.last();
    let lead = lead(one, &judged);
    let (figures, pencil) = figures(one, &judged, known);
    let cell = |attribute| cell(one, attribute, last.map(|day| day.date));
    Line {
        called: one.block.called(),
        bearing: (one.count.positions > 0).then_some(one.count.bearing),
        state: state_word(judged.state),
        held: hold_words(&judged, known),
        flags: flags(&judged),
        sampled: last.map(|day| sampled(day, known)),
        cells: Attribute::ALL.map(cell),
        opens: window_opens(one, lead),
        in_doubt: judged.date_in_doubt(),
        // °Brix goes without saying.
        slowest: judged
            .slowest
            .filter(|slowest| *slowest != Attribute::Brix)
            .map(Attribute::name),
        entry: from(&judged.hold.entry, one, known),
        picking: from(&judged.hold.picking, one, known),
        figures,
        said: said(one, &judged, known),
        pencil,
    }
}

/// The figures of the second line, and the names of those that are not known.
fn figures(one: &BlockToday, judged: &Readiness, known: &Known) -> (Vec<String>, Vec<String>) {
    let series = one.series(known.today);
    let last = series.last();
    let percent = |value: f64| format!("{} %", words::plain(value));
    let units = known.units();
    let rain = judged.rain_mm.map(|mm| rain_words(mm, units.rain()));
    let or_blank = |name: &str, unit: &str, value: Option<String>| {
        let said = value.map(|value| format!("{name} {value}"));
        said.ok_or_else(|| format!("{name}{unit}"))
    };
    let rot = last.and_then(|day| day.rot_percent).map(percent);
    let animals = last.and_then(|day| day.animal_percent).map(percent);
    let all = [
        change(one, series)
            .map(|change| format!("{change} a week"))
            .ok_or_else(|| "change a week".to_owned()),
        or_blank("rain since", &format!(", {}", units.rain().symbol()), rain),
        or_blank("rot", " %", rot),
        or_blank("animals", " %", animals),
        last.and_then(taste)
            .ok_or_else(|| "taste, seeds".to_owned()),
    ];
    let (mut figures, mut pencil) = (Vec::new(), Vec::new());
    for one in all {
        match one {
            Ok(figure) => figures.push(figure),
            Err(name) => pencil.push(name),
        }
    }
    let mass = units.mass.symbol();
    pencil.push(format!("crop {mass}"));
    pencil.extend(["lugs", "picked on", mass].map(str::to_owned));
    (figures, pencil)
}

/// From when one may go in or pick; what has to be typed first stands on the spray board in full.
fn from(until: &Until, one: &BlockToday, known: &Known) -> String {
    match until {
        Until::ClosedUntilTyped { blanks } => match blanks.first() {
            Some(Blank::EntryHours { .. } | Blank::HarvestDays { .. }) => {
                "closed until label figure typed".to_owned()
            }
            _ => format!("closed, {}", blank_words(blanks)),
        },
        until => from_words(until, one.last_spray, known),
    }
}

/// When the window opens; what is wanted and was never measured is not open with the rest.
fn window_opens(one: &BlockToday, lead: &Outlook) -> Opens {
    let mut found = opens(lead, one.season_end);
    let never: Vec<&str> = one
        .outlooks
        .iter()
        .filter(|other| other.has_target() && other.last.is_none())
        .map(|other| other.attribute.name())
        .collect();
    if lead.inside() && !never.is_empty() {
        let name = lead.attribute.name();
        found.about = format!("{name} {}; {} not measured", found.about, never.join(", "));
    }
    found
}

/// The plain sentence with what stands beside it, and what to do next.
fn said(one: &BlockToday, judged: &Readiness, known: &Known) -> Vec<Said> {
    let mut said = sentences(one, judged, known);
    // The first tells the figures that the line above shows.
    if judged.state != Ripe::NotSampled && said.len() > 1 {
        said.remove(0);
    }
    said.retain(|one| !one.flagged);
    said.extend(next_step(one, judged, known).map(|step| format!("{step}.").into()));
    said
}

fn flags(judged: &Readiness) -> Vec<String> {
    judged
        .flags
        .iter()
        .filter_map(|flag| match flag {
            Flag::Stale { days } => Some(format!("stale: {days} days")),
            Flag::Rain { .. } => Some("rain since".to_owned()),
            Flag::Decide(_) => Some("decide".to_owned()),
            Flag::Held(_) | Flag::EntryClosed(_) => None,
        })
        .collect()
}

fn sampled(day: &SampleDay, known: &Known) -> Sampled {
    let age = (known.today - day.date).num_days();
    let bags = day.brix.as_ref().map(|found| match &found.rests_on {
        RestsOn::Bags { count, .. } => words::counted(*count, "bag", "bags"),
        RestsOn::Stops { count } => words::counted(*count, "stop", "stops"),
    });
    Sampled {
        day: words::day(day.date),
        age: words::ago(age),
        bags: bags.unwrap_or_default(),
        edge_rows: day.edge_rows,
    }
}

fn cell(one: &BlockToday, attribute: Attribute, last_day: Option<NaiveDate>) -> Cell {
    let outlook = one.outlook(attribute);
    let decimals = attribute.decimals();
    let last = outlook.last.as_ref();
    Cell {
        name: match attribute {
            Attribute::Ta => "TA g/L",
            other => other.name(),
        },
        value: last.map(|(_, found)| words::number(found.value, decimals)),
        about: last
            .and_then(|(_, found)| found.about)
            .map(|about| format!("±{}", words::number(about, decimals))),
        window: target_words(outlook.window, attribute),
        measured_on: last
            .map(|(date, _)| *date)
            .filter(|date| Some(*date) != last_day)
            .map(words::short_day),
    }
}

/// The pace of °Brix and acid: the forecast's, or that between readings where there is none.
fn change(one: &BlockToday, series: &[SampleDay]) -> Option<String> {
    let parts: Vec<String> = [Attribute::Brix, Attribute::Ta]
        .iter()
        .filter_map(|attribute| {
            let pace = one.outlook(*attribute).week_ahead();
            let change = pace.or_else(|| change_per_week(series, *attribute))?;
            let shown = words::change(change, attribute.decimals());
            Some(format!("{shown} {}", attribute.unit()))
        })
        .collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

fn taste(day: &SampleDay) -> Option<String> {
    let mut parts: Vec<String> = day
        .taste
        .iter()
        .map(|taste| format!("taste {taste}"))
        .collect();
    parts.extend(day.seeds.iter().map(|seeds| format!("seeds {seeds}")));
    parts.extend(day.skins.iter().map(|skins| format!("skins {skins}")));
    (!parts.is_empty()).then(|| parts.join(", "))
}
