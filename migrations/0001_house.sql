-- The ledger, what the house knows of itself, and the record tables of the first rooms.
-- Identifiers are UUIDs in 16 bytes. Moments are milliseconds since 1970 UTC. Dates and clock times
-- are the farm's own, as text: YYYY-MM-DD and HH:MM.

CREATE TABLE house (
    one        INTEGER PRIMARY KEY CHECK (one = 1),
    server_id  BLOB NOT NULL CHECK (length(server_id) = 16),
    db_epoch   BLOB NOT NULL CHECK (length(db_epoch) = 16),
    created_at INTEGER NOT NULL
) STRICT;

CREATE TABLE device (
    id         BLOB PRIMARY KEY CHECK (length(id) = 16),
    first_seen INTEGER NOT NULL,
    last_seen  INTEGER NOT NULL,
    last_seq   INTEGER
) STRICT, WITHOUT ROWID;

-- One row for every entry as it arrived. What became of it is kept as facts beside it: `record`,
-- `own_state`, `took_effect` and `voided_by`. `state` always follows from these (see `restate`).
-- `record` changes once, when an entry in conflict turns out to have been a correction.
CREATE TABLE ledger (
    arrival_no      INTEGER PRIMARY KEY AUTOINCREMENT,
    id              BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    kind            TEXT NOT NULL,
    form_version    INTEGER NOT NULL,
    subject         BLOB CHECK (subject IS NULL OR length(subject) = 16),
    record          BLOB NOT NULL CHECK (length(record) = 16),
    fields          TEXT NOT NULL CHECK (json_valid(fields)),
    "values"        TEXT CHECK ("values" IS NULL OR json_valid("values")),
    rule_version    INTEGER NOT NULL,
    state           TEXT NOT NULL CHECK (state IN ('stored', 'held', 'conflict', 'void')),
    own_state       TEXT NOT NULL CHECK (own_state IN ('stored', 'held', 'conflict', 'void')),
    took_effect     INTEGER CHECK (took_effect IS NULL OR "values" IS NOT NULL),
    voided_by       BLOB CHECK (voided_by IS NULL OR length(voided_by) = 16),
    problems        TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(problems)),
    twin_of         BLOB CHECK (twin_of IS NULL OR length(twin_of) = 16),
    fingerprint     BLOB NOT NULL CHECK (length(fingerprint) = 32),
    person          TEXT,
    device_id       BLOB CHECK (device_id IS NULL OR length(device_id) = 16),
    seq             INTEGER,
    source          TEXT NOT NULL CHECK (source IN ('phone', 'paper', 'import', 'demo', 'house')),
    card_code       TEXT,
    happened_date   TEXT,
    happened_time   TEXT,
    happened_offset INTEGER,
    typed_at        INTEGER,
    sent_at         INTEGER,
    received_at     INTEGER NOT NULL,
    skew_s          INTEGER,
    UNIQUE (twin_of, fingerprint)
) STRICT;

CREATE INDEX ledger_subject ON ledger (subject) WHERE subject IS NOT NULL;
CREATE INDEX ledger_record ON ledger (record, arrival_no);
CREATE INDEX ledger_need_a_look ON ledger (arrival_no) WHERE state IN ('held', 'conflict');

-- Every record table: `id` is the first entry of the record, `entry` the one whose values are in force.

CREATE TABLE farm (
    one               INTEGER PRIMARY KEY CHECK (one = 1),
    id                BLOB NOT NULL UNIQUE,
    entry             BLOB NOT NULL,
    name              TEXT NOT NULL,
    zone              TEXT NOT NULL,
    temperature_unit  TEXT NOT NULL,
    mass_unit         TEXT NOT NULL,
    length_unit       TEXT NOT NULL,
    address           TEXT,
    keeper_phone      TEXT,
    emergency_place   TEXT,
    emergency_phone   TEXT,
    emergency_address TEXT,
    poison_line       TEXT
) STRICT;

CREATE TABLE assumptions (
    one         INTEGER PRIMARY KEY CHECK (one = 1),
    id          BLOB NOT NULL UNIQUE,
    entry       BLOB NOT NULL,
    assumptions TEXT NOT NULL CHECK (json_valid(assumptions))
) STRICT;

CREATE TABLE person (
    id       BLOB PRIMARY KEY,
    entry    BLOB NOT NULL,
    initials TEXT NOT NULL CONSTRAINT person_initials_once UNIQUE,
    name     TEXT,
    here     INTEGER NOT NULL CHECK (here IN (0, 1))
) STRICT, WITHOUT ROWID;

CREATE TABLE block (
    id      BLOB PRIMARY KEY,
    entry   BLOB NOT NULL,
    name    TEXT NOT NULL CONSTRAINT block_name_once UNIQUE COLLATE NOCASE,
    variety TEXT,
    note    TEXT
) STRICT, WITHOUT ROWID;

CREATE TABLE block_rows (
    id        BLOB PRIMARY KEY,
    entry     BLOB NOT NULL,
    block     BLOB NOT NULL CONSTRAINT rows_of_a_block REFERENCES block (id),
    from_date TEXT NOT NULL,
    arrival   INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE block_row (
    block_rows BLOB NOT NULL REFERENCES block_rows (id),
    place      INTEGER NOT NULL,
    label      TEXT NOT NULL COLLATE NOCASE,
    panels     TEXT NOT NULL CHECK (json_valid(panels)),
    PRIMARY KEY (block_rows, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE vine_event (
    id           BLOB PRIMARY KEY,
    entry        BLOB NOT NULL,
    row_label    TEXT NOT NULL COLLATE NOCASE,
    panel        INTEGER NOT NULL,
    vine         INTEGER NOT NULL,
    on_date      TEXT NOT NULL,
    change       TEXT NOT NULL,
    variety      TEXT,
    bearing_from INTEGER,
    arrival      INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX vine_event_at ON vine_event (row_label, panel, vine, on_date);

CREATE TABLE target (
    id         BLOB PRIMARY KEY,
    entry      BLOB NOT NULL,
    block      BLOB NOT NULL CONSTRAINT target_of_a_block REFERENCES block (id),
    from_date  TEXT NOT NULL,
    brix_low   REAL, brix_aim REAL, brix_high REAL,
    ph_low     REAL, ph_aim   REAL, ph_high   REAL,
    ta_low     REAL, ta_aim   REAL, ta_high   REAL,
    season_end_month INTEGER NOT NULL CHECK (season_end_month BETWEEN 1 AND 12),
    season_end_day   INTEGER NOT NULL CHECK (season_end_day BETWEEN 1 AND 31),
    arrival    INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE instrument (
    id          BLOB PRIMARY KEY,
    entry       BLOB NOT NULL,
    name        TEXT NOT NULL CONSTRAINT instrument_name_once UNIQUE COLLATE NOCASE,
    compensated INTEGER NOT NULL CHECK (compensated IN (0, 1)),
    zero_offset REAL NOT NULL,
    zeroed_on   TEXT,
    note        TEXT
) STRICT, WITHOUT ROWID;

CREATE TABLE sample (
    id              BLOB PRIMARY KEY,
    entry           BLOB NOT NULL,
    block           BLOB NOT NULL CONSTRAINT sample_of_a_block REFERENCES block (id),
    on_date         TEXT NOT NULL,
    at_time         TEXT,
    method          TEXT NOT NULL CHECK (method IN ('bags', 'stops')),
    rows_covered    TEXT NOT NULL CHECK (json_valid(rows_covered)),
    instrument      BLOB CONSTRAINT sample_by_an_instrument REFERENCES instrument (id),
    instrument_as_used TEXT CHECK (instrument_as_used IS NULL OR json_valid(instrument_as_used)),
    taste           TEXT,
    seeds           TEXT,
    skins           TEXT,
    rot_percent     REAL,
    animal_percent  REAL,
    rain_since_mm   REAL,
    frozen          INTEGER NOT NULL CHECK (frozen IN (0, 1)),
    two_crops       INTEGER NOT NULL CHECK (two_crops IN (0, 1)),
    new_series      TEXT,
    note            TEXT,
    arrival         INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- One block one season, and the latest of a block, by one seek.
CREATE INDEX sample_of_block ON sample (block, on_date, at_time, arrival);

CREATE TABLE sample_bag (
    sample              BLOB NOT NULL REFERENCES sample (id),
    bag                 INTEGER NOT NULL,
    berries             INTEGER NOT NULL,
    weight_g            REAL,
    juice_temperature_c REAL,
    ta_g_per_l          REAL,
    ta_end_point        TEXT,
    PRIMARY KEY (sample, bag)
) STRICT, WITHOUT ROWID;

CREATE TABLE sample_reading (
    sample  BLOB NOT NULL REFERENCES sample (id),
    bag     INTEGER NOT NULL,
    what    TEXT NOT NULL CHECK (what IN ('brix', 'ph')),
    reading INTEGER NOT NULL,
    raw     REAL NOT NULL,
    value   REAL NOT NULL,
    PRIMARY KEY (sample, bag, what, reading)
) STRICT, WITHOUT ROWID;

CREATE TABLE sample_stop (
    sample    BLOB NOT NULL REFERENCES sample (id),
    stop      INTEGER NOT NULL,
    row_label TEXT,
    panel     INTEGER,
    vine      INTEGER,
    raw       REAL NOT NULL,
    brix      REAL NOT NULL,
    PRIMARY KEY (sample, stop)
) STRICT, WITHOUT ROWID;

CREATE TABLE weather (
    id         BLOB PRIMARY KEY,
    entry      BLOB NOT NULL,
    on_date    TEXT NOT NULL,
    at_time    TEXT,
    rain_mm    REAL,
    low_c      REAL,
    high_c     REAL,
    hard_frost INTEGER NOT NULL CHECK (hard_frost IN (0, 1)),
    note       TEXT NOT NULL,
    arrival    INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX weather_by_day ON weather (on_date);

CREATE TABLE spray (
    id               BLOB PRIMARY KEY,
    entry            BLOB NOT NULL,
    on_date          TEXT NOT NULL,
    started_at       INTEGER,
    started_offset_s INTEGER,
    -- Null: the end of spraying is not known, so the blocks stay closed until it is typed.
    ended_at         INTEGER,
    ended_offset_s   INTEGER,
    volume_l         REAL,
    applicator       TEXT NOT NULL,
    wind             TEXT NOT NULL,
    temperature_c    REAL,
    label_read       INTEGER NOT NULL CHECK (label_read IN (0, 1)),
    note             TEXT NOT NULL,
    arrival          INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX spray_by_date ON spray (on_date);

CREATE TABLE spray_block (
    spray BLOB NOT NULL REFERENCES spray (id),
    place INTEGER NOT NULL,
    block BLOB NOT NULL CONSTRAINT spray_on_a_block REFERENCES block (id),
    PRIMARY KEY (spray, place)
) STRICT, WITHOUT ROWID;

-- The rows covered, whole blocks spelled out, so that the hold stays with the ground.
CREATE TABLE spray_row (
    spray BLOB NOT NULL REFERENCES spray (id),
    place INTEGER NOT NULL,
    label TEXT NOT NULL,
    PRIMARY KEY (spray, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE spray_product (
    spray              BLOB NOT NULL REFERENCES spray (id),
    place              INTEGER NOT NULL,
    name               TEXT NOT NULL,
    registration       TEXT NOT NULL,
    active_ingredients TEXT NOT NULL,
    rate               TEXT NOT NULL,
    entry_hours        REAL,
    harvest_days       REAL,
    PRIMARY KEY (spray, place)
) STRICT, WITHOUT ROWID;
