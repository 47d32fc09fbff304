//! One spray as a sheet shows it: finished words, and none where a sheet prints dots to write on.
//! Not here: which sprays a sheet shows (`board`, `season`).

use uuid::Uuid;

use super::hold_words::limit_words;
use super::spray_words::{
    GroundWords, clock_that_day, days, grounds, hours, temperature, volume, wind_and_temperature,
};
use crate::science::sprays::{Limit, Product};
use crate::store::SprayListed;
use crate::web::access::Who;
use crate::web::known::Known;
use crate::web::words;

/// All fields of a spray in words.
pub struct Shown {
    pub id: Uuid,
    pub grounds: Vec<GroundWords>,
    pub products: Vec<ProductShown>,
    pub volume: Option<String>,
    pub date: String,
    pub start: Option<String>,
    pub end: Option<String>,
    pub applicator: Option<String>,
    pub wind: Option<String>,
    pub temperature: Option<String>,
    /// Both together, for a narrow column.
    pub weather: Option<String>,
    pub label_read: bool,
    pub entry: LimitShown,
    pub picking: LimitShown,
    pub note: Option<String>,
}

/// One product of the tank.
pub struct ProductShown {
    pub name: String,
    pub registration: Option<String>,
    pub active: Option<String>,
    pub rate: Option<String>,
    pub hours: Option<String>,
    pub days: Option<String>,
}

/// The end of an interval, and how it stands now.
pub struct LimitShown {
    /// "Mon 6 Sept 10:40", or "until you type …"
    pub until: String,
    /// A moment, to be printed in key figures; else a sentence.
    pub is_moment: bool,
    pub running: bool,
}

impl Shown {
    pub fn of(listed: &SprayListed, known: &Known) -> Self {
        let spray = &listed.spray;
        let limits = spray.limits();
        Self {
            id: listed.id,
            grounds: grounds(spray, known),
            products: spray.products.iter().map(product).collect(),
            volume: volume(spray, known),
            date: words::day_and_year(spray.date),
            start: spray.start.map(|at| clock_that_day(at, spray.date, known)),
            end: spray.end.map(|at| clock_that_day(at, spray.date, known)),
            applicator: text(&spray.applicator),
            wind: text(&spray.wind),
            temperature: temperature(spray, known),
            weather: wind_and_temperature(spray, known),
            label_read: spray.label_read,
            entry: limit(&limits.entry, known),
            picking: limit(&limits.picking, known),
            note: text(&spray.note),
        }
    }

    /// Without names for guests who are not to see them.
    pub fn for_eyes_of(mut self, who: &Who) -> Self {
        self.applicator = self.applicator.filter(|_| who.sees_names());
        self
    }
}

fn product(product: &Product) -> ProductShown {
    ProductShown {
        name: product.name.clone(),
        registration: text(&product.registration),
        active: text(&product.active),
        rate: text(&product.rate),
        hours: hours(product),
        days: days(product),
    }
}

fn limit(limit: &Limit, known: &Known) -> LimitShown {
    let told = limit_words(limit, known);
    let is_moment = matches!(limit, Limit::At(_));
    let before = if is_moment {
        "closed until "
    } else {
        "closed "
    };
    LimitShown {
        until: told.replacen(before, "", 1),
        is_moment,
        running: match limit {
            Limit::At(at) => *at > known.now.fixed_offset(),
            Limit::ClosedUntilTyped(_) => true,
        },
    }
}

fn text(typed: &str) -> Option<String> {
    (!typed.trim().is_empty()).then(|| typed.trim().to_owned())
}
