//! Clock times of a spray as moments: past midnight, and over a change of the clocks.
//! Nothing is guessed: what the clock showed twice, or never, goes back to the keeper.
//! Not here: what follows for the holds (`science::sprays`).

use chrono::{DateTime, NaiveDate, NaiveTime};
use chrono_tz::{OffsetComponents, Tz};

use crate::science::zone::{Local, local};
use crate::web::form::{Reader, Reading};
use crate::web::words;

/// A spray longer than this is asked about with its two times exchanged (judgement).
const LONG_HOURS: i64 = 12;

/// Which of two hours with the same name on the clock.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Which {
    First,
    Second,
}

impl Which {
    const fn words(self) -> &'static str {
        match self {
            Self::First => "the first time",
            Self::Second => "the second time",
        }
    }
}

/// A time of day, with the word that tells two of the same name apart.
#[derive(Clone, Copy)]
struct Typed {
    clock: NaiveTime,
    which: Option<Which>,
}

/// The start and the end of spraying.
pub struct Times {
    pub start: Option<DateTime<Tz>>,
    pub end: Option<DateTime<Tz>>,
}

/// Reads `started` and `ended` on the day of spraying; without a day only their form is looked at.
pub fn read(reader: &mut Reader, zone: Tz, date: Option<NaiveDate>) -> Times {
    let (started, ended) = (typed(reader, "started"), typed(reader, "ended"));
    if reader.text("ended").is_none() {
        ask_for_the_end(reader);
    }
    let Some(date) = date else {
        return Times {
            start: None,
            end: None,
        };
    };
    let start = started.and_then(|typed| resolved(reader, "started", typed, date, zone));
    let end = ended.and_then(|ended| match started {
        Some(started) if ended.clock < started.clock => {
            after_midnight(reader, zone, date, started.clock, ended, start)
        }
        _ => resolved(reader, "ended", ended, date, zone),
    });
    if let (Some(start), Some(end)) = (start, end)
        && end < start
    {
        reader.wrong("ended", "Spraying would have ended before it began.");
    }
    Times { start, end }
}

/// One typed time on a day as a moment; asked about where the clocks make it doubtful.
pub fn moment(reader: &mut Reader, name: &str, date: NaiveDate, zone: Tz) -> Option<DateTime<Tz>> {
    let typed = typed(reader, name)?;
    resolved(reader, name, typed, date, zone)
}

fn ask_for_the_end(reader: &mut Reader) {
    let typed = reader.raw("ended").to_owned();
    reader.ask(
        "ended",
        "When did spraying end? All hours and days count from there. Without it the blocks are \
         closed until you type it.",
        &[Reading {
            label: "Leave it empty, keep them closed".to_owned(),
            changes: vec![("ended".to_owned(), typed)],
        }],
    );
}

fn typed(reader: &mut Reader, name: &str) -> Option<Typed> {
    let text = reader.text(name)?;
    let told = [Which::First, Which::Second].into_iter().find_map(|which| {
        let clock = text.strip_suffix(which.words())?;
        let clock = clock.trim_end().trim_end_matches(',').replace('.', ":");
        let clock = NaiveTime::parse_from_str(&clock, "%H:%M").ok()?;
        let which = Some(which);
        Some(Typed { clock, which })
    });
    told.or_else(|| reader.time(name).map(|clock| Typed { clock, which: None }))
}

/// An end earlier than its start belongs to the next day, which is asked once.
fn after_midnight(
    reader: &mut Reader,
    zone: Tz,
    date: NaiveDate,
    started: NaiveTime,
    ended: Typed,
    start: Option<DateTime<Tz>>,
) -> Option<DateTime<Tz>> {
    // Begun at 01:50, the clocks set back to 01:00, ended at 01:20 the second time: one day.
    if ended.which == Some(Which::Second)
        && let Local::Twice { second, .. } = local(zone, date, ended.clock)
        && start.is_none_or(|start| start <= second)
    {
        return Some(second);
    }
    let next = date.succ_opt()?;
    let end = resolved(reader, "ended", ended, next, zone)?;
    // Which of two hours it was, was told of the next day by name.
    if ended.which.is_some() && matches!(local(zone, next, ended.clock), Local::Twice { .. }) {
        return Some(end);
    }
    let as_typed = |name: &str| (name.to_owned(), reader.raw(name).to_owned());
    let mut readings = vec![Reading {
        label: format!("Yes, {} on {}", words::clock(ended.clock), words::day(next)),
        changes: vec![as_typed("ended")],
    }];
    if (end.naive_local() - date.and_time(started)).num_hours() >= LONG_HOURS {
        let (started, ended) = (as_typed("started").1, as_typed("ended").1);
        readings.push(Reading {
            label: format!("No, from {ended} to {started}"),
            changes: vec![("started".to_owned(), ended), ("ended".to_owned(), started)],
        });
    }
    reader.ask(
        "ended",
        format!(
            "The end, {}, is earlier than the start, {}. Did spraying end the next day, {}?",
            words::clock(ended.clock),
            words::clock(started),
            words::day(next)
        ),
        &readings,
    );
    Some(end)
}

fn resolved(
    reader: &mut Reader,
    name: &str,
    typed: Typed,
    date: NaiveDate,
    zone: Tz,
) -> Option<DateTime<Tz>> {
    let clock = words::clock(typed.clock);
    let day = words::day_and_year(date);
    match local(zone, date, typed.clock) {
        Local::Once(moment) => Some(moment),
        Local::Twice { first, second } => match typed.which {
            Some(Which::First) => Some(first),
            Some(Which::Second) => Some(second),
            None => {
                let reading = |which: Which, at: DateTime<Tz>, other: DateTime<Tz>| {
                    let told = format!("{clock}, {}", which.words());
                    Reading {
                        label: format!("{told}{}", season(at, other)),
                        changes: vec![(name.to_owned(), told)],
                    }
                };
                reader.wrong_unless(
                    name,
                    format!(
                        "On {day} the clocks are set back, and {clock} comes twice. Which one was \
                         it?"
                    ),
                    &[
                        reading(Which::First, first, second),
                        reading(Which::Second, second, first),
                    ],
                );
                None
            }
        },
        Local::Never { before, after } => {
            let [before, after] = [before, after].map(|at| words::clock(at.time()));
            let reading = |clock: &str| Reading {
                label: format!("It was {clock}"),
                changes: vec![(name.to_owned(), clock.to_owned())],
            };
            reader.wrong_unless(
                name,
                format!(
                    "On {day} the clocks are set forward, and {clock} never comes. It was \
                     {before} or {after}."
                ),
                &[reading(&before), reading(&after)],
            );
            None
        }
    }
}

/// " (summer time)" or " (standard time)", where that is what tells the two apart.
fn season(at: DateTime<Tz>, other: DateTime<Tz>) -> &'static str {
    let shift = |moment: DateTime<Tz>| moment.offset().dst_offset();
    match (shift(at) == shift(other), shift(at).is_zero()) {
        (true, _) => "",
        (false, true) => " (standard time)",
        (false, false) => " (summer time)",
    }
}
