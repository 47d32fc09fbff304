//! The year as it happened: closing a season, and the mark on what came in about it afterwards.
//! Not here: the things themselves.

mod season_form;

use chrono::{Datelike, NaiveDate};

pub use season_form::SeasonForm;

use super::known::Known;
use super::site::Site;
use super::words;
use crate::store::ledger::Entry;

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.form(&SeasonForm)
}

/// "Season 2026 was closed on Sat 12 Dec; this came later." `first` is what the entry's record began
/// with: taking something back happens on no day of its own.
pub fn came_after_close(entry: &Entry, first: &Entry, known: &Known) -> Option<String> {
    let day: NaiveDate = entry.happened.date.or(first.happened.date)?;
    let closed = known.closed_seasons.iter();
    let closed = closed.filter(|one| one.year == day.year());
    let closed = closed.min_by_key(|one| one.arrival_no)?;
    (entry.arrival_no > closed.arrival_no).then(|| {
        let on = closed.at.with_timezone(&known.zone).date_naive();
        let on = match on.year() == known.today.year() {
            true => words::day(on),
            false => words::day_and_year(on),
        };
        format!(
            "Season {} was closed on {on}; this came later.",
            closed.year
        )
    })
}
