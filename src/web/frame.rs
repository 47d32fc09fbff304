//! What stands around every page: title, farm and date, the places at the bottom, the style.
//! Not here: the pages.

use chrono::{DateTime, NaiveDate};
use chrono_tz::Tz;
use uuid::Uuid;

use super::App;
use super::error::PageError;
use super::known::Known;
use super::{scripts, words};
use crate::science::access::{Rule, Standing};

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
    /// Which copy the page is drawn from, where the damaged database does not give it: for
    /// everybody, and on paper too.
    pub copy: Option<String>,
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
    /// Whoever looks may enter, is the keeper, may change settings where they are: what a page
    /// offers to do beyond that would only lead to a shut door.
    pub may_enter: bool,
    pub keeper: bool,
    pub settings: bool,
    /// The path of a page that the keeper can share.
    pub share: Option<String>,
    /// Whoever looks came by a link, and sees this page alone.
    pub guest: bool,
}

/// What every page must say as long as it is so.
fn alarms(known: &Known, app: &App) -> Vec<String> {
    let older_copy = app.store.older_copy_put_back().then(|| {
        "An older copy of the data was put back. Phones offer again what is missing.".to_owned()
    });
    older_copy.into_iter().chain(troubles(known, app)).collect()
}

/// What is wrong with this computer, its clock and its disks; the start says it too.
pub fn troubles(known: &Known, app: &App) -> Vec<String> {
    let clock = known.ahead_of_the_clock().map(|newest| {
        format!(
            "This computer's clock says {}, but the newest entry came {}: set its clock.",
            words::moment(&known.now, known.today),
            words::moment(&newest, known.today)
        )
    });
    clock
        .into_iter()
        .chain(troubles_without_data(app))
        .collect()
}

fn copy_words(made: DateTime<Tz>, known: &Known) -> String {
    format!(
        "This page is drawn from the copy of {}: what came in after it is not on it, and a block \
         that stands open here may be closed. Ask before you go in. What you enter is kept all the \
         same.",
        words::moment(&made, known.today)
    )
}

/// The same as far as it can be told when the data can't be read.
pub fn troubles_without_data(app: &App) -> Vec<String> {
    let mends = app.who.is_keeper() || app.who.at_the_house || !app.who.is_in();
    let damage = app.store.damage().map(|_| {
        if !mends {
            return "THE DATABASE IS DAMAGED. Tell the keeper, and go on: what is entered now is \
                    kept, and comes in afterwards."
                .to_owned();
        }
        format!(
            "THE DATABASE IS DAMAGED. Pages show what can still be read of it. What is entered now \
             is kept beside it ({} so far) and comes in afterwards. To mend it, stop Endpost on the \
             farm computer and put a good copy back{}",
            words::counted(app.store.kept_beside(), "entry", "entries"),
            match app.keeping.restore_command(app.store.stand_in_lies_at().as_deref()) {
                Some(command) => format!("; type there: {command}"),
                None => ".".to_owned(),
            }
        )
    });
    let disk = app.disk.words();
    let copies = app.keeping.alarms();
    damage.into_iter().chain(disk).chain(copies).collect()
}

impl Frame {
    /// What is around a page for whoever asks for it: a stranger sees nothing of the farm there, and
    /// a guest no more than its name.
    pub fn new(known: &Known, app: &App, title: &str) -> Self {
        let made = app.store.is_copy_of();
        let bare = Self {
            day: known.today,
            guest: matches!(app.who.standing, Standing::Guest(_)),
            copy: made.map(|made| copy_words(made.with_timezone(&known.zone), known)),
            ..Self::bare(app, title)
        };
        if app.who.standing == Standing::Stranger {
            return bare;
        }
        let farm = known.farm.as_ref();
        let named = Self {
            farm: farm.map_or_else(String::new, |farm| farm.name.clone()),
            date: words::day(known.today),
            ..bare
        };
        if named.guest {
            return named;
        }
        Self {
            need_a_look: known.need_a_look,
            alarms: alarms(known, app),
            places: PLACES,
            ..named
        }
    }

    /// The frame of a page that helps where the farm can't be read as well.
    pub async fn even_if_damaged(app: &App, title: &str) -> Result<Self, PageError> {
        match Known::load(app).await {
            Ok(known) => Ok(Self::new(&known, app, title)),
            // Where a copy stands in, it is asked next.
            Err(error) if app.store.damage().is_none() || app.store.waits_for_stand_in() => {
                Err(error)
            }
            Err(_) if !app.who.is_in() => Ok(Self::bare(app, title)),
            Err(_) => Ok(Self {
                alarms: troubles_without_data(app),
                ..Self::bare(app, title)
            }),
        }
    }

    /// The frame of a page that shows nothing of the farm.
    pub fn bare(app: &App, title: &str) -> Self {
        let now = app.clock.now();
        Self {
            title: title.to_owned(),
            farm: String::new(),
            date: String::new(),
            demo: app.demo,
            need_a_look: 0,
            alarms: Vec::new(),
            copy: None,
            style: STYLE,
            places: &[],
            here: "",
            across: false,
            server: app.store.house().server_id,
            drawn: now.timestamp_millis(),
            day: now.date_naive(),
            keep: false,
            scripts: vec![scripts::address("page.js")],
            may_enter: app.who.may(Rule::Enter),
            keeper: app.who.is_keeper(),
            settings: app.who.may(Rule::House),
            share: None,
            guest: false,
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

    /// A page that the keeper can share by a link.
    pub fn shared_at(mut self, path: String, app: &App) -> Self {
        self.share = app.who.is_keeper().then_some(path);
        self
    }

    /// A page that a phone may keep; its answer goes through `kept::may_be_kept` as well.
    pub fn to_keep(mut self) -> Self {
        // What is drawn from a copy is not what it will be tomorrow.
        self.keep = self.copy.is_none();
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
