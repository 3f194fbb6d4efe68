-- Stocktakes: what was counted, line by line, and what came of it. All of it is append-only.

-- Days from one count of a box to the next; NULL: as usual; 0: it is not counted.
ALTER TABLE box ADD COLUMN count_days INTEGER CHECK (count_days >= 0);

-- after_movement: the last movement there was when it began, 0 for none.
CREATE TABLE stocktake (
    stocktake_id INTEGER PRIMARY KEY,
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    blind INTEGER NOT NULL CHECK (blind IN (0, 1)),
    begun_by TEXT NOT NULL DEFAULT '',
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    recorded_at TEXT NOT NULL,
    after_movement INTEGER NOT NULL CHECK (after_movement >= 0)
) STRICT;

-- The boxes that it covers: the box alone, or with those inside it.
CREATE TABLE stocktake_box (
    stocktake_id INTEGER NOT NULL REFERENCES stocktake (stocktake_id),
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    PRIMARY KEY (stocktake_id, box_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX stocktake_box_by_box ON stocktake_box (box_id);

-- sets: the quantity is all there is of that part, and earlier lines of it count no more.
-- strikes: this line takes another one back. since_movement and until_movement: between which
-- movements it was counted; the same for a scan, far apart for a line from a paper sheet.
-- A line without a lot is a note of something that the books do not have.
CREATE TABLE stocktake_line (
    stocktake_line_id INTEGER PRIMARY KEY,
    stocktake_id INTEGER NOT NULL REFERENCES stocktake (stocktake_id),
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    lot_id INTEGER REFERENCES lot (lot_id),
    part TEXT NOT NULL DEFAULT '' CHECK (part IN ('', 'sealed', 'opened', 'on hold', 'last resort')),
    quantity INTEGER NOT NULL DEFAULT 0,
    sets INTEGER NOT NULL DEFAULT 0 CHECK (sets IN (0, 1)),
    strikes INTEGER UNIQUE REFERENCES stocktake_line (stocktake_line_id),
    note TEXT NOT NULL DEFAULT '',
    counted_by TEXT NOT NULL DEFAULT '',
    since_movement INTEGER NOT NULL CHECK (since_movement >= 0),
    until_movement INTEGER NOT NULL CHECK (until_movement >= since_movement),
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    recorded_at TEXT NOT NULL
) STRICT;
CREATE INDEX stocktake_line_by_stocktake ON stocktake_line (stocktake_id);

-- The numbered lines of its paper sheet; expected is what the books had when it was printed.
CREATE TABLE stocktake_sheet (
    stocktake_id INTEGER NOT NULL REFERENCES stocktake (stocktake_id),
    line INTEGER NOT NULL CHECK (line > 0),
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    lot_id INTEGER NOT NULL REFERENCES lot (lot_id),
    part TEXT NOT NULL,
    expected INTEGER NOT NULL,
    after_movement INTEGER NOT NULL CHECK (after_movement >= 0),
    PRIMARY KEY (stocktake_id, line)
) STRICT, WITHOUT ROWID;

-- How it ended; together is the first movement of its corrections, NULL where there were none.
CREATE TABLE stocktake_end (
    stocktake_id INTEGER PRIMARY KEY REFERENCES stocktake (stocktake_id),
    how TEXT NOT NULL CHECK (how IN ('closed', 'abandoned')),
    ended_by TEXT NOT NULL DEFAULT '',
    reason TEXT NOT NULL DEFAULT '',
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    recorded_at TEXT NOT NULL,
    together INTEGER REFERENCES movement (movement_id)
) STRICT;

-- The variance list as it was when the stocktake closed.
CREATE TABLE stocktake_result (
    stocktake_result_id INTEGER PRIMARY KEY,
    stocktake_id INTEGER NOT NULL REFERENCES stocktake (stocktake_id),
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    lot_id INTEGER NOT NULL REFERENCES lot (lot_id),
    part TEXT NOT NULL,
    book INTEGER NOT NULL,
    counted INTEGER,
    variance INTEGER NOT NULL,
    finding TEXT NOT NULL,
    value_cents INTEGER,
    note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX stocktake_result_by_stocktake ON stocktake_result (stocktake_id);

CREATE TRIGGER stocktake_keep BEFORE UPDATE ON stocktake
BEGIN SELECT RAISE(ABORT, 'a stocktake is a record: begin another'); END;
CREATE TRIGGER stocktake_stay BEFORE DELETE ON stocktake
BEGIN SELECT RAISE(ABORT, 'a stocktake is a record: begin another'); END;
CREATE TRIGGER stocktake_new BEFORE INSERT ON stocktake
WHEN EXISTS (SELECT 1 FROM stocktake WHERE stocktake_id = NEW.stocktake_id)
BEGIN SELECT RAISE(ABORT, 'a stocktake is a record: begin another'); END;

CREATE TRIGGER stocktake_box_keep BEFORE UPDATE ON stocktake_box
BEGIN SELECT RAISE(ABORT, 'a stocktake is a record: begin another'); END;
CREATE TRIGGER stocktake_box_stay BEFORE DELETE ON stocktake_box
BEGIN SELECT RAISE(ABORT, 'a stocktake is a record: begin another'); END;
CREATE TRIGGER stocktake_box_new BEFORE INSERT ON stocktake_box
WHEN EXISTS (SELECT 1 FROM stocktake_box JOIN stocktake USING (stocktake_id)
    WHERE stocktake_box.box_id = NEW.box_id AND NOT EXISTS (SELECT 1 FROM stocktake_end
        WHERE stocktake_end.stocktake_id = stocktake.stocktake_id))
BEGIN SELECT RAISE(ABORT, 'that box is being counted already'); END;

CREATE TRIGGER stocktake_line_keep BEFORE UPDATE ON stocktake_line
BEGIN SELECT RAISE(ABORT, 'lines of a stocktake are append-only: strike them'); END;
CREATE TRIGGER stocktake_line_stay BEFORE DELETE ON stocktake_line
BEGIN SELECT RAISE(ABORT, 'lines of a stocktake are append-only: strike them'); END;
CREATE TRIGGER stocktake_line_new BEFORE INSERT ON stocktake_line
WHEN EXISTS (SELECT 1 FROM stocktake_line WHERE stocktake_line_id = NEW.stocktake_line_id
        OR (NEW.strikes IS NOT NULL AND strikes = NEW.strikes))
    OR EXISTS (SELECT 1 FROM stocktake_end WHERE stocktake_id = NEW.stocktake_id)
    OR NOT EXISTS (SELECT 1 FROM stocktake_box
        WHERE stocktake_id = NEW.stocktake_id AND box_id = NEW.box_id)
BEGIN SELECT RAISE(ABORT, 'lines are added to a stocktake that is open, for its own boxes'); END;

CREATE TRIGGER stocktake_sheet_keep BEFORE UPDATE ON stocktake_sheet
BEGIN SELECT RAISE(ABORT, 'a printed line keeps its number'); END;
CREATE TRIGGER stocktake_sheet_stay BEFORE DELETE ON stocktake_sheet
BEGIN SELECT RAISE(ABORT, 'a printed line keeps its number'); END;
CREATE TRIGGER stocktake_sheet_new BEFORE INSERT ON stocktake_sheet
WHEN EXISTS (SELECT 1 FROM stocktake_sheet
        WHERE stocktake_id = NEW.stocktake_id AND line = NEW.line)
    OR EXISTS (SELECT 1 FROM stocktake_end WHERE stocktake_id = NEW.stocktake_id)
BEGIN SELECT RAISE(ABORT, 'a printed line keeps its number'); END;

CREATE TRIGGER stocktake_end_keep BEFORE UPDATE ON stocktake_end
BEGIN SELECT RAISE(ABORT, 'a closed stocktake is a record'); END;
CREATE TRIGGER stocktake_end_stay BEFORE DELETE ON stocktake_end
BEGIN SELECT RAISE(ABORT, 'a closed stocktake is a record'); END;
CREATE TRIGGER stocktake_end_new BEFORE INSERT ON stocktake_end
WHEN EXISTS (SELECT 1 FROM stocktake_end WHERE stocktake_id = NEW.stocktake_id)
BEGIN SELECT RAISE(ABORT, 'a closed stocktake is a record'); END;

CREATE TRIGGER stocktake_result_keep BEFORE UPDATE ON stocktake_result
BEGIN SELECT RAISE(ABORT, 'a closed stocktake is a record'); END;
CREATE TRIGGER stocktake_result_stay BEFORE DELETE ON stocktake_result
BEGIN SELECT RAISE(ABORT, 'a closed stocktake is a record'); END;
CREATE TRIGGER stocktake_result_new BEFORE INSERT ON stocktake_result
WHEN EXISTS (SELECT 1 FROM stocktake_result
        WHERE stocktake_result_id = NEW.stocktake_result_id)
    OR EXISTS (SELECT 1 FROM stocktake_end WHERE stocktake_id = NEW.stocktake_id)
BEGIN SELECT RAISE(ABORT, 'a closed stocktake is a record'); END;

CREATE VIEW stocktakes AS
SELECT 'C' || stocktake_id AS stocktake, box.name AS box, stocktake.on_day AS begun_on, begun_by,
    ifnull(stocktake_end.how, 'open') AS stands, stocktake_end.on_day AS ended_on,
    (SELECT count(*) FROM stocktake_result AS r
        WHERE r.stocktake_id = stocktake.stocktake_id AND finding <> 'agrees') AS variances,
    'M' || together AS first_movement
FROM stocktake JOIN box USING (box_id) LEFT JOIN stocktake_end USING (stocktake_id);

CREATE VIEW stocktake_variances AS
SELECT 'C' || stocktake_id AS stocktake, box.name AS box, item.name AS item, 'L' || lot_id AS lot,
    part, book, counted, variance, item.unit AS unit, finding, value_cents, stocktake_result.note
FROM stocktake_result JOIN box USING (box_id) JOIN lot USING (lot_id) JOIN item USING (item_id);
