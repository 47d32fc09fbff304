//! What a forecast comes to: dates with their span, or the words that stand in for them.
//! No pages here.

use super::Forecast;
use crate::science::ripeness::Attribute;
use chrono::{Days, NaiveDate};

/// Below this chance of getting there no date is given.
const UNLIKELY: f64 = 0.2;
/// Beyond this many days pH and acid are early by about six days, so that only weeks are honest.
const DATES_UP_TO_DAYS: f64 = 14.0;

/// The one thing to say about a forecast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Headline {
    /// No edge to reach is set.
    NoTarget,
    /// More likely than not beyond the far edge already.
    Past,
    /// Unlikely to reach it by the season end.
    Unlikely { not_reached: f64 },
    /// In about so many weeks.
    Weeks { about: u32, not_reached: f64 },
    /// About this date; the two others hold it 8 times in 10, if it gets there.
    Dates {
        about: NaiveDate,
        from: NaiveDate,
        to: NaiveDate,
        not_reached: f64,
    },
}

impl Forecast {
    /// The date of a number of days from today, rounded up to a whole day.
    pub fn date_after(&self, days: f64) -> Option<NaiveDate> {
        if !days.is_finite() || days < 0.0 {
            return None;
        }
        self.today.checked_add_days(Days::new(days.ceil() as u64))
    }

    /// What the forecast comes to.
    pub fn headline(&self) -> Headline {
        if self.is_past() {
            return Headline::Past;
        }
        let Some(reaching) = &self.reaching else {
            return Headline::NoTarget;
        };
        let not_reached = reaching.not_reached;
        let [Some(early), Some(middle), Some(late)] = reaching.quantiles_if_reached else {
            return Headline::Unlikely { not_reached };
        };
        if 1.0 - not_reached < UNLIKELY {
            return Headline::Unlikely { not_reached };
        }
        if self.attribute != Attribute::Brix && middle > DATES_UP_TO_DAYS {
            let about = (middle / 7.0).round() as u32;
            return Headline::Weeks { about, not_reached };
        }
        let dates = [middle, early, late].map(|days| self.date_after(days));
        match dates {
            [Some(about), Some(from), Some(to)] => Headline::Dates {
                about,
                from,
                to,
                not_reached,
            },
            _ => Headline::Unlikely { not_reached },
        }
    }
}
