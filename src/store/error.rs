//! What can go wrong in the store, told in a way the floors above can act on.
//! Not here: wording for pages (`web::error`), and wrong entries, which are no error.

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
        "the database is damaged ({0}); nothing was changed. Keep this file, put a copy of it that you made before in its place, and keep paper records until it works"
    )]
    Damaged(String),
    /// The SQLite library is one with a known fault.
    #[error(
        "this program was built with SQLite {0}, which can lose writes; 3.51.3 or later is needed"
    )]
    OldSqlite(String),
    /// What lies in the database can't be read as what it should be.
    #[error("{table} holds something that can't be read: {why}")]
    Unreadable { table: &'static str, why: String },
    /// The writer has stopped.
    #[error("the store is closing")]
    Closing,
    #[error("the migrations failed")]
    Migrate(#[from] sqlx::migrate::MigrateError),
    #[error("the database failed")]
    Database(sqlx::Error),
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        match error.as_database_error() {
            Some(found) if found.is_unique_violation() || found.is_foreign_key_violation() => {
                Self::Constraint(found.message().to_owned())
            }
            _ => Self::Database(error),
        }
    }
}

impl StoreError {
    /// For a value in a table that does not parse.
    pub(crate) fn unreadable(table: &'static str, why: impl ToString) -> Self {
        Self::Unreadable {
            table,
            why: why.to_string(),
        }
    }
}
