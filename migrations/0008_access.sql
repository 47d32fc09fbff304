-- Who may come in: the keeper's passphrase, phones that were let in, links that share single pages.
-- None of it is made from entries; of secrets only what can't be turned back is kept.

CREATE TABLE passphrase (
    one    INTEGER PRIMARY KEY CHECK (one = 1),
    -- Argon2id, in the PHC string format.
    hash   TEXT NOT NULL,
    set_at INTEGER NOT NULL
) STRICT;

CREATE TABLE session (
    id          BLOB PRIMARY KEY CHECK (length(id) = 16),
    -- SHA-256 of the secret that the phone's cookie holds.
    secret_hash BLOB NOT NULL UNIQUE CHECK (length(secret_hash) = 32),
    role        TEXT NOT NULL CHECK (role IN ('looker', 'helper', 'keeper')),
    -- Whom it was made for, by initials.
    person      TEXT,
    device      BLOB NOT NULL CHECK (length(device) = 16),
    began_at    INTEGER NOT NULL,
    last_seen   INTEGER NOT NULL,
    ends_at     INTEGER NOT NULL,
    ended_at    INTEGER
) STRICT;

CREATE TABLE share (
    id          BLOB PRIMARY KEY CHECK (length(id) = 16),
    -- SHA-256 of the secret in the link.
    secret_hash BLOB NOT NULL UNIQUE CHECK (length(secret_hash) = 32),
    -- The one page that it opens.
    path        TEXT NOT NULL,
    title       TEXT NOT NULL,
    names       INTEGER NOT NULL CHECK (names IN (0, 1)),
    costs       INTEGER NOT NULL CHECK (costs IN (0, 1)),
    made_at     INTEGER NOT NULL,
    ends_at     INTEGER NOT NULL,
    last_used   INTEGER,
    ended_at    INTEGER
) STRICT;

-- What the keeper calls a phone, and the phone that it is the same as, under an id it lost.
ALTER TABLE device ADD COLUMN called TEXT;
ALTER TABLE device ADD COLUMN same_as BLOB CHECK (same_as IS NULL OR length(same_as) = 16);

-- The session by which an entry came: whose it is to correct.
ALTER TABLE ledger ADD COLUMN came_by BLOB CHECK (came_by IS NULL OR length(came_by) = 16);
