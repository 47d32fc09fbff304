//! Every table of the database, said once: what it holds, and whether it is made from entries.
//! The check, the export and its data dictionary read this list; a test holds it complete.
//! Not here: the tables' columns, which SQLite itself is asked for.

/// Where a table's rows come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// From the ledger's entries alone: a replay finds the same rows.
    Entries,
    /// The ledger itself.
    Ledger,
    /// From elsewhere, for the reason given; the check leaves it out and says so.
    Elsewhere(&'static str),
    /// The same, and it opens the door: it leaves the house only in copies of the whole database.
    Guarded(&'static str),
}

impl Origin {
    /// Why the check leaves the table out; none where it does not.
    pub fn left_out(self) -> Option<&'static str> {
        match self {
            Self::Elsewhere(why) | Self::Guarded(why) => Some(why),
            Self::Entries | Self::Ledger => None,
        }
    }
}

/// The tables that an export writes out.
pub fn exported() -> impl Iterator<Item = &'static Table> {
    let guarded = |table: &&Table| matches!(table.origin, Origin::Guarded(_));
    TABLES.iter().filter(move |table| !guarded(table))
}

/// One table.
#[derive(Clone, Copy, Debug)]
pub struct Table {
    pub name: &'static str,
    pub holds: &'static str,
    pub origin: Origin,
}

const fn record(name: &'static str, holds: &'static str) -> Table {
    Table {
        name,
        holds,
        origin: Origin::Entries,
    }
}

/// All tables.
pub const TABLES: &[Table] = &[
    Table {
        name: "ledger",
        holds: "every entry as it arrived: typed text, values understood, who, when, what became of it",
        origin: Origin::Ledger,
    },
    record(
        "farm",
        "name, time zone, units, whom to call, what helpers need to find",
    ),
    record("assumptions", "figures of judgement the keeper has set"),
    record("person", "the people, by initials"),
    record("block", "the blocks"),
    record("block_rows", "from which day a block had which rows"),
    record(
        "block_row",
        "the rows of such a list, with the vine places of each panel",
    ),
    record(
        "vine_event",
        "what happened to single vines: gone, planted, grafted",
    ),
    record(
        "target",
        "what is wanted of a block from a day on, and its season end",
    ),
    record("instrument", "refractometers and their zero"),
    record(
        "sample",
        "sample days: one row for each entry of bags or stops",
    ),
    record(
        "sample_bag",
        "the bags of a sample; ta_g_per_l is tartaric acid",
    ),
    record(
        "sample_reading",
        "readings of a bag's juice: raw as read, value after correction",
    ),
    record("sample_stop", "single vines or clusters read in the row"),
    record("sample_skipped", "vines of a walk that were passed over"),
    record(
        "weather",
        "rain, lowest and highest temperature, hard frost, by day",
    ),
    record("spray", "sprays; a null ended_at keeps the blocks closed"),
    record("spray_block", "the blocks a spray covered"),
    record(
        "spray_row",
        "the rows a spray covered, whole blocks spelled out",
    ),
    record(
        "spray_product",
        "the products of a tank, with the intervals typed from the label; null means not typed",
    ),
    record("cluster_card", "cards of clusters counted and weighed"),
    record("cluster_count", "the clusters of each vine on a card"),
    record("cluster_weight", "the weights of single clusters on a card"),
    record("day_list", "what helpers do on a day: one list a day"),
    record(
        "day_list_line",
        "the lines of such a list, and what is not to be touched",
    ),
    record(
        "card",
        "paper cards by the code printed on them, with the vines of a walk",
    ),
    record("season_closed", "seasons that were closed, by their year"),
    Table {
        name: "house",
        holds: "this database's own identity",
        origin: Origin::Elsewhere("the identity is made once, at the first start"),
    },
    Table {
        name: "device",
        holds: "phones and computers seen here",
        origin: Origin::Elsewhere("its marks are for a list of phones; no record hangs on them"),
    },
    Table {
        name: "told_address",
        holds: "the addresses that phones were told to come by",
        origin: Origin::Elsewhere("they are the network's, and no record hangs on them"),
    },
    Table {
        name: "passphrase",
        holds: "what the keeper's passphrase is known again by",
        origin: Origin::Guarded("it opens the door, and no record hangs on it"),
    },
    Table {
        name: "session",
        holds: "phones and computers that were let in",
        origin: Origin::Guarded("they open the door, and no record hangs on them"),
    },
    Table {
        name: "share",
        holds: "links that show one page to whoever has them",
        origin: Origin::Guarded("they open the door, and no record hangs on them"),
    },
    Table {
        name: "restore_tried",
        holds: "the days on which it was tried to bring a copy back on another machine",
        origin: Origin::Elsewhere("it is about this house's copies, and no record hangs on it"),
    },
    Table {
        name: "_sqlx_migrations",
        holds: "which migrations were applied",
        origin: Origin::Elsewhere("migrations are applied at start"),
    },
];
