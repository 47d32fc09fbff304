//! What stands around every page: title, farm and date, the places at the bottom, the style.
//! Not here: the pages.

use chrono::NaiveDate;
use uuid::Uuid;

use super::App;
use super::known::Known;
use super::{scripts, words};

/// The style of every page, inside the page itself: a file of its own would cost a phone at the
/// edge of the Wi-Fi another round trip.
pub const STYLE: &str = concat!(
    include_str!("../../static/style.css"),
    "@media print{",
    include_str!("../../static/print.css"),
    "}"
);

/// One place at the bottom of every page.
pub struct Place {
    pub name: &'static str,
    pub path: &'static str,
}

const PLACES: &[Place] = &[
    Place {
        name: "Today",
        path: "/",
    },
    Place {
        name: "Rows",
        path: "/blocks",
    },
    Place {
        name: "Sprays",
        path: "/sprays",
    },
    Place {
        name: "Sheets",
        path: "/sheets",
    },
    Place {
        name: "House",
        path: "/house",
    },
];

/// What a page tells the frame.
pub struct Frame {
    pub title: String,
    pub farm: String,
    pub date: String,
    pub demo: bool,
    pub need_a_look: i64,
    /// What is wrong with this computer or its data, in sentences.
    pub alarms: Vec<String>,
    pub style: &'static str,
    pub places: &'static [Place],
    /// Path of the place this page belongs to.
    pub here: &'static str,
    /// Paper laid across: a sheet with a wide table.
    pub across: bool,
    /// The house that drew the page: what is typed on it is kept for this one.
    pub server: Uuid,
    /// When it was drawn, in milliseconds, and the farm's day then.
    pub drawn: i64,
    pub day: NaiveDate,
    /// A phone may keep the page for opening out of range.
    pub keep: bool,
    /// Addresses of the page's scripts.
    pub scripts: Vec<String>,
}

/// What every page must say as long as it is so.
fn alarms(known: &Known, app: &App) -> Vec<String> {
    let clock = known.ahead_of_the_clock().map(|newest| {
        format!(
            "This computer's clock says {}, but the newest entry came {}: set its clock.",
            words::moment(&known.now, known.today),
            words::moment(&newest, known.today)
        )
    });
    let older_copy = app.store.older_copy_put_back().then(|| {
        "An older copy of the data was put back. Phones offer again what is missing.".to_owned()
    });
    let disk = app.disk.words();
    clock.into_iter().chain(older_copy).chain(disk).collect()
}

impl Frame {
    pub fn new(known: &Known, app: &App, title: &str) -> Self {
        Self {
            title: title.to_owned(),
            farm: known
                .farm
                .as_ref()
                .map_or_else(String::new, |farm| farm.name.clone()),
            date: words::day(known.today),
            demo: app.demo,
            need_a_look: known.need_a_look,
            alarms: alarms(known, app),
            style: STYLE,
            places: PLACES,
            here: "",
            across: false,
            server: app.store.house().server_id,
            drawn: known.now.timestamp_millis(),
            day: known.today,
            keep: false,
            scripts: vec![scripts::address("page.js")],
        }
    }

    pub fn at(mut self, here: &'static str) -> Self {
        self.here = here;
        self
    }

    pub fn across(mut self) -> Self {
        self.across = true;
        self
    }

    /// A page that a phone may keep; its answer goes through `kept::may_be_kept` as well.
    pub fn to_keep(mut self) -> Self {
        self.keep = true;
        self
    }

    pub fn with_script(mut self, name: &str) -> Self {
        self.scripts.push(scripts::address(name));
        self
    }

    pub fn need_a_look_words(&self) -> String {
        match self.need_a_look {
            1 => "1 entry needs a look".to_owned(),
            many => format!("{many} entries need a look"),
        }
    }
}
