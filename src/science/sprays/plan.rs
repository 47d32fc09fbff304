//! Counting back from a wished picking to the latest finish of a spray, and on to the first pick.
//!
//! The intervals are the label's, typed; what they do to a block today is in `hold`.

use super::hold::{HoldError, check, elapsed};
use super::record::Product;
use chrono::{DateTime, Days, Duration, NaiveDate, NaiveTime, TimeZone};
use chrono_tz::Tz;

/// The latest end of spraying that still lets the wished picking start.
#[derive(Clone, Debug, PartialEq)]
pub struct LatestFinish {
    pub finish: DateTime<Tz>,
    /// The last date on which spraying may end at any hour.
    pub in_practice: NaiveDate,
}

/// Counts back from the wished start of picking: finish = wish − the longer of 24 h × days to
/// harvest and the entry hours, in elapsed time.
///
/// Hours 0 to 8760, days 0 to 366, fractions allowed. An afternoon's finish costs the next
/// morning's pick, so the date to go by in practice is the day before the finish.
///
/// ```
/// use endpost::science::sprays::latest_finish;
/// use chrono::TimeZone;
/// let zone = chrono_tz::America::New_York;
/// let wish = zone.with_ymd_and_hms(2027, 9, 14, 7, 30, 0).unwrap();
/// let latest = latest_finish(wish, 66.0, 12.0).unwrap();
/// assert_eq!(latest.finish, zone.with_ymd_and_hms(2027, 7, 10, 7, 30, 0).unwrap());
/// ```
pub fn latest_finish(
    wished_start: DateTime<Tz>,
    harvest_days: f64,
    entry_hours: f64,
) -> Result<LatestFinish, HoldError> {
    check(&Product {
        name: "the product".to_owned(),
        entry_hours: Some(entry_hours),
        harvest_days: Some(harvest_days),
        ..Product::default()
    })?;
    let wait = elapsed((24.0 * harvest_days).max(entry_hours));
    let finish = wished_start
        .checked_sub_signed(wait)
        .ok_or(HoldError::EndOutOfRange)?;
    let in_practice = finish
        .date_naive()
        .pred_opt()
        .ok_or(HoldError::EndOutOfRange)?;
    Ok(LatestFinish {
        finish,
        in_practice,
    })
}

/// The first date on which picking may start at the usual hour.
///
/// `None` only at the far end of the calendar. On a day whose clocks skip the usual hour, the
/// hour as it would have been counts.
pub fn first_pick<Z: TimeZone>(
    picking_from: &DateTime<Z>,
    zone: Tz,
    usual_start: NaiveTime,
) -> Option<NaiveDate> {
    let opens = picking_from.with_timezone(&zone);
    let today = opens.date_naive();
    let start = match zone.from_local_datetime(&today.and_time(usual_start)) {
        chrono::LocalResult::Single(moment) => moment,
        chrono::LocalResult::Ambiguous(first, _) => first,
        chrono::LocalResult::None => {
            let hour_on = today.and_time(usual_start) + Duration::hours(1);
            zone.from_local_datetime(&hour_on).earliest()?
        }
    };
    if start >= opens {
        Some(today)
    } else {
        today.checked_add_days(Days::new(1))
    }
}
