//! Time zones of the IANA list, and what a typed wall-clock time means in one.
//!
//! How a time is written on a page is not here, and neither is "now".

use chrono::{DateTime, Duration, LocalResult, NaiveDate, NaiveTime, Offset, TimeZone};
use chrono_tz::{TZ_VARIANTS, Tz};
use thiserror::Error;

/// Why a text names no zone.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum ZoneError {
    #[error("No time zone was typed. Write one such as America/New_York.")]
    Empty,
    #[error(
        "There is no time zone \"{typed}\". Write it with its continent, such as America/New_York."
    )]
    Unknown { typed: String },
    #[error("\"{typed}\" could be {}. Write one of them in full.", .zones.join(" or "))]
    Several { typed: String, zones: Vec<String> },
}

/// The zone that a farm's settings name; that of Greenwich before they name any. What they hold was
/// checked when it was typed.
pub fn farm_zone(name: Option<&str>) -> Tz {
    name.and_then(|name| parse_zone(name).ok())
        .unwrap_or(Tz::UTC)
}

/// Finds a zone by its IANA name, whatever the case and the blanks; a city alone will do where
/// only one zone has it.
///
/// ```
/// use endpost::science::zone::parse_zone;
/// assert_eq!(parse_zone("america / new york").unwrap(), chrono_tz::America::New_York);
/// assert_eq!(parse_zone("Vienna").unwrap(), chrono_tz::Europe::Vienna);
/// ```
pub fn parse_zone(text: &str) -> Result<Tz, ZoneError> {
    let wanted = plain(text);
    if wanted.is_empty() {
        return Err(ZoneError::Empty);
    }
    if let Ok(zone) = text.trim().parse() {
        return Ok(zone);
    }
    if let Some(zone) = TZ_VARIANTS.iter().find(|zone| plain(zone.name()) == wanted) {
        return Ok(*zone);
    }
    let by_city: Vec<Tz> = TZ_VARIANTS
        .iter()
        .copied()
        .filter(|zone| {
            let name = plain(zone.name());
            name.rsplit_once('/')
                .is_some_and(|(_, city)| city == wanted)
        })
        .collect();
    let typed: String = text.trim().chars().take(40).collect();
    match by_city.as_slice() {
        [zone] => Ok(*zone),
        [] => Err(ZoneError::Unknown { typed }),
        several => Err(ZoneError::Several {
            typed,
            zones: several.iter().map(|zone| zone.name().to_owned()).collect(),
        }),
    }
}

fn plain(text: &str) -> String {
    text.split('/')
        .map(|part| {
            let words: Vec<&str> = part
                .split(|c: char| c.is_whitespace() || c == '_')
                .filter(|word| !word.is_empty())
                .collect();
            words.join("_").to_lowercase()
        })
        .collect::<Vec<_>>()
        .join("/")
}

/// What a wall-clock time means on a date.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Local {
    Once(DateTime<Tz>),
    /// The clock was set back over it: it came twice that day.
    Twice {
        first: DateTime<Tz>,
        second: DateTime<Tz>,
    },
    /// The clock was set forward over it: it never came. `before` and `after` are as far from
    /// the change as the typed time was past it, on either side: 02:30 gives 01:30 and 03:30.
    Never {
        before: DateTime<Tz>,
        after: DateTime<Tz>,
    },
}

/// The moment at which a date begins in a zone.
///
/// ```
/// use endpost::science::zone::start_of;
/// let date = chrono::NaiveDate::from_ymd_opt(2027, 9, 14).unwrap();
/// let start = start_of(date, chrono_tz::America::New_York);
/// assert_eq!(start.to_rfc3339(), "2027-09-14T00:00:00-04:00");
/// ```
pub fn start_of(date: NaiveDate, zone: Tz) -> DateTime<Tz> {
    match local(zone, date, NaiveTime::MIN) {
        Local::Once(start) | Local::Twice { first: start, .. } => start,
        // The day begins with the first moment that its clocks show.
        Local::Never { after, .. } => after,
    }
}

/// Finds the moments at which the clocks of a zone showed a time on a date.
///
/// ```
/// use endpost::science::zone::{local, Local};
/// use chrono::{NaiveDate, NaiveTime};
/// let date = NaiveDate::from_ymd_opt(2027, 11, 7).unwrap();
/// let time = NaiveTime::from_hms_opt(1, 30, 0).unwrap();
/// assert!(matches!(local(chrono_tz::America::New_York, date, time), Local::Twice { .. }));
/// ```
pub fn local(zone: Tz, date: NaiveDate, time: NaiveTime) -> Local {
    let wall = date.and_time(time);
    match zone.from_local_datetime(&wall) {
        LocalResult::Single(moment) => Local::Once(moment),
        LocalResult::Ambiguous(first, second) => Local::Twice {
            first: first.min(second),
            second: first.max(second),
        },
        LocalResult::None => {
            // Two days either side is further than any offset, and no zone changes twice in it.
            let offset_at = |days: i64| {
                let near = wall
                    .checked_add_signed(Duration::days(days))
                    .unwrap_or(wall);
                zone.offset_from_utc_datetime(&near).fix().local_minus_utc()
            };
            let with = |seconds: i32| {
                let utc = wall
                    .checked_sub_signed(Duration::seconds(i64::from(seconds)))
                    .unwrap_or(wall);
                zone.from_utc_datetime(&utc)
            };
            let (one, other) = (with(offset_at(-2)), with(offset_at(2)));
            Local::Never {
                before: one.min(other),
                after: one.max(other),
            }
        }
    }
}
