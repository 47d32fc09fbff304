-- What phones out of range need of the ledger, and what they tell of themselves.

-- The version of its record that a change began with.
ALTER TABLE ledger ADD COLUMN base BLOB CHECK (base IS NULL OR length(base) = 16);
-- The version that was in force when the change arrived, where that was not its base any more.
ALTER TABLE ledger ADD COLUMN overtaken_by BLOB CHECK (overtaken_by IS NULL OR length(overtaken_by) = 16);
-- The page carried no id of its own, so that a repeat is known by its contents alone.
ALTER TABLE ledger ADD COLUMN no_client_id INTEGER NOT NULL DEFAULT 0 CHECK (no_client_id IN (0, 1));

-- Which numbers of a device arrived, and its latest entries.
CREATE INDEX ledger_of_device ON ledger (device_id, seq) WHERE device_id IS NOT NULL;
-- The newest moment of arrival, against which this computer's clock is looked at.
CREATE INDEX ledger_received ON ledger (received_at);
-- Blocks taken back: entries typed on a phone that did not know yet still name them.
CREATE INDEX ledger_block_gone ON ledger (id) WHERE kind = 'block' AND state = 'void';

ALTER TABLE device ADD COLUMN told_seq INTEGER;
ALTER TABLE device ADD COLUMN told_waiting INTEGER;
ALTER TABLE device ADD COLUMN told_at INTEGER;
