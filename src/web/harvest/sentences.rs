//! The words for a block: state with its hold, the plain sentence, what stands in the way.
//! Rules: a state word never stands without its hold; a date never without its span; nothing is
//! ever called clear. Not here: what to do next (`advice`), where they are drawn.

use chrono::NaiveDate;

use super::vineyard::BlockToday;
use crate::science::harvest::{Decide, Flag, Outlook, Readiness, State};
use crate::science::ripeness::Attribute;
use crate::science::ripeness::forecast::{ForecastError, Headline};
use crate::science::sprays::Until;
use crate::web::known::Known;
use crate::web::ripeness::rests_on;
pub use crate::web::sprays::{blank_words, from_words, nothing_written, until_words};
use crate::web::weather::rain_words;
use crate::web::words;

pub fn state_word(state: State) -> &'static str {
    match state {
        State::NotSampled => "Not sampled",
        State::Hanging => "Hanging",
        State::Nearing => "Nearing",
        State::Ready => "Ready",
        State::Past => "Past",
    }
}

/// "Ready, but HELD until Sat 11 Sept 18:30": the state word with whatever holds picking.
pub fn state_and_hold(judged: &Readiness, known: &Known) -> String {
    let word = state_word(judged.state);
    match (hold_words(judged, known), judged.state) {
        (None, _) => word.to_owned(),
        (Some(held), State::Ready | State::Past) => format!("{word}, but {held}"),
        (Some(held), _) => format!("{word}, {held}"),
    }
}

/// "HELD until Sat 11 Sept 18:30"; none when nothing written down holds picking.
pub fn hold_words(judged: &Readiness, known: &Known) -> Option<String> {
    judged.held().map(|until| match until {
        Until::ClosedUntilTyped { blanks } => format!("HELD, {}", blank_words(blanks)),
        until => format!("HELD {}", until_words(until, known)),
    })
}

/// "21.8 °Brix on 3 Sept (two bags, about ±1.0)"
pub fn value_words(outlook: &Outlook) -> Option<String> {
    let (date, found) = outlook.last.as_ref()?;
    let attribute = outlook.attribute;
    let value = words::number(found.value, attribute.decimals());
    let value = match attribute {
        Attribute::Brix => format!("{value} °Brix"),
        Attribute::Ph => format!("pH {value}"),
        Attribute::Ta => format!("TA {value} g/L"),
    };
    Some(format!(
        "{value} on {} ({})",
        words::short_day(*date),
        rests_on(found, attribute)
    ))
}

/// "rising about 1¼ a week"
pub fn pace_words(outlook: &Outlook) -> Option<String> {
    let pace = outlook.week_ahead()?;
    let amount = match outlook.attribute {
        Attribute::Ph => words::number(pace.abs(), 2),
        _ => quarters(pace.abs()),
    };
    Some(match (pace > 0.0, amount.as_str()) {
        (_, "0" | "0.00") => "hardly moving".to_owned(),
        (true, _) => format!("rising about {amount} a week"),
        (false, _) => format!("falling about {amount} a week"),
    })
}

fn quarters(value: f64) -> String {
    let quarters = (value * 4.0).round() as u32;
    let part = ["", "¼", "½", "¾"][(quarters % 4) as usize];
    match quarters / 4 {
        0 if part.is_empty() => "0".to_owned(),
        0 => part.to_owned(),
        whole => format!("{whole}{part}"),
    }
}

/// When the window opens, with its span and the chance that it doesn't; in parts for a sheet.
pub struct Opens {
    pub about: String,
    /// "could be the 16th, could be the 29th"
    pub span: Option<String>,
    /// "16 Sept to 29 Sept"
    pub from_to: Option<String>,
    /// "14 % (1 in 7) not reached by 31 Oct"
    pub never: Option<String>,
    /// "14 % not by 31 Oct"
    pub chance: Option<String>,
    pub rough: bool,
    /// A date or a count of weeks, to be struck through when rain puts it in doubt.
    pub dated: bool,
}

impl Opens {
    fn plain(about: impl Into<String>) -> Self {
        Self {
            about: about.into(),
            span: None,
            from_to: None,
            never: None,
            chance: None,
            rough: false,
            dated: false,
        }
    }
}

/// When the value comes inside its window.
pub fn opens(outlook: &Outlook, season_end: NaiveDate) -> Opens {
    let end = words::short_day(season_end);
    if outlook.last.is_none() {
        return Opens::plain(format!("{} not measured", outlook.attribute.name()));
    }
    if !outlook.has_target() {
        return Opens::plain("no target set");
    }
    if outlook.last_looks_off {
        return Opens::plain("last reading looks off");
    }
    if outlook.beyond_far_edge() {
        return Opens::plain("past its window");
    }
    if outlook.inside() {
        return match closes(outlook) {
            Some(day) => Opens {
                dated: true,
                ..Opens::plain(format!(
                    "open; likely to leave it about {}",
                    words::short_day(day)
                ))
            },
            None => Opens::plain("open"),
        };
    }
    let forecast = match &outlook.forecast {
        Ok(forecast) => forecast,
        Err(ForecastError::NeedsSecondReading) => return Opens::plain("needs a second reading"),
        Err(ForecastError::SeasonOver { .. }) => {
            return Opens::plain(format!("the season ended {end}"));
        }
        Err(error) => return Opens::plain(error.to_string()),
    };
    let never = |not_reached: f64| {
        Some(format!(
            "{} ({}) not reached by {end}",
            words::percent(not_reached),
            words::one_in(not_reached)
        ))
    };
    let chance = |not_reached: f64| Some(format!("{} not by {end}", words::percent(not_reached)));
    match forecast.headline() {
        Headline::NoTarget => Opens::plain("no edge to reach is set"),
        Headline::Past => Opens::plain("likely past its window by now"),
        Headline::Unlikely { .. } => Opens::plain(format!("unlikely to reach it by {end}")),
        Headline::Weeks { about, not_reached } => Opens {
            never: never(not_reached),
            chance: chance(not_reached),
            rough: forecast.is_rough(),
            dated: true,
            ..Opens::plain(format!(
                "in about {}",
                words::counted(about as usize, "week", "weeks")
            ))
        },
        Headline::Dates {
            about,
            from,
            to,
            not_reached,
        } => Opens {
            span: Some(format!(
                "could be {}, could be {}",
                words::day_near(from, about),
                words::day_near(to, about)
            )),
            from_to: Some(format!(
                "{} to {}",
                words::short_day(from),
                words::short_day(to)
            )),
            never: never(not_reached),
            chance: chance(not_reached),
            rough: forecast.is_rough(),
            dated: true,
            ..Opens::plain(format!("about {}", words::day(about)))
        },
    }
}

/// The day on which a value inside its window is likelier than not to have left it.
fn closes(outlook: &Outlook) -> Option<NaiveDate> {
    let forecast = outlook.forecast.as_ref().ok()?;
    let days = forecast.leaving.as_ref()?.leaves_days?;
    forecast.date_after(days)
}

/// A sentence about a block.
pub struct Said {
    pub text: String,
    /// A date that rain since the sample puts in doubt: shown struck through.
    pub struck: bool,
    /// A flag says the same on the sheet.
    pub flagged: bool,
}

impl From<String> for Said {
    fn from(text: String) -> Self {
        Self {
            text,
            struck: false,
            flagged: false,
        }
    }
}

/// The plain sentences about a block: what was read, where it goes, what stands in the way.
pub fn sentences(one: &BlockToday, judged: &Readiness, known: &Known) -> Vec<Said> {
    let mut said = Vec::new();
    let lead = lead(one, judged);
    let brix = &one.outlooks[0];
    match value_words(brix) {
        Some(value) => {
            let pace = pace_words(brix).map_or_else(String::new, |pace| format!(", {pace}"));
            said.push(format!("{value}{pace}.").into());
        }
        None if judged.state == State::NotSampled => {
            said.push("No sample this season.".to_owned().into());
        }
        None => said.push("°Brix not measured.".to_owned().into()),
    }
    let spoken = spoken_of(one, lead);
    let mut dated = Vec::new();
    for outlook in &spoken {
        let (text, has_date) = reach_sentence(outlook, one.season_end);
        if has_date || outlook.inside() {
            dated.push(outlook.attribute);
        }
        said.push(Said {
            text,
            struck: has_date && judged.date_in_doubt(),
            flagged: false,
        });
    }
    if let Some(mm) = judged.rain_mm
        && judged.date_in_doubt()
    {
        let rain = rain_words(mm, known.units().rain());
        said.push(Said {
            text: format!("{rain} of rain since."),
            struck: false,
            flagged: true,
        });
    }
    said.extend(still_outside(one, &dated).into_iter().map(Said::from));
    if let Some(Flag::Stale { days }) = judged
        .flags
        .iter()
        .find(|flag| matches!(flag, Flag::Stale { .. }))
    {
        said.push(Said {
            text: format!("Last sampled {days} days ago."),
            struck: false,
            flagged: true,
        });
    }
    said.extend(notes(one, judged, known).into_iter().map(Said::from));
    said
}

/// The value to speak of: the slowest while one is outside, else the first to leave its window.
pub fn lead<'a>(one: &'a BlockToday, judged: &Readiness) -> &'a Outlook {
    match judged.slowest {
        Some(slowest) => one.outlook(slowest),
        None => one
            .outlooks
            .iter()
            .filter(|outlook| outlook.has_target())
            .min_by_key(|outlook| closes(outlook).unwrap_or(NaiveDate::MAX))
            .unwrap_or(&one.outlooks[0]),
    }
}

/// The values whose dates are said: the slowest, and where that has none the slowest that has.
fn spoken_of<'a>(one: &'a BlockToday, lead: &'a Outlook) -> Vec<&'a Outlook> {
    if !lead.has_target() || lead.last.is_none() {
        return Vec::new();
    }
    let mut spoken = vec![lead];
    if !lead.inside() && lead.middle_days().is_none() {
        let later = |outlook: &&Outlook, other: &&Outlook| {
            let days = |one: &Outlook| one.middle_days().unwrap_or(0.0);
            days(outlook).total_cmp(&days(other))
        };
        spoken.extend(
            one.outlooks
                .iter()
                .filter(|other| other.attribute != lead.attribute && other.has_target())
                .filter(|other| !other.inside() && other.middle_days().is_some())
                .max_by(later),
        );
    }
    spoken
}

/// Where a value goes, and whether that is a date.
fn reach_sentence(lead: &Outlook, season_end: NaiveDate) -> (String, bool) {
    let attribute = lead.attribute;
    let opens = opens(lead, season_end);
    if lead.inside() && !lead.last_looks_off {
        let leaves = opens.about.strip_prefix("open").unwrap_or("");
        return (format!("In its window{leaves}."), opens.dated);
    }
    let edge = lead
        .window
        .first_edge(attribute)
        .map_or_else(String::new, |edge| {
            words::number(edge, attribute.decimals())
        });
    let what = match attribute {
        Attribute::Brix => format!("Reaches {edge} °Brix"),
        Attribute::Ph => format!("Reaches pH {edge}"),
        Attribute::Ta => format!("TA is down to {edge} g/L"),
    };
    let mut text = match opens.never {
        Some(_) => format!("{what} {}", opens.about),
        None => match &lead.forecast {
            Err(ForecastError::SeasonOver { .. }) => capital(&opens.about),
            _ => format!("{} {}", attribute.name(), opens.about),
        },
    };
    for part in [&opens.span, &opens.never].into_iter().flatten() {
        text.push_str("; ");
        text.push_str(part);
    }
    text.push('.');
    if opens.rough {
        text.push_str(" Rough guess from two samples.");
    }
    (text, opens.dated)
}

/// Other values with a target that are outside, or were never measured.
fn still_outside(one: &BlockToday, dated: &[Attribute]) -> Vec<String> {
    one.outlooks
        .iter()
        .filter(|other| other.has_target() && !dated.contains(&other.attribute))
        .filter_map(|other| {
            let name = other.attribute.name();
            let Some((_, found)) = &other.last else {
                return Some(format!("{name} not measured."));
            };
            if other.inside() {
                return None;
            }
            let decimals = other.attribute.decimals();
            let (side, edge) = match (other.window.low, other.window.high) {
                (Some(low), _) if found.value < low => ("below", low),
                (_, Some(high)) => ("above", high),
                _ => return None,
            };
            // What rounds to the edge itself is told to one more place.
            let told = |decimals| {
                (
                    words::number(found.value, decimals),
                    words::number(edge, decimals),
                )
            };
            let (value, edge) = match told(decimals) {
                (value, edge) if value == edge => told(decimals + 1),
                told => told,
            };
            Some(format!("{name} {value} is still {side} your {edge}."))
        })
        .collect()
}

fn notes(one: &BlockToday, judged: &Readiness, known: &Known) -> Vec<String> {
    let mut said = Vec::new();
    if judged.hold.waits_for_a_spray() {
        said.push(
            "A spray was kept as typed and waits to be mended: treat the block as closed."
                .to_owned(),
        );
    }
    for flag in &judged.flags {
        match flag {
            Flag::Decide(Decide::Rot { percent, limit }) => said.push(format!(
                "Decide: rot {} % has reached your limit of {} %.",
                words::plain(*percent),
                words::plain(*limit)
            )),
            Flag::Decide(Decide::HardFrost { on }) => said.push(format!(
                "Decide: hard frost written down for {}.",
                words::day(*on)
            )),
            Flag::Held(_) | Flag::EntryClosed(_) | Flag::Rain { .. } | Flag::Stale { .. } => {}
        }
    }
    for outlook in &one.outlooks {
        if let Ok(forecast) = &outlook.forecast {
            let readings =
                crate::science::ripeness::day::readings(one.series(known.today), outlook.attribute);
            for place in forecast.doubtful_readings() {
                if let Some(reading) = readings.get(place) {
                    said.push(format!(
                        "The {} of {} looks off; it counts for little.",
                        outlook.attribute.name(),
                        words::short_day(reading.date)
                    ));
                }
            }
        }
    }
    if one.series(known.today).iter().any(|day| day.two_crops) {
        said.push("Two crops hang: the mean is of two different fruits.".to_owned());
    }
    if one.series(known.today).iter().any(|day| day.frozen) {
        said.push("One juice had been frozen: its pH and acid are shifted.".to_owned());
    }
    if let Some(changed) = one.rows_changed.last() {
        said.push(format!(
            "Other rows since {}.",
            words::day_and_year(*changed)
        ));
    }
    said
}

pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}
