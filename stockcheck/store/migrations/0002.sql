-- Inspections, decisions, and the heat that boxes had.

-- What somebody found when looking at a lot. It counts while its movement is not reversed.
CREATE TABLE inspection (
    inspection_id INTEGER PRIMARY KEY,
    movement_id INTEGER NOT NULL UNIQUE REFERENCES movement (movement_id),
    lot_id INTEGER NOT NULL REFERENCES lot (lot_id),
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    passed INTEGER NOT NULL CHECK (passed IN (0, 1)),
    checked_by TEXT NOT NULL DEFAULT '',
    note TEXT NOT NULL DEFAULT '',
    extends_to TEXT CHECK (extends_to IS date(extends_to, '+0 days'))
) STRICT;
CREATE INDEX inspection_by_lot ON inspection (lot_id);
CREATE TRIGGER inspection_keep BEFORE UPDATE ON inspection
BEGIN SELECT RAISE(ABORT, 'inspections are append-only: undo the movement'); END;
CREATE TRIGGER inspection_stay BEFORE DELETE ON inspection
BEGIN SELECT RAISE(ABORT, 'inspections are append-only: undo the movement'); END;
CREATE TRIGGER inspection_new BEFORE INSERT ON inspection
WHEN EXISTS (SELECT 1 FROM inspection
    WHERE inspection_id = NEW.inspection_id OR movement_id = NEW.movement_id)
BEGIN SELECT RAISE(ABORT, 'inspections are append-only: that one is there already'); END;

-- What was decided about a holding when going through its box, and how it stood then.
CREATE TABLE decision (
    decision_id INTEGER PRIMARY KEY,
    lot_id INTEGER NOT NULL REFERENCES lot (lot_id),
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    opened_on TEXT CHECK (opened_on IS date(opened_on, '+0 days')),
    decided TEXT NOT NULL CHECK (decided IN ('replace', 'last resort', 'inspect', 'write off',
        'no longer carried')),
    standing TEXT NOT NULL,
    reason TEXT NOT NULL DEFAULT '',
    movement_id INTEGER NOT NULL REFERENCES movement (movement_id),
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    recorded_at TEXT NOT NULL
) STRICT;
CREATE INDEX decision_by_lot ON decision (lot_id, box_id);
CREATE TRIGGER decision_keep BEFORE UPDATE ON decision
BEGIN SELECT RAISE(ABORT, 'decisions are append-only: decide anew'); END;
CREATE TRIGGER decision_stay BEFORE DELETE ON decision
BEGIN SELECT RAISE(ABORT, 'decisions are append-only: decide anew'); END;
CREATE TRIGGER decision_new BEFORE INSERT ON decision
WHEN EXISTS (SELECT 1 FROM decision WHERE decision_id = NEW.decision_id)
BEGIN SELECT RAISE(ABORT, 'decisions are append-only: that one is there already'); END;

-- A temperature logger's readings in a box: seconds since 1970 by the box's own clock, hundredths
-- of a degree C.
CREATE TABLE temperature (
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    at INTEGER NOT NULL,
    hundredths INTEGER NOT NULL CHECK (hundredths BETWEEN -10000 AND 20000),
    PRIMARY KEY (box_id, at)
) STRICT, WITHOUT ROWID;

-- Climates of the person's own, in the form of the shipped ones (JSON).
CREATE TABLE climate (
    climate_id INTEGER PRIMARY KEY,
    key TEXT NOT NULL UNIQUE,
    rule TEXT NOT NULL CHECK (json_valid(rule)),
    retired_on TEXT CHECK (retired_on IS date(retired_on, '+0 days'))
) STRICT;

ALTER TABLE trip ADD COLUMN climate TEXT NOT NULL DEFAULT '';
DROP VIEW trips;
CREATE VIEW trips AS
SELECT name AS trip, departs, returns, date(returns, '+' || margin_days || ' days') AS horizon,
    people, distance_km, margin_days, climate, note, retired_on
FROM trip;

CREATE VIEW inspections AS
SELECT 'L' || lot_id AS lot, item.name AS item, on_day, passed, checked_by, extends_to,
    inspection.note
FROM inspection JOIN lot USING (lot_id) JOIN item USING (item_id)
WHERE NOT EXISTS (SELECT 1 FROM movement WHERE reverses = inspection.movement_id);

CREATE VIEW decisions AS
SELECT 'L' || lot_id AS lot, item.name AS item, box.name AS box, opened_on, decided, standing, reason, on_day
FROM decision JOIN lot USING (lot_id) JOIN item USING (item_id) JOIN box USING (box_id)
WHERE NOT EXISTS (SELECT 1 FROM movement WHERE reverses = decision.movement_id);

-- Whether any box has a climate that is known, or readings; kept by the store's own code.
INSERT INTO setting (key, value) VALUES ('heat', 'none');
