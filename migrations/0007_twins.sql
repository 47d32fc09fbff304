-- The ledger again, with its twins in an index of their own: almost no entry has one, and every
-- entry paid for its place among them.

CREATE TABLE ledger_new (
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
    base            BLOB CHECK (base IS NULL OR length(base) = 16),
    overtaken_by    BLOB CHECK (overtaken_by IS NULL OR length(overtaken_by) = 16),
    no_client_id    INTEGER NOT NULL DEFAULT 0 CHECK (no_client_id IN (0, 1))
) STRICT;

INSERT INTO ledger_new SELECT
    arrival_no, id, kind, form_version, subject, record, fields, "values", rule_version, state,
    own_state, took_effect, voided_by, problems, twin_of, fingerprint, person, device_id, seq,
    source, card_code, happened_date, happened_time, happened_offset, typed_at, sent_at,
    received_at, skew_s, base, overtaken_by, no_client_id
FROM ledger;

DROP TABLE ledger;
ALTER TABLE ledger_new RENAME TO ledger;

CREATE UNIQUE INDEX ledger_twins ON ledger (twin_of, fingerprint) WHERE twin_of IS NOT NULL;
CREATE INDEX ledger_subject ON ledger (subject) WHERE subject IS NOT NULL;
CREATE INDEX ledger_record ON ledger (record, arrival_no);
CREATE INDEX ledger_need_a_look ON ledger (arrival_no) WHERE state IN ('held', 'conflict');
CREATE INDEX ledger_of_device ON ledger (device_id, seq) WHERE device_id IS NOT NULL;
CREATE INDEX ledger_received ON ledger (received_at);
CREATE INDEX ledger_block_gone ON ledger (id) WHERE kind = 'block' AND state = 'void';
CREATE INDEX ledger_card_code ON ledger (card_code) WHERE card_code IS NOT NULL;
