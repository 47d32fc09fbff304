-- When somebody last tried to bring the data back on another machine, as the sheet about it asks.

CREATE TABLE restore_tried (
    tried_on TEXT PRIMARY KEY CHECK (tried_on IS date(tried_on)),
    noted_at INTEGER NOT NULL,
    person   TEXT
) STRICT, WITHOUT ROWID;
