-- Paper cards by the code printed on them. `walk` holds the vines that were drawn, as JSON.

CREATE TABLE card (
    id      BLOB PRIMARY KEY,
    entry   BLOB NOT NULL,
    code    TEXT NOT NULL CONSTRAINT card_code_once UNIQUE CHECK (length(code) = 4),
    what    TEXT NOT NULL CHECK (what IN ('walk', 'berries', 'clusters')),
    -- Null: a blank card that may be used in any block.
    block   BLOB CONSTRAINT card_of_a_block REFERENCES block (id),
    on_date TEXT NOT NULL,
    walk    TEXT CHECK (walk IS NULL OR json_valid(walk)),
    arrival INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- What was typed from a card, by its code.
CREATE INDEX ledger_card_code ON ledger (card_code) WHERE card_code IS NOT NULL;
