-- What walks add to samples.

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
