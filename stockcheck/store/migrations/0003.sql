-- Recalled batches.

-- What a maker called back: a batch, or every batch ('') of an item or of a GTIN that no item has
-- yet. batch_key is the batch without case and blanks.
CREATE TABLE recall (
    recall_id INTEGER PRIMARY KEY,
    item_id INTEGER REFERENCES item (item_id),
    gtin TEXT NOT NULL DEFAULT '' CHECK (length(gtin) IN (0, 14)),
    batch TEXT NOT NULL,
    batch_key TEXT NOT NULL,
    reason TEXT NOT NULL DEFAULT '',
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    recorded_at TEXT NOT NULL,
    CHECK (item_id IS NOT NULL OR gtin <> ''),
    CHECK ((batch = '') = (batch_key = ''))
) STRICT;
CREATE INDEX recall_by_item ON recall (item_id);
CREATE INDEX recall_by_gtin ON recall (gtin) WHERE gtin <> '';
CREATE TRIGGER recall_keep BEFORE UPDATE ON recall
BEGIN SELECT RAISE(ABORT, 'recalls are append-only: lift it'); END;
CREATE TRIGGER recall_stay BEFORE DELETE ON recall
BEGIN SELECT RAISE(ABORT, 'recalls are append-only: lift it'); END;
CREATE TRIGGER recall_new BEFORE INSERT ON recall
WHEN EXISTS (SELECT 1 FROM recall WHERE recall_id = NEW.recall_id)
BEGIN SELECT RAISE(ABORT, 'recalls are append-only: that one is there already'); END;

-- A recall that counts no longer, and why; there is one such line for a recall at most.
CREATE TABLE recall_lift (
    recall_id INTEGER PRIMARY KEY REFERENCES recall (recall_id),
    reason TEXT NOT NULL CHECK (reason <> ''),
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    recorded_at TEXT NOT NULL
) STRICT;
CREATE TRIGGER recall_lift_keep BEFORE UPDATE ON recall_lift
BEGIN SELECT RAISE(ABORT, 'recalls are append-only: recall it anew'); END;
CREATE TRIGGER recall_lift_stay BEFORE DELETE ON recall_lift
BEGIN SELECT RAISE(ABORT, 'recalls are append-only: recall it anew'); END;
CREATE TRIGGER recall_lift_new BEFORE INSERT ON recall_lift
WHEN EXISTS (SELECT 1 FROM recall_lift WHERE recall_id = NEW.recall_id)
BEGIN SELECT RAISE(ABORT, 'recalls are append-only: that one is lifted already'); END;

CREATE VIEW recalls AS
SELECT 'R' || recall_id AS recall, item.name AS item, recall.gtin, batch, recall.reason,
    recall.on_day, recall_lift.on_day AS lifted_on, recall_lift.reason AS lifted_why
FROM recall LEFT JOIN item USING (item_id) LEFT JOIN recall_lift USING (recall_id);
