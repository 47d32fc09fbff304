//! "How we figure", the house: state word, chance of all, rain, spray holds, counting back, units.
//! Not here: the sums (`science::harvest`, `science::weather`, `science::sprays`, `science::units`).

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveTime, TimeZone};
use chrono_tz::America::New_York;

use super::how_worked::{Formula, refused, shown};
use crate::science::harvest::Together;
use crate::science::ripeness::Window;
use crate::science::sources::Work;
use crate::science::sprays::{Limit, Product, first_pick, latest_finish, limits};
use crate::science::units::{MILLIMETRES_PER_INCH, TemperatureUnit};
use crate::science::weather::{WeatherDay, makes_stale, rain_since};
use crate::web::words;

pub fn formulas() -> Vec<Formula> {
    vec![state_word(), together(), rain(), hold(), latest(), units()]
}

fn state_word() -> Formula {
    let said = |value: f64, window: Window| match window.contains(value) {
        true => "inside",
        false => "not inside",
    };
    let brix = Window {
        low: Some(24.0),
        ..Window::default()
    };
    let acid = Window {
        high: Some(11.5),
        ..Window::default()
    };
    Formula {
        id: "state",
        name: "State word",
        words: "By the last sample, the first of the four that holds. Only values with a target \
                count; one that was never measured bars Ready. Beside the word, never instead of \
                it: stale after more than 7 days without a sample; decide, where rot is at your \
                limit or a hard frost was written down, whatever the °Brix.",
        formula: &[
            "Past: a value is beyond the far edge of your window, by a reading that does not look off.",
            "Ready: every value with a target was measured at most 4 days ago and lies inside, by a \
             reading that does not look off.",
            "Nearing: the early date of the slowest measured value is at most 5 days off, or all \
             that were measured are inside, but one is older than 4 days, looks off, or was never measured.",
            "Hanging: all else.",
        ],
        worked: format!(
            "24.3 °Brix of at least 24.0 is {}; TA 12.4 of at most 11.5 is {}. Not Ready until both \
             are.",
            said(24.3, brix),
            said(12.4, acid)
        ),
        works: Vec::new(),
        besides: "Common practice, no source.",
    }
}

fn together() -> Formula {
    let both = Together::of(0, [0.66, 0.9].into_iter());
    Formula {
        id: "together",
        name: "All inside on the same day",
        words: "Each value has a chance of being inside its window on a day. Their product is a \
                first answer; since the values ripen together, the smallest of them is the most it \
                can be. Told only when every value with a target has a forecast.",
        formula: &["About = P(°Brix) × P(pH) × P(acid); at most = the smallest of them."],
        worked: format!(
            "66 % and 90 %: about {}, at most {}.",
            words::percent(both.about),
            words::percent(both.at_most)
        ),
        works: Vec::new(),
        besides: "Elementary; that the errors move together is judgement, hence \"about\".",
    }
}

fn rain() -> Formula {
    let worked = worked_rain().unwrap_or_else(refused);
    Formula {
        id: "rain",
        name: "Rain since",
        words: "Rain written down for later days, and for the sample's own day unless both have a \
                time and the rain's is earlier. Enough of it and the date is struck through: \
                sample again 2 to 3 days after it.",
        formula: &["Struck through from a sum of 10 mm (0.4 in.) on."],
        worked,
        works: vec![Work::RainTradeArticle],
        besides: "The 10 mm are judgement.",
    }
}

fn worked_rain() -> Option<String> {
    let day = |day| NaiveDate::from_ymd_opt(2027, 9, day);
    let fell = |date, rain_mm| WeatherDay {
        date,
        time: None,
        rain_mm: Some(rain_mm),
        low_c: None,
        high_c: None,
        hard_frost: false,
        note: String::new(),
    };
    let fallen = [fell(day(4)?, 6.0), fell(day(5)?, 5.0)];
    let sum = rain_since(&fallen, day(3)?, None)?;
    let then = match makes_stale(sum) {
        true => "struck through",
        false => "not struck through",
    };
    Some(format!(
        "6 mm on the 4th and 5 mm on the 5th after a sample on the 3rd: {} mm, {then}.",
        words::plain(sum)
    ))
}

fn hold() -> Formula {
    let worked = worked_hold().unwrap_or_else(refused);
    Formula {
        id: "hold",
        name: "Spray holds",
        words: "The longest interval in the tank counts, and picking is never open before entry. \
                Elapsed hours, also over a change of clocks. A blank stays closed until you type \
                the label's figure.",
        formula: &[
            "Entry = end of spraying + the longest entry hours.",
            "Picking = the later of entry and end of spraying + 24 h × the longest days to harvest.",
        ],
        worked,
        works: the_rules(),
        besides: "The label rules.",
    }
}

fn the_rules() -> Vec<Work> {
    vec![
        Work::EpaWorkerProtection,
        Work::WashingtonCropGuide,
        Work::CaliforniaRule6772,
    ]
}

fn product(entry_hours: f64, harvest_days: f64) -> Product {
    Product {
        entry_hours: Some(entry_hours),
        harvest_days: Some(harvest_days),
        ..Product::default()
    }
}

fn worked_hold() -> Option<String> {
    let end = DateTime::parse_from_rfc3339("2027-09-04T10:40:00-04:00").ok()?;
    let tank = [product(12.0, 7.0), product(48.0, 14.0)];
    let found = limits(end, &tank).ok()?;
    let (Limit::At(entry), Limit::At(picking)) = (found.entry, found.picking) else {
        return None;
    };
    let today = end.date_naive();
    Some(format!(
        "End {}; 12 h and 7 days, 48 h and 14 days: entry {}, picking {}.",
        words::moment(&end, today),
        words::moment(&entry, today),
        words::moment(&picking, today)
    ))
}

fn latest() -> Formula {
    let worked = worked_latest().unwrap_or_else(refused);
    Formula {
        id: "latest-finish",
        name: "Latest finish of a spray",
        words: "Counted back from the hour at which picking is to start. An afternoon's finish \
                costs the next morning's pick, so the day before is the one to go by. From a real \
                end it is counted on: the first pick is the first day on which that hour is open.",
        formula: &[
            "Latest finish = wished start − the longer of 24 h × days to harvest and the entry \
             hours, in elapsed hours.",
            "In practice: the day before it, at any hour.",
        ],
        worked,
        works: the_rules(),
        besides: "The label rules; the day before is common practice.",
    }
}

fn worked_latest() -> Option<String> {
    let wish = New_York
        .with_ymd_and_hms(2027, 9, 14, 7, 30, 0)
        .earliest()?;
    let latest = latest_finish(wish, 66.0, 24.0).ok()?;
    let ended = New_York
        .with_ymd_and_hms(2027, 7, 14, 11, 0, 0)
        .earliest()?;
    let tank = [product(24.0, 66.0)];
    let Limit::At(picking) = limits(ended.fixed_offset(), &tank).ok()?.picking else {
        return None;
    };
    let start = NaiveTime::from_hms_opt(7, 30, 0)?;
    let first = first_pick::<FixedOffset>(&picking, New_York, start)?;
    let today = wish.date_naive();
    Some(format!(
        "Picking wished {}, 66 days and 24 h: finish by {}, in practice {}. It ended {}: picking {}, \
         first morning {}.",
        words::moment(&wish, today),
        words::moment(&latest.finish, today),
        words::day(latest.in_practice),
        words::moment(&ended, today),
        words::moment(&picking.with_timezone(&New_York), today),
        words::day(first)
    ))
}

fn units() -> Formula {
    Formula {
        id: "units",
        name: "Units",
        words: "What you type is kept as typed; sums are done in °C, grams, metres, millimetres of \
                rain and litres.",
        formula: &[
            "°C = (°F − 32) ÷ 1.8. 1 in. = 25.4 mm, 1 ft = 0.3048 m, 1 lb = 453.59237 g, 1 US \
             gallon = 3.785411784 L.",
        ],
        worked: format!(
            "68 °F: {} °C. 0.4 in.: {} mm.",
            shown(Some(TemperatureUnit::Fahrenheit.to_celsius(68.0)), 1),
            shown(Some(0.4 * MILLIMETRES_PER_INCH), 2)
        ),
        works: vec![Work::NistUnits],
        besides: "",
    }
}
