-- Cluster cards: vines counted and clusters weighed.

CREATE TABLE cluster_card (
    id      BLOB PRIMARY KEY,
    entry   BLOB NOT NULL,
    block   BLOB NOT NULL CONSTRAINT clusters_of_a_block REFERENCES block (id),
    on_date TEXT NOT NULL,
    at_time TEXT,
    note    TEXT,
    arrival INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX cluster_card_of_block ON cluster_card (block, on_date);

CREATE TABLE cluster_count (
    cluster_card BLOB NOT NULL REFERENCES cluster_card (id),
    place        INTEGER NOT NULL,
    row_label    TEXT,
    panel        INTEGER,
    vine         INTEGER,
    clusters     INTEGER NOT NULL,
    remark       TEXT,
    PRIMARY KEY (cluster_card, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE cluster_weight (
    cluster_card BLOB NOT NULL REFERENCES cluster_card (id),
    place        INTEGER NOT NULL,
    weight_g     REAL NOT NULL,
    PRIMARY KEY (cluster_card, place)
) STRICT, WITHOUT ROWID;
