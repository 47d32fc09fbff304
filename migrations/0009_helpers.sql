-- What somebody needs to know who is here for the first time, and what there is to do on a day.

ALTER TABLE farm ADD COLUMN emergency_number TEXT;
ALTER TABLE farm ADD COLUMN who_to_ask TEXT;
ALTER TABLE farm ADD COLUMN second_person TEXT;
ALTER TABLE farm ADD COLUMN second_phone TEXT;
ALTER TABLE farm ADD COLUMN water TEXT;
ALTER TABLE farm ADD COLUMN toilet TEXT;
ALTER TABLE farm ADD COLUMN first_aid TEXT;

CREATE TABLE day_list (
    id      BLOB PRIMARY KEY,
    entry   BLOB NOT NULL,
    on_date TEXT NOT NULL CONSTRAINT day_list_once UNIQUE,
    arrival INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE day_list_line (
    day_list BLOB NOT NULL REFERENCES day_list (id),
    what     TEXT NOT NULL CHECK (what IN ('to_do', 'not_to_touch')),
    place    INTEGER NOT NULL,
    line     TEXT NOT NULL,
    PRIMARY KEY (day_list, what, place)
) STRICT, WITHOUT ROWID;
