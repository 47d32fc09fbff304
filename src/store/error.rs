//! What can go wrong in the store, told in a way the floors above can act on.
//! Not here: wording for pages (`web::error`), and wrong entries, which are no error.

use sqlx::error::DatabaseError;
use sqlx::migrate::MigrateError;

/// A failure of the store.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// A rule of the tables was broken; the name is the constraint's.
    #[error("the rule {0} does not allow this")]
    Constraint(String),
    /// The house does not do what was asked of it, for the reason given; nothing was written.
    #[error("{0}")]
    Refused(&'static str),
    /// The file belongs to another program or is no database.
    #[error("{0} is not an Endpost database")]
    Foreign(String),
    /// The file was written by a newer Endpost.
    #[error(
        "this database was written by a newer Endpost (its schema is {found}, this program knows {known}); start the newer program"
    )]
    Newer { found: i64, known: i64 },
    /// The file was written by an older Endpost, and whoever looks may not change it.
    #[error(
        "this database was written by an older Endpost (its schema is {found}, this program has {known}); `endpost serve` brings it up to date"
    )]
    Older { found: i64, known: i64 },
    /// SQLite's own look at the file finds faults in it.
    #[error(
        "the database is damaged ({0}); nothing was changed. Keep this file, put the last good copy in its place with `endpost restore`, and keep paper records until it works"
    )]
    Damaged(String),
    /// A copy does not hold what it was made of.
    #[error("the copy is not like the data: {0}")]
    Unlike(String),
    /// The SQLite library is one with a known fault.
    #[error(
        "this program was built with SQLite {0}, which can lose writes; 3.51.3 or later is needed"
    )]
    OldSqlite(String),
    /// What lies in the database can't be read as what it should be.
    #[error("{table} holds something that can't be read: {why}")]
    Unreadable { table: &'static str, why: String },
    /// Nothing more can be written to the disk.
    #[error("the disk is full or can't be written to")]
    Full,
    /// The writer has stopped.
    #[error("the store is closing")]
    Closing,
    #[error("the migrations failed")]
    Migrate(#[source] MigrateError),
    #[error("the database failed")]
    Database(#[source] sqlx::Error),
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        match error.as_database_error() {
            Some(found) if found.is_unique_violation() || found.is_foreign_key_violation() => {
                Self::Constraint(found.message().to_owned())
            }
            Some(found) if is_damage(found) => Self::Damaged(found.message().to_owned()),
            Some(found) if is_no_database(found) => Self::foreign(),
            _ if is_full(&error) => Self::Full,
            _ => Self::Database(error),
        }
    }
}

impl From<MigrateError> for StoreError {
    fn from(error: MigrateError) -> Self {
        match error {
            MigrateError::Execute(within) | MigrateError::ExecuteMigration(within, _)
                if within.as_database_error().is_some_and(is_damage) || is_full(&within) =>
            {
                within.into()
            }
            error => Self::Migrate(error),
        }
    }
}

fn code(error: &dyn DatabaseError) -> Option<i64> {
    error.code()?.parse().ok()
}

/// SQLite's code 11, in all its finer kinds, says that a file is damaged.
fn is_damage(error: &dyn DatabaseError) -> bool {
    code(error).is_some_and(|code| code & 0xff == 11)
}

/// SQLite says of a file that is none of its own that it is "not a database".
fn is_no_database(error: &dyn DatabaseError) -> bool {
    code(error) == Some(26)
}

/// Whether SQLite found no room to write. Its code 13 says so of the disk; 8 of a file or folder
/// that may only be read; of its code 10 those kinds that stand for writing, keeping and cutting.
pub(super) fn is_full(error: &sqlx::Error) -> bool {
    const WRITE: i64 = 10 | (3 << 8);
    const FSYNC: i64 = 10 | (4 << 8);
    const DIR_FSYNC: i64 = 10 | (5 << 8);
    const TRUNCATE: i64 = 10 | (6 << 8);
    const SHM_SIZE: i64 = 10 | (19 << 8);
    let Some(code) = error.as_database_error().and_then(code) else {
        return false;
    };
    matches!(code & 0xff, 8 | 13) || [WRITE, FSYNC, DIR_FSYNC, TRUNCATE, SHM_SIZE].contains(&code)
}

impl StoreError {
    /// For a file that is none of ours.
    pub(super) fn foreign() -> Self {
        Self::Foreign("this file".to_owned())
    }

    /// What is wrong with a file that was opened as ours, if this error says so: what is no database
    /// any more is one whose beginning is spoiled.
    pub(crate) fn damage_while_served(&self) -> Option<&str> {
        match self {
            Self::Damaged(why) => Some(why),
            Self::Foreign(_) => Some("its beginning can't be read"),
            _ => None,
        }
    }

    /// For a value in a table that does not parse.
    pub(crate) fn unreadable(table: &'static str, why: impl ToString) -> Self {
        Self::Unreadable {
            table,
            why: why.to_string(),
        }
    }
}
