-- The addresses that phones were told: what a phone has not sent yet waits for the one it knows.

CREATE TABLE told_address (
    url     TEXT PRIMARY KEY,
    told_at INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
