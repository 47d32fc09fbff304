//! The page of one block: state, reasons, course, samples, targets, sprays.
//! Not here: the words (`sentences`).

use askama::Template;
use axum::response::Response;
use chrono::{Datelike, Days, NaiveDate};
use uuid::Uuid;

use super::advice::{advice, because_words, missing_words};
use super::sentences::{Said, capital, opens, sentences, state_and_hold};
use super::vineyard::{BlockToday, Vineyard};
use crate::science::harvest::{Together, best, together};
use crate::science::ripeness::Attribute;
use crate::science::ripeness::day::{SampleDay, change_per_week, running_series};
use crate::science::ripeness::density::{oechsle, specific_gravity};
use crate::web::came::came_words;
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::ripeness::course::{Course, SMALL};
use crate::web::ripeness::{rests_on, rule_words, target_words};
use crate::web::sprays::closed_words;
use crate::web::typed::Named;
use crate::web::{App, page, words};

#[derive(Template)]
#[template(path = "harvest/block.html")]
struct BlockPage {
    frame: Frame,
    id: Uuid,
    called: String,
    ground: String,
    state: String,
    entry: String,
    picking: String,
    said: Vec<Said>,
    advice: Option<String>,
    /// The chance that all values are inside on the same day.
    together: Option<Said>,
    because: Option<String>,
    missing: Vec<String>,
    values: Vec<ValueShown>,
    samples: Vec<SampleShown>,
    targets: Vec<(Uuid, String)>,
    record: Vec<(Uuid, String)>,
    earlier: Vec<Earlier>,
    estimate: Option<String>,
    sources: Vec<&'static str>,
}

struct ValueShown {
    name: &'static str,
    window: Option<String>,
    opens: String,
    course: Option<Course>,
    change: Option<String>,
    from_seasons: Option<String>,
}

struct SampleShown {
    date: String,
    values: String,
    remarks: String,
}

/// The same calendar day of earlier seasons.
struct Earlier {
    year: i32,
    date: String,
    brix: String,
}

pub async fn get(app: App, Named(id): Named) -> Result<Response, PageError> {
    let missing = || PageError::missing("block with this address");
    let id = Uuid::parse_str(&id).map_err(|_| missing())?;
    let (known, vineyard) = Vineyard::now(&app).await?;
    let one = vineyard.block(id).ok_or_else(missing)?;
    let mut read = app.store.read().await?;
    let targets = read.targets_of(id).await?;
    let record = read.samples_of(id, known.today).await?;
    let judged = one.readiness(&known, &vineyard);
    let series = one.series(known.today);
    Ok(page(&BlockPage {
        frame: Frame::new(&known, &app, &one.block.called())
            .at("/blocks")
            .shared_at(format!("/blocks/{id}"), &app),
        id,
        called: one.block.called(),
        ground: ground(one),
        state: state_and_hold(&judged, &known),
        entry: closed_words(&judged.hold.entry, one.last_spray, &known),
        picking: closed_words(&judged.hold.picking, one.last_spray, &known),
        said: sentences(one, &judged, &known),
        advice: advice(one, &judged, &known),
        together: together_words(one, known.today).map(|text| Said {
            struck: judged.date_in_doubt(),
            ..text.into()
        }),
        because: because_words(&judged),
        missing: judged
            .missing
            .iter()
            .map(|one| missing_words(*one))
            .collect(),
        values: Attribute::ALL
            .iter()
            .filter_map(|attribute| value(one, series, *attribute))
            .collect(),
        samples: series.iter().rev().map(|day| sample(day, one)).collect(),
        targets: targets
            .into_iter()
            .map(|(id, target)| {
                let windows: Vec<String> = Attribute::ALL
                    .iter()
                    .filter_map(|attribute| {
                        let words = target_words(target.window(*attribute), *attribute)?;
                        Some(format!("{} {words}", attribute.name()))
                    })
                    .collect();
                let from = words::day_and_year(target.from);
                (id, format!("from {from}: {}", windows.join(", ")))
            })
            .collect(),
        record: record
            .into_iter()
            .map(|listed| {
                let time = listed
                    .time
                    .map_or_else(String::new, |time| format!(" {}", words::clock(time)));
                let (day, bags) = (words::day_and_year(listed.date), bag_words(&listed.bags));
                let by = listed
                    .person
                    .map_or_else(String::new, |person| format!(" by {person}"));
                let came = came_words(&listed.came, known.zone)
                    .map_or_else(String::new, |words| format!(", {words}"));
                (listed.id, format!("{day}{time}, {bags}{by}{came}"))
            })
            .collect(),
        earlier: earlier(&one.days, &known),
        estimate: estimate(series, &known),
        sources: judged
            .sources
            .iter()
            .map(|work| crate::science::sources::source(*work).text)
            .collect(),
    }))
}

fn ground(one: &BlockToday) -> String {
    if one.rows.is_empty() {
        return "Rows not written down yet.".to_owned();
    }
    format!(
        "{}, {} bearing vines of {} positions.",
        capital(&words::counted(one.rows.len(), "row", "rows")),
        one.count.bearing,
        one.count.positions
    )
}

/// "All inside on the same day: about 12 % today; likeliest Fri 24 Sept, about 55 % (at most 61 %)."
fn together_words(one: &BlockToday, today: NaiveDate) -> Option<String> {
    let days = together(&one.outlooks);
    let (now, best) = (*days.first()?, best(&days)?);
    let several = one.outlooks.iter().filter(|one| one.has_target()).count() > 1;
    let chance = |one: Together| {
        let (about, at_most) = (words::percent(one.about), words::percent(one.at_most));
        match several && about != at_most {
            true => format!("about {about} (at most {at_most})").replace("about under", "under"),
            false => about,
        }
    };
    let what = match several {
        true => "All inside on the same day",
        false => "Inside its window",
    };
    let likeliest = match best.day {
        0 => "no later day is likelier".to_owned(),
        ahead => {
            let day = today.checked_add_days(Days::new(ahead as u64))?;
            format!("likeliest {}, {}", words::day(day), chance(best))
        }
    };
    Some(format!("{what}: {} today; {likeliest}.", chance(now)))
}

fn value(one: &BlockToday, series: &[SampleDay], attribute: Attribute) -> Option<ValueShown> {
    let outlook = one.outlook(attribute);
    if outlook.last.is_none() && !outlook.has_target() {
        return None;
    }
    let opens = opens(outlook, one.season_end);
    let parts: Vec<String> = [Some(opens.about), opens.span, opens.never]
        .into_iter()
        .flatten()
        .collect();
    let change = match outlook.week_ahead() {
        Some(_) => None,
        None => change_per_week(series, attribute),
    };
    Some(ValueShown {
        name: attribute.name(),
        window: target_words(outlook.window, attribute),
        opens: capital(&parts.join("; ")),
        course: Course::of(
            outlook,
            series,
            one.season_end,
            SMALL,
            attribute.name().replace('°', ""),
        ),
        change: change.map(|change| {
            let shown = words::change(change, attribute.decimals());
            format!("{shown} {} a week between readings", attribute.unit())
        }),
        from_seasons: (outlook.earlier_seasons > 0).then(|| {
            let seasons =
                words::counted(outlook.earlier_seasons, "earlier season", "earlier seasons");
            format!("The forecast starts from {seasons} of this block.")
        }),
    })
}

fn sample(day: &SampleDay, one: &BlockToday) -> SampleShown {
    let values: Vec<String> = Attribute::ALL
        .iter()
        .filter_map(|attribute| {
            let found = day.value(*attribute)?;
            let value = words::number(found.value, attribute.decimals());
            Some(format!(
                "{} {value} ({})",
                attribute.name(),
                rests_on(found, *attribute)
            ))
        })
        .collect();
    let mut remarks = Vec::new();
    if let Some(stops) = &day.stops_beside_bags {
        remarks.push(format!(
            "single vines or clusters read {} °Brix beside them ({}); the bags stand for the day",
            words::number(stops.value, 1),
            rests_on(stops, Attribute::Brix)
        ));
    }
    let percent = |what: &str, value: f64| format!("{what} {} %", words::plain(value));
    remarks.extend(day.rot_percent.map(|rot| percent("rot", rot)));
    remarks.extend(day.animal_percent.map(|taken| percent("animals", taken)));
    remarks.extend(day.taste.iter().cloned());
    remarks.extend(day.seeds.iter().map(|seeds| format!("seeds {seeds}")));
    remarks.extend(day.skins.iter().map(|skins| format!("skins {skins}")));
    remarks.extend(
        day.sugar_per_berry_g()
            .map(|grams| format!("about {} g sugar a berry", words::number(grams, 2))),
    );
    remarks.extend(day.notes.iter().cloned());
    if day.frozen {
        remarks.push("juice had been frozen".to_owned());
    }
    if day.two_crops {
        remarks.push("two crops".to_owned());
    }
    if day.edge_rows {
        remarks.push("edge rows included".to_owned());
    }
    if let Some(why) = &day.new_series {
        remarks.push(format!("a new line begins: {why}"));
    }
    for changed in &one.rows_changed {
        if *changed == day.date {
            remarks.push("other rows from this day".to_owned());
        }
    }
    SampleShown {
        date: words::day(day.date),
        values: values.join("; "),
        remarks: remarks.join(" · "),
    }
}

/// What the block read nearest to this day in earlier seasons.
fn earlier(days: &[SampleDay], known: &Known) -> Vec<Earlier> {
    let this_year = known.today.year();
    let mut years: Vec<i32> = days
        .iter()
        .map(|day| day.date.year())
        .filter(|year| *year < this_year)
        .collect();
    years.dedup();
    years
        .into_iter()
        .rev()
        .take(3)
        .filter_map(|year| {
            let same_day = known.today.with_year(year)?;
            let season = running_series(days, last_day_of(year));
            let nearest = season
                .iter()
                .filter(|day| day.brix.is_some())
                .min_by_key(|day| (day.date - same_day).num_days().abs())?;
            let brix = nearest.brix.as_ref()?;
            Some(Earlier {
                year,
                date: words::short_day(nearest.date),
                brix: words::number(brix.value, 1),
            })
        })
        .collect()
}

fn last_day_of(year: i32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, 12, 31).unwrap_or(NaiveDate::MAX)
}

/// Gravity and potential alcohol of the last sample: estimates, with the rule named.
fn estimate(series: &[SampleDay], known: &Known) -> Option<String> {
    let day = series.iter().rev().find(|day| day.brix.is_some())?;
    let brix = day.brix.as_ref()?.value;
    let gravity = specific_gravity(brix)?;
    let rule = known.assumptions.alcohol_rule;
    let alcohol = match rule.percent(brix) {
        Some(percent) => format!(
            "potential alcohol about {} % vol by {}",
            words::number(percent, 1),
            rule_words(rule)
        ),
        None => format!("{} does not hold at this sugar", rule_words(rule)),
    };
    Some(format!(
        "{} °Brix is a specific gravity of about {} ({} °Oechsle); {alcohol}. Estimates, not results.",
        words::number(brix, 1),
        words::number(gravity, 3),
        words::number(oechsle(gravity), 0)
    ))
}

/// "bag 2", "bags 1, 2 and 3", "vine by vine"
fn bag_words(bags: &[u16]) -> String {
    let numbers: Vec<String> = bags.iter().map(u16::to_string).collect();
    match bags.len() {
        0 => "vine by vine".to_owned(),
        1 => format!("bag {}", numbers.join("")),
        _ => format!("bags {}", words::list(&numbers)),
    }
}
