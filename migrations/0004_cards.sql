-- Paper cards by the code printed on them. `walk` holds the vines that were drawn, as JSON.

CREATE TABLE card (
    id      BLOB PRIMARY KEY,
    entry   BLOB NOT NULL,
    code    TEXT NOT NULL CONSTRAINT card_code_once UNIQUE CHECK (length(code) = 4),
    what    TEXT NOT NULL CHECK (what IN ('walk', 'berries', 'clusters')),
    block   BLOB NOT NULL CONSTRAINT card_of_a_block REFERENCES block (id),
    on_date TEXT NOT NULL,
    walk    TEXT CHECK (walk IS NULL OR json_valid(walk)),
    arrival INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- What was typed from a card, by its code.
CREATE INDEX ledger_card_code ON ledger (card_code) WHERE card_code IS NOT NULL;

-- Edge rows are among those sampled, since the others held too few vines for the walk.
ALTER TABLE sample ADD COLUMN edge_rows INTEGER NOT NULL DEFAULT 0 CHECK (edge_rows IN (0, 1));

-- Vines of a walk that were passed over.
CREATE TABLE sample_skipped (
    sample    BLOB NOT NULL REFERENCES sample (id),
    place     INTEGER NOT NULL,
    row_label TEXT NOT NULL,
    panel     INTEGER NOT NULL,
    vine      INTEGER NOT NULL,
    why       TEXT NOT NULL CHECK (why IN ('skip', 'gone', 'odd')),
    note      TEXT,
    PRIMARY KEY (sample, place)
) STRICT, WITHOUT ROWID;
