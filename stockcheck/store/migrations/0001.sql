-- The first schema of a stockcheck store. Facts in tables, on-hand kept by triggers, views for
-- people with other SQLite tools. Days are ISO 8601 text, money is whole cents, amounts are whole
-- units. Codes are the ten digits that stand on labels.

CREATE TABLE setting (
    key TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- rule: the whole rule as it applies now (JSON); changes: what the user laid over a shipped one.
CREATE TABLE kind (
    kind_id INTEGER PRIMARY KEY,
    key TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    words TEXT NOT NULL DEFAULT '',
    origin TEXT NOT NULL CHECK (origin IN ('shipped', 'own')),
    changes TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(changes)),
    rule TEXT NOT NULL CHECK (json_valid(rule)),
    retired_on TEXT CHECK (retired_on IS date(retired_on, '+0 days'))
) STRICT;

CREATE TABLE box (
    box_id INTEGER PRIMARY KEY,
    code TEXT NOT NULL UNIQUE CHECK (length(code) = 10),
    name TEXT NOT NULL CHECK (name <> ''),
    name_key TEXT NOT NULL UNIQUE,
    parent_id INTEGER REFERENCES box (box_id) CHECK (parent_id <> box_id),
    climate TEXT NOT NULL DEFAULT '',
    note TEXT NOT NULL DEFAULT '',
    retired_on TEXT CHECK (retired_on IS date(retired_on, '+0 days'))
) STRICT;

CREATE TABLE item (
    item_id INTEGER PRIMARY KEY,
    code TEXT NOT NULL UNIQUE CHECK (length(code) = 10),
    name TEXT NOT NULL CHECK (name <> ''),
    name_key TEXT NOT NULL UNIQUE,
    kind_id INTEGER NOT NULL REFERENCES kind (kind_id),
    unit TEXT NOT NULL DEFAULT 'each'
        CHECK (unit IN ('each', 'pair', 'tablet', 'ml', 'g', 'cm')),
    pack INTEGER NOT NULL DEFAULT 1 CHECK (pack > 0),
    size TEXT NOT NULL DEFAULT '',
    width_mm INTEGER CHECK (width_mm > 0),
    length_mm INTEGER CHECK (length_mm > 0),
    importance TEXT NOT NULL DEFAULT 'essential'
        CHECK (importance IN ('vital', 'essential', 'desirable')),
    note TEXT NOT NULL DEFAULT '',
    retired_on TEXT CHECK (retired_on IS date(retired_on, '+0 days'))
) STRICT;

-- quantity: how many units one pack with this GTIN holds.
CREATE TABLE item_gtin (
    gtin TEXT PRIMARY KEY CHECK (length(gtin) = 14),
    item_id INTEGER NOT NULL REFERENCES item (item_id),
    quantity INTEGER NOT NULL DEFAULT 1 CHECK (quantity > 0)
) STRICT, WITHOUT ROWID;
CREATE INDEX item_gtin_by_item ON item_gtin (item_id);

CREATE TABLE supplier (
    supplier_id INTEGER PRIMARY KEY,
    name TEXT NOT NULL CHECK (name <> ''),
    name_key TEXT NOT NULL UNIQUE,
    lead_days INTEGER CHECK (lead_days >= 0),
    note TEXT NOT NULL DEFAULT '',
    retired_on TEXT CHECK (retired_on IS date(retired_on, '+0 days'))
) STRICT;

CREATE TABLE offer (
    offer_id INTEGER PRIMARY KEY,
    supplier_id INTEGER NOT NULL REFERENCES supplier (supplier_id),
    item_id INTEGER NOT NULL REFERENCES item (item_id),
    pack INTEGER NOT NULL CHECK (pack > 0),
    price_cents INTEGER NOT NULL CHECK (price_cents >= 0),
    lead_days INTEGER CHECK (lead_days >= 0),
    note TEXT NOT NULL DEFAULT '',
    retired_on TEXT CHECK (retired_on IS date(retired_on, '+0 days'))
) STRICT;
CREATE UNIQUE INDEX offer_once ON offer (supplier_id, item_id, pack) WHERE retired_on IS NULL;

-- One of item and kind: what the box should hold of that item, or of any item of that kind.
CREATE TABLE par (
    par_id INTEGER PRIMARY KEY,
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    item_id INTEGER REFERENCES item (item_id),
    kind_id INTEGER REFERENCES kind (kind_id),
    quantity INTEGER NOT NULL CHECK (quantity > 0),
    importance TEXT NOT NULL DEFAULT 'essential'
        CHECK (importance IN ('vital', 'essential', 'desirable')),
    retired_on TEXT CHECK (retired_on IS date(retired_on, '+0 days')),
    CHECK ((item_id IS NULL) <> (kind_id IS NULL))
) STRICT;
CREATE UNIQUE INDEX par_once ON par (box_id, ifnull(item_id, 0), ifnull(kind_id, 0))
    WHERE retired_on IS NULL;

CREATE TABLE trip (
    trip_id INTEGER PRIMARY KEY,
    name TEXT NOT NULL CHECK (name <> ''),
    name_key TEXT NOT NULL UNIQUE,
    departs TEXT NOT NULL CHECK (departs IS date(departs, '+0 days')),
    returns TEXT NOT NULL CHECK (returns IS date(returns, '+0 days') AND returns >= departs),
    people INTEGER NOT NULL DEFAULT 1 CHECK (people > 0),
    distance_km INTEGER CHECK (distance_km >= 0),
    margin_days INTEGER NOT NULL DEFAULT 0 CHECK (margin_days >= 0),
    note TEXT NOT NULL DEFAULT '',
    retired_on TEXT CHECK (retired_on IS date(retired_on, '+0 days'))
) STRICT;

-- Facts of what came in together; counts are in the ledger. printed_last_day is the last usable
-- day that the printed text says; expiry and made are at the printed precision (2027, 2027-11).
CREATE TABLE lot (
    lot_id INTEGER PRIMARY KEY,
    code TEXT NOT NULL UNIQUE CHECK (length(code) = 10),
    item_id INTEGER NOT NULL REFERENCES item (item_id),
    batch TEXT NOT NULL DEFAULT '',
    expiry_text TEXT NOT NULL DEFAULT '',
    expiry TEXT,
    printed_last_day TEXT CHECK (printed_last_day IS date(printed_last_day, '+0 days')),
    expiry_assumed TEXT NOT NULL DEFAULT '',
    made_text TEXT NOT NULL DEFAULT '',
    made TEXT,
    received_on TEXT CHECK (received_on IS date(received_on, '+0 days')),
    gtin TEXT NOT NULL DEFAULT '',
    supplier_id INTEGER REFERENCES supplier (supplier_id),
    cost_cents INTEGER CHECK (cost_cents >= 0),
    note TEXT NOT NULL DEFAULT '',
    CHECK ((expiry IS NULL) = (printed_last_day IS NULL))
) STRICT;
CREATE INDEX lot_by_item ON lot (item_id, batch, expiry);
CREATE INDEX lot_by_batch ON lot (batch COLLATE NOCASE) WHERE batch <> '';

-- Corrections of a lot's facts, so that none is lost. after_movement: the last movement there was
-- when it was made, 0 for none, which gives both one order.
CREATE TABLE lot_change (
    lot_change_id INTEGER PRIMARY KEY,
    lot_id INTEGER NOT NULL REFERENCES lot (lot_id),
    field TEXT NOT NULL,
    was TEXT,
    became TEXT,
    reason TEXT NOT NULL DEFAULT '',
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    recorded_at TEXT NOT NULL,
    after_movement INTEGER NOT NULL CHECK (after_movement >= 0)
) STRICT;
CREATE INDEX lot_change_by_lot ON lot_change (lot_id);

-- The ledger. A movement is one event; its lines add to or take from holdings. together is the
-- first movement of the command that wrote it.
CREATE TABLE movement (
    movement_id INTEGER PRIMARY KEY,
    together INTEGER NOT NULL,
    what TEXT NOT NULL CHECK (what IN ('received', 'issued', 'opened', 'moved', 'counted',
        'written off', 'returned', 'inspected', 'held', 'released', 'reversed')),
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    recorded_at TEXT NOT NULL,
    reason TEXT NOT NULL DEFAULT '',
    reverses INTEGER UNIQUE REFERENCES movement (movement_id)
) STRICT;
CREATE INDEX movement_together ON movement (together);

CREATE TABLE movement_line (
    line_id INTEGER PRIMARY KEY,
    movement_id INTEGER NOT NULL REFERENCES movement (movement_id),
    lot_id INTEGER NOT NULL REFERENCES lot (lot_id),
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    opened_on TEXT CHECK (opened_on IS date(opened_on, '+0 days')),
    state TEXT NOT NULL DEFAULT 'stock' CHECK (state IN ('stock', 'held', 'last resort')),
    quantity INTEGER NOT NULL
) STRICT;
CREATE INDEX movement_line_by_movement ON movement_line (movement_id);
CREATE INDEX movement_line_by_holding
    ON movement_line (lot_id, box_id, state, ifnull(opened_on, ''), quantity);
CREATE INDEX movement_line_by_box ON movement_line (box_id);

-- What the movements add up to, with the governing limit worked out from the facts.
CREATE TABLE holding (
    holding_id INTEGER PRIMARY KEY,
    lot_id INTEGER NOT NULL REFERENCES lot (lot_id),
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    opened_on TEXT CHECK (opened_on IS date(opened_on, '+0 days')),
    state TEXT NOT NULL CHECK (state IN ('stock', 'held', 'last resort')),
    quantity INTEGER NOT NULL CHECK (quantity >= 0),
    last_usable_day TEXT CHECK (last_usable_day IS date(last_usable_day, '+0 days')),
    governed_by TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE UNIQUE INDEX holding_once ON holding (lot_id, box_id, state, ifnull(opened_on, ''));
CREATE INDEX holding_by_box ON holding (box_id) WHERE quantity > 0;

CREATE TABLE label_print (
    label_print_id INTEGER PRIMARY KEY,
    lot_id INTEGER REFERENCES lot (lot_id),
    box_id INTEGER REFERENCES box (box_id),
    copies INTEGER NOT NULL CHECK (copies > 0),
    stock TEXT NOT NULL,
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    CHECK ((lot_id IS NULL) <> (box_id IS NULL))
) STRICT;
CREATE INDEX label_print_by_lot ON label_print (lot_id);

-- Append-only: nothing of the ledger is changed, taken out or written over.
CREATE TRIGGER movement_keep BEFORE UPDATE ON movement
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only: undo writes a reversing movement'); END;
CREATE TRIGGER movement_stay BEFORE DELETE ON movement
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only: undo writes a reversing movement'); END;
CREATE TRIGGER movement_new BEFORE INSERT ON movement
WHEN EXISTS (SELECT 1 FROM movement WHERE movement_id = NEW.movement_id)
    OR (NEW.reverses IS NOT NULL
        AND EXISTS (SELECT 1 FROM movement WHERE reverses = NEW.reverses))
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only: that movement is there already'); END;
CREATE TRIGGER movement_line_keep BEFORE UPDATE ON movement_line
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only: undo writes a reversing movement'); END;
CREATE TRIGGER movement_line_stay BEFORE DELETE ON movement_line
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only: undo writes a reversing movement'); END;
CREATE TRIGGER movement_line_new BEFORE INSERT ON movement_line
WHEN EXISTS (SELECT 1 FROM movement_line WHERE line_id = NEW.line_id)
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only: that line is there already'); END;
-- A line of nothing says only that a holding was looked at.
CREATE TRIGGER movement_line_nothing BEFORE INSERT ON movement_line
WHEN NEW.quantity = 0 AND (SELECT what FROM movement WHERE movement_id = NEW.movement_id)
    NOT IN ('inspected', 'reversed')
BEGIN SELECT RAISE(ABORT, 'a movement line moves something'); END;
CREATE TRIGGER movement_line_within BEFORE INSERT ON movement_line
WHEN NEW.quantity < 0 AND NEW.quantity + ifnull((
    SELECT quantity FROM holding
    WHERE lot_id = NEW.lot_id AND box_id = NEW.box_id AND state = NEW.state
        AND ifnull(opened_on, '') = ifnull(NEW.opened_on, '')), 0) < 0
BEGIN SELECT RAISE(ABORT, 'below zero: more is taken out than there is'); END;
CREATE TRIGGER lot_change_keep BEFORE UPDATE ON lot_change
BEGIN SELECT RAISE(ABORT, 'corrections of a lot are append-only'); END;
CREATE TRIGGER lot_change_stay BEFORE DELETE ON lot_change
BEGIN SELECT RAISE(ABORT, 'corrections of a lot are append-only'); END;
CREATE TRIGGER lot_change_new BEFORE INSERT ON lot_change
WHEN EXISTS (SELECT 1 FROM lot_change WHERE lot_change_id = NEW.lot_change_id)
BEGIN SELECT RAISE(ABORT, 'corrections of a lot are append-only'); END;
CREATE TRIGGER lot_new BEFORE INSERT ON lot
WHEN EXISTS (SELECT 1 FROM lot WHERE lot_id = NEW.lot_id OR code = NEW.code)
BEGIN SELECT RAISE(ABORT, 'a lot is never written over: change its facts'); END;
CREATE TRIGGER lot_keep BEFORE UPDATE OF lot_id, code ON lot
BEGIN SELECT RAISE(ABORT, 'a lot keeps its number'); END;
CREATE TRIGGER lot_stay BEFORE DELETE ON lot
BEGIN SELECT RAISE(ABORT, 'a lot is never deleted: write it off'); END;

-- On hand follows the lines. Each guard raises ABORT by itself: the conflict clause of a statement
-- that another tool writes (OR IGNORE, OR REPLACE) would overrule a CHECK or UNIQUE met in here.
CREATE TRIGGER movement_line_counts AFTER INSERT ON movement_line
BEGIN
    INSERT INTO holding (lot_id, box_id, opened_on, state, quantity)
    SELECT NEW.lot_id, NEW.box_id, NEW.opened_on, NEW.state, 0
    WHERE NOT EXISTS (SELECT 1 FROM holding
        WHERE lot_id = NEW.lot_id AND box_id = NEW.box_id AND state = NEW.state
            AND ifnull(opened_on, '') = ifnull(NEW.opened_on, ''));
    UPDATE holding SET quantity = quantity + NEW.quantity
    WHERE lot_id = NEW.lot_id AND box_id = NEW.box_id AND state = NEW.state
        AND ifnull(opened_on, '') = ifnull(NEW.opened_on, '');
END;
CREATE TRIGGER holding_keep BEFORE UPDATE OF holding_id, lot_id, box_id, opened_on, state ON holding
BEGIN SELECT RAISE(ABORT, 'on hand is what the movements add up to: write a movement'); END;
CREATE TRIGGER holding_agrees AFTER UPDATE OF quantity ON holding
WHEN NEW.quantity <> (
    SELECT ifnull(sum(quantity), 0) FROM movement_line
    WHERE lot_id = NEW.lot_id AND box_id = NEW.box_id AND state = NEW.state
        AND ifnull(opened_on, '') = ifnull(NEW.opened_on, ''))
BEGIN SELECT RAISE(ABORT, 'on hand is what the movements add up to: write a movement'); END;
CREATE TRIGGER holding_new BEFORE INSERT ON holding
WHEN NEW.quantity <> 0
    OR EXISTS (SELECT 1 FROM holding WHERE holding_id = NEW.holding_id)
    OR EXISTS (SELECT 1 FROM holding
        WHERE lot_id = NEW.lot_id AND box_id = NEW.box_id AND state = NEW.state
            AND ifnull(opened_on, '') = ifnull(NEW.opened_on, ''))
BEGIN SELECT RAISE(ABORT, 'on hand is what the movements add up to: write a movement'); END;
CREATE TRIGGER holding_stay BEFORE DELETE ON holding
BEGIN SELECT RAISE(ABORT, 'on hand is what the movements add up to: write a movement'); END;

CREATE TRIGGER box_circle BEFORE UPDATE OF parent_id ON box
WHEN NEW.box_id IN (
    WITH RECURSIVE above (box_id) AS (
        SELECT NEW.parent_id
        UNION
        SELECT box.parent_id FROM box JOIN above USING (box_id)
    )
    SELECT box_id FROM above)
BEGIN SELECT RAISE(ABORT, 'a box cannot be inside itself'); END;

-- Full-text search over names, notes, batches, codes and kinds. rowid: type * 10^9 + id, with the
-- types of the codes (1 lot, 2 box, 3 item), 4 for kinds, 5 for suppliers and 6 for trips.
CREATE VIRTUAL TABLE search USING fts5 (
    title, words, tokenize = "unicode61 remove_diacritics 2", prefix = '2 3 4'
);
CREATE TRIGGER search_kind_new AFTER INSERT ON kind
BEGIN
    INSERT INTO search (rowid, title, words)
    VALUES (4000000000 + NEW.kind_id, NEW.name, NEW.key || ' ' || NEW.words);
END;
CREATE TRIGGER search_kind_changed AFTER UPDATE OF name, words ON kind
WHEN NEW.name <> OLD.name OR NEW.words <> OLD.words
BEGIN
    UPDATE search SET title = NEW.name, words = NEW.key || ' ' || NEW.words
    WHERE rowid = 4000000000 + NEW.kind_id;
    UPDATE item SET name = name WHERE kind_id = NEW.kind_id;
END;
CREATE TRIGGER search_box_new AFTER INSERT ON box
BEGIN
    INSERT INTO search (rowid, title, words)
    VALUES (2000000000 + NEW.box_id, NEW.name, NEW.code || ' B' || NEW.box_id || ' ' || NEW.note);
END;
CREATE TRIGGER search_box_changed AFTER UPDATE OF name, note ON box
BEGIN
    UPDATE search SET title = NEW.name, words = NEW.code || ' B' || NEW.box_id || ' ' || NEW.note
    WHERE rowid = 2000000000 + NEW.box_id;
END;
CREATE TRIGGER search_item_new AFTER INSERT ON item
BEGIN
    INSERT INTO search (rowid, title, words)
    SELECT 3000000000 + NEW.item_id, NEW.name,
        NEW.code || ' I' || NEW.item_id || ' ' || NEW.size || ' ' || NEW.note || ' '
        || kind.name || ' ' || kind.words
    FROM kind WHERE kind.kind_id = NEW.kind_id;
END;
CREATE TRIGGER search_item_changed AFTER UPDATE OF name, note, size, kind_id ON item
BEGIN
    UPDATE search SET title = NEW.name,
        words = (SELECT NEW.code || ' I' || NEW.item_id || ' ' || NEW.size || ' ' || NEW.note
                || ' ' || kind.name || ' ' || kind.words
            FROM kind WHERE kind.kind_id = NEW.kind_id)
    WHERE rowid = 3000000000 + NEW.item_id;
    UPDATE lot SET note = note WHERE item_id = NEW.item_id;
END;
CREATE TRIGGER search_lot_new AFTER INSERT ON lot
BEGIN
    INSERT INTO search (rowid, title, words)
    SELECT 1000000000 + NEW.lot_id, item.name,
        NEW.code || ' L' || NEW.lot_id || ' ' || NEW.batch || ' ' || NEW.note || ' '
        || NEW.expiry_text || ' ' || NEW.gtin || ' ' || kind.name || ' ' || kind.words
    FROM item JOIN kind USING (kind_id) WHERE item.item_id = NEW.item_id;
END;
CREATE TRIGGER search_lot_changed AFTER UPDATE OF batch, note, expiry_text, item_id, gtin ON lot
BEGIN
    UPDATE search SET
        title = (SELECT name FROM item WHERE item_id = NEW.item_id),
        words = (SELECT NEW.code || ' L' || NEW.lot_id || ' ' || NEW.batch || ' ' || NEW.note
                || ' ' || NEW.expiry_text || ' ' || NEW.gtin || ' ' || kind.name || ' '
                || kind.words
            FROM item JOIN kind USING (kind_id) WHERE item.item_id = NEW.item_id)
    WHERE rowid = 1000000000 + NEW.lot_id;
END;
CREATE TRIGGER search_supplier_new AFTER INSERT ON supplier
BEGIN
    INSERT INTO search (rowid, title, words)
    VALUES (5000000000 + NEW.supplier_id, NEW.name, NEW.note);
END;
CREATE TRIGGER search_supplier_changed AFTER UPDATE OF name, note ON supplier
BEGIN
    UPDATE search SET title = NEW.name, words = NEW.note
    WHERE rowid = 5000000000 + NEW.supplier_id;
END;
CREATE TRIGGER search_trip_new AFTER INSERT ON trip
BEGIN
    INSERT INTO search (rowid, title, words)
    VALUES (6000000000 + NEW.trip_id, NEW.name, NEW.note);
END;
CREATE TRIGGER search_trip_changed AFTER UPDATE OF name, note ON trip
BEGIN
    UPDATE search SET title = NEW.name, words = NEW.note
    WHERE rowid = 6000000000 + NEW.trip_id;
END;

-- For people with other SQLite tools: plain names, nothing to decode, read-only.
CREATE VIEW boxes AS
WITH RECURSIVE inside (box_id, place) AS (
    SELECT box_id, name FROM box WHERE parent_id IS NULL
    UNION ALL
    SELECT box.box_id, inside.place || ' / ' || box.name
    FROM box JOIN inside ON box.parent_id = inside.box_id
)
SELECT 'B' || box_id AS box, name, place, climate, code, note, retired_on
FROM box JOIN inside USING (box_id);

CREATE VIEW kinds AS
SELECT key, name, json_extract(rule, '$.group') AS sort,
    json_extract(rule, '$.sealed.life') AS sealed, json_extract(rule, '$.sealed.from') AS sealed_from,
    json_extract(rule, '$.opened.life') AS opened,
    json_extract(rule, '$.meaning') AS date_means, json_extract(rule, '$.past') AS past_date,
    json_extract(rule, '$.source') AS source,
    CASE WHEN origin = 'shipped' AND changes <> '{}' THEN 'changed' ELSE origin END AS origin,
    retired_on
FROM kind;

CREATE VIEW items AS
SELECT 'I' || item_id AS item, item.name, kind.name AS kind, unit, pack, size, width_mm, length_mm,
    importance, item.code, item.note, item.retired_on
FROM item JOIN kind USING (kind_id);

CREATE VIEW lots AS
SELECT 'L' || lot_id AS lot, item.name AS item, batch, expiry_text AS printed, expiry AS read_as,
    printed_last_day, made, received_on, supplier.name AS supplier, cost_cents, gtin, lot.code,
    lot.note
FROM lot JOIN item USING (item_id) LEFT JOIN supplier USING (supplier_id);

CREATE VIEW corrections AS
SELECT 'L' || lot_id AS lot, item.name AS item, field, was, became, reason, on_day, recorded_at
FROM lot_change JOIN lot USING (lot_id) JOIN item USING (item_id);

CREATE VIEW gtins AS
SELECT gtin, item.name AS item, quantity, item.unit
FROM item_gtin JOIN item USING (item_id);

CREATE VIEW on_hand AS
SELECT box.name AS box, item.name AS item, kind.name AS kind, 'L' || lot_id AS lot, lot.code,
    lot.batch, holding.quantity, item.unit, holding.opened_on, holding.state,
    holding.last_usable_day, holding.governed_by
FROM holding JOIN lot USING (lot_id) JOIN item USING (item_id) JOIN kind USING (kind_id)
    JOIN box USING (box_id)
WHERE holding.quantity > 0;

CREATE VIEW ledger AS
SELECT 'M' || movement_id AS movement, what, on_day, recorded_at, item.name AS item,
    'L' || lot_id AS lot, box.name AS box, movement_line.quantity, item.unit,
    movement_line.opened_on, movement_line.state, reason,
    CASE WHEN reverses IS NOT NULL THEN 'M' || reverses END AS reverses
FROM movement JOIN movement_line USING (movement_id) JOIN lot USING (lot_id)
    JOIN item USING (item_id) JOIN box USING (box_id);

CREATE VIEW par_levels AS
SELECT box.name AS box, item.name AS item, kind.name AS kind, par.quantity, item.unit,
    par.importance
FROM par JOIN box USING (box_id) LEFT JOIN item USING (item_id)
    LEFT JOIN kind ON kind.kind_id = par.kind_id
WHERE par.retired_on IS NULL;

CREATE VIEW trips AS
SELECT name AS trip, departs, returns, date(returns, '+' || margin_days || ' days') AS horizon,
    people, distance_km, margin_days, note, retired_on
FROM trip;

CREATE VIEW suppliers AS
SELECT name AS supplier, lead_days, note, retired_on
FROM supplier;

CREATE VIEW offers AS
SELECT supplier.name AS supplier, item.name AS item, offer.pack, item.unit, price_cents,
    ifnull(offer.lead_days, supplier.lead_days) AS lead_days, offer.note, offer.retired_on
FROM offer JOIN supplier USING (supplier_id) JOIN item USING (item_id);
