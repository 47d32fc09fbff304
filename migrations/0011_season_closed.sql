-- Seasons that were closed: what comes in about one of them later is kept and marked.

CREATE TABLE season_closed (
    id    BLOB PRIMARY KEY,
    entry BLOB NOT NULL,
    year  INTEGER NOT NULL CONSTRAINT season_closed_once UNIQUE,
    note  TEXT
) STRICT, WITHOUT ROWID;
