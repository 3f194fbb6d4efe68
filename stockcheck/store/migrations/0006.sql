-- Needs, use on trips, stops, substitutes, purchases. Figures that may be parts of a unit (2.5 a
-- person) are exact decimals as text.

-- basis: what a par level is worked out from; quantity alone counts for 'fixed'. rate: the quantity
-- as it was given, per person, per day or per so many kilometres; from history it is the least.
ALTER TABLE par ADD COLUMN basis TEXT NOT NULL DEFAULT 'fixed' CHECK (basis IN ('fixed',
    'per person', 'per day', 'per person-day', 'per distance', 'history', 'plan'));
ALTER TABLE par ADD COLUMN rate TEXT NOT NULL DEFAULT '';
ALTER TABLE par ADD COLUMN per_km INTEGER CHECK (per_km > 0);
ALTER TABLE par ADD COLUMN reserve_days INTEGER CHECK (reserve_days >= 0);
ALTER TABLE par ADD COLUMN measure TEXT NOT NULL DEFAULT 'days'
    CHECK (measure IN ('days', 'km', 'person-days'));
ALTER TABLE par ADD COLUMN lasts TEXT NOT NULL DEFAULT '';
ALTER TABLE par ADD COLUMN plan TEXT NOT NULL DEFAULT '';
ALTER TABLE par ADD COLUMN assurance TEXT NOT NULL DEFAULT '';

-- lead_working: whether lead days are working days. country: ISO 3166, with a region, for holidays.
ALTER TABLE supplier ADD COLUMN lead_working INTEGER NOT NULL DEFAULT 0
    CHECK (lead_working IN (0, 1));
ALTER TABLE supplier ADD COLUMN fee_cents INTEGER NOT NULL DEFAULT 0 CHECK (fee_cents >= 0);
ALTER TABLE supplier ADD COLUMN free_from_cents INTEGER CHECK (free_from_cents >= 0);
ALTER TABLE supplier ADD COLUMN minimum_cents INTEGER NOT NULL DEFAULT 0
    CHECK (minimum_cents >= 0);
ALTER TABLE supplier ADD COLUMN country TEXT NOT NULL DEFAULT '';
-- packs_left: how many packs can be had, NULL where it does not run out. good_days: how long it is
-- promised to be still good on delivery.
ALTER TABLE offer ADD COLUMN packs_left INTEGER CHECK (packs_left >= 0);
ALTER TABLE offer ADD COLUMN good_days INTEGER CHECK (good_days >= 0);

-- Which movements belong to which trip. difference: found when the trip was closed.
CREATE TABLE trip_movement (
    movement_id INTEGER PRIMARY KEY REFERENCES movement (movement_id),
    trip_id INTEGER NOT NULL REFERENCES trip (trip_id),
    difference INTEGER NOT NULL DEFAULT 0 CHECK (difference IN (0, 1))
) STRICT;

-- Somebody reached for a thing when none, or not enough, was left. together: the movement whose use
-- it adds to. takes_back: it withdraws an earlier line.
CREATE TABLE wanted (
    wanted_id INTEGER PRIMARY KEY,
    item_id INTEGER NOT NULL REFERENCES item (item_id),
    quantity INTEGER NOT NULL CHECK (quantity > 0),
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    trip_id INTEGER REFERENCES trip (trip_id),
    together INTEGER REFERENCES movement (movement_id),
    note TEXT NOT NULL DEFAULT '',
    recorded_at TEXT NOT NULL,
    takes_back INTEGER UNIQUE REFERENCES wanted (wanted_id)
) STRICT;
CREATE INDEX wanted_by_item ON wanted (item_id);

-- Use from before the books, as told from memory: what one item did on one journey.
CREATE TABLE told_use (
    told_use_id INTEGER PRIMARY KEY,
    item_id INTEGER NOT NULL REFERENCES item (item_id),
    quantity INTEGER NOT NULL CHECK (quantity >= 0),
    occasions INTEGER NOT NULL CHECK (occasions >= 0 AND occasions <= quantity),
    days INTEGER NOT NULL CHECK (days > 0),
    people INTEGER NOT NULL DEFAULT 1 CHECK (people > 0),
    distance_km INTEGER CHECK (distance_km >= 0),
    year INTEGER NOT NULL CHECK (year BETWEEN 1900 AND 9999),
    note TEXT NOT NULL DEFAULT '',
    recorded_at TEXT NOT NULL,
    takes_back INTEGER UNIQUE REFERENCES told_use (told_use_id)
) STRICT;
CREATE INDEX told_use_by_item ON told_use (item_id);

-- What came back was gone through: the log of the trip is complete. A line may take one back.
CREATE TABLE trip_close (
    trip_close_id INTEGER PRIMARY KEY,
    trip_id INTEGER NOT NULL REFERENCES trip (trip_id),
    came_back TEXT NOT NULL CHECK (came_back IS date(came_back, '+0 days')),
    distance_km INTEGER CHECK (distance_km >= 0),
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    recorded_at TEXT NOT NULL,
    note TEXT NOT NULL DEFAULT '',
    takes_back INTEGER UNIQUE REFERENCES trip_close (trip_close_id)
) STRICT;

-- Places on the way where more can be had; day 1 is that of departure.
CREATE TABLE trip_stop (
    trip_stop_id INTEGER PRIMARY KEY,
    trip_id INTEGER NOT NULL REFERENCES trip (trip_id),
    day INTEGER NOT NULL CHECK (day > 0),
    place TEXT NOT NULL CHECK (place <> ''),
    retired_on TEXT CHECK (retired_on IS date(retired_on, '+0 days'))
) STRICT;
-- most: how many units can be had, NULL where it does not run out.
CREATE TABLE trip_stop_item (
    trip_stop_id INTEGER NOT NULL REFERENCES trip_stop (trip_stop_id),
    item_id INTEGER NOT NULL REFERENCES item (item_id),
    most INTEGER CHECK (most > 0),
    PRIMARY KEY (trip_stop_id, item_id)
) STRICT, WITHOUT ROWID;

-- by_item may stand in for item: so many units of it (per_by) for so many (per_item).
CREATE TABLE substitute (
    substitute_id INTEGER PRIMARY KEY,
    item_id INTEGER NOT NULL REFERENCES item (item_id),
    by_item_id INTEGER NOT NULL REFERENCES item (item_id) CHECK (by_item_id <> item_id),
    per_item INTEGER NOT NULL DEFAULT 1 CHECK (per_item > 0),
    per_by INTEGER NOT NULL DEFAULT 1 CHECK (per_by > 0),
    note TEXT NOT NULL DEFAULT '',
    retired_on TEXT CHECK (retired_on IS date(retired_on, '+0 days'))
) STRICT;
CREATE UNIQUE INDEX substitute_once ON substitute (item_id, by_item_id) WHERE retired_on IS NULL;

-- What was ordered. A line is never changed; what comes, or will not come, are receipts.
CREATE TABLE purchase (
    purchase_id INTEGER PRIMARY KEY,
    supplier_id INTEGER NOT NULL REFERENCES supplier (supplier_id),
    ordered_on TEXT NOT NULL CHECK (ordered_on IS date(ordered_on, '+0 days')),
    expected_on TEXT CHECK (expected_on IS date(expected_on, '+0 days')),
    trip_id INTEGER REFERENCES trip (trip_id),
    good_through TEXT CHECK (good_through IS date(good_through, '+0 days')),
    fee_cents INTEGER NOT NULL DEFAULT 0 CHECK (fee_cents >= 0),
    note TEXT NOT NULL DEFAULT '',
    recorded_at TEXT NOT NULL
) STRICT;
CREATE TABLE purchase_line (
    purchase_line_id INTEGER PRIMARY KEY,
    purchase_id INTEGER NOT NULL REFERENCES purchase (purchase_id),
    item_id INTEGER NOT NULL REFERENCES item (item_id),
    offer_id INTEGER REFERENCES offer (offer_id),
    box_id INTEGER REFERENCES box (box_id),
    pack INTEGER NOT NULL CHECK (pack > 0),
    packs INTEGER NOT NULL CHECK (packs > 0),
    price_cents INTEGER NOT NULL CHECK (price_cents >= 0)
) STRICT;
CREATE INDEX purchase_line_by_purchase ON purchase_line (purchase_id);
-- movement_id: the arrival. item_id: another item than was ordered. It counts while its movement is
-- not undone.
CREATE TABLE purchase_receipt (
    purchase_receipt_id INTEGER PRIMARY KEY,
    purchase_line_id INTEGER NOT NULL REFERENCES purchase_line (purchase_line_id),
    movement_id INTEGER NOT NULL REFERENCES movement (movement_id),
    quantity INTEGER NOT NULL CHECK (quantity > 0),
    item_id INTEGER NOT NULL REFERENCES item (item_id)
) STRICT;
CREATE INDEX purchase_receipt_by_line ON purchase_receipt (purchase_line_id);
-- Nothing more of it will come.
CREATE TABLE purchase_end (
    purchase_id INTEGER PRIMARY KEY REFERENCES purchase (purchase_id),
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    recorded_at TEXT NOT NULL,
    reason TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TRIGGER trip_movement_keep BEFORE UPDATE ON trip_movement
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER trip_movement_stay BEFORE DELETE ON trip_movement
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER trip_movement_new BEFORE INSERT ON trip_movement
WHEN EXISTS (SELECT 1 FROM trip_movement WHERE movement_id = NEW.movement_id)
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER wanted_keep BEFORE UPDATE ON wanted
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER wanted_stay BEFORE DELETE ON wanted
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER wanted_new BEFORE INSERT ON wanted
WHEN EXISTS (SELECT 1 FROM wanted WHERE wanted_id = NEW.wanted_id OR takes_back = NEW.takes_back)
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER told_use_keep BEFORE UPDATE ON told_use
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER told_use_stay BEFORE DELETE ON told_use
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER told_use_new BEFORE INSERT ON told_use
WHEN EXISTS (SELECT 1 FROM told_use WHERE told_use_id = NEW.told_use_id OR takes_back = NEW.takes_back)
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER trip_close_keep BEFORE UPDATE ON trip_close
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER trip_close_stay BEFORE DELETE ON trip_close
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER trip_close_new BEFORE INSERT ON trip_close
WHEN EXISTS (SELECT 1 FROM trip_close WHERE trip_close_id = NEW.trip_close_id OR takes_back = NEW.takes_back)
    OR (NEW.takes_back IS NULL AND EXISTS (SELECT 1 FROM trip_close AS t WHERE trip_id = NEW.trip_id AND takes_back IS NULL
        AND NOT EXISTS (SELECT 1 FROM trip_close AS back WHERE back.takes_back = t.trip_close_id)))
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER purchase_keep BEFORE UPDATE ON purchase
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER purchase_stay BEFORE DELETE ON purchase
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER purchase_new BEFORE INSERT ON purchase
WHEN EXISTS (SELECT 1 FROM purchase WHERE purchase_id = NEW.purchase_id)
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER purchase_line_keep BEFORE UPDATE ON purchase_line
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER purchase_line_stay BEFORE DELETE ON purchase_line
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER purchase_line_new BEFORE INSERT ON purchase_line
WHEN EXISTS (SELECT 1 FROM purchase_line WHERE purchase_line_id = NEW.purchase_line_id)
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER purchase_receipt_keep BEFORE UPDATE ON purchase_receipt
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER purchase_receipt_stay BEFORE DELETE ON purchase_receipt
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER purchase_receipt_new BEFORE INSERT ON purchase_receipt
WHEN EXISTS (SELECT 1 FROM purchase_receipt WHERE purchase_receipt_id = NEW.purchase_receipt_id)
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER purchase_end_keep BEFORE UPDATE ON purchase_end
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER purchase_end_stay BEFORE DELETE ON purchase_end
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;
CREATE TRIGGER purchase_end_new BEFORE INSERT ON purchase_end
WHEN EXISTS (SELECT 1 FROM purchase_end WHERE purchase_id = NEW.purchase_id)
BEGIN SELECT RAISE(ABORT, 'records of trips and purchases are append-only'); END;

DROP VIEW par_levels;
CREATE VIEW par_levels AS
SELECT box.name AS box, item.name AS item, kind.name AS kind,
    CASE WHEN basis = 'fixed' THEN par.quantity END AS quantity, item.unit, par.importance, basis,
    rate, per_km, reserve_days, plan, assurance
FROM par JOIN box USING (box_id) LEFT JOIN item USING (item_id)
    LEFT JOIN kind ON kind.kind_id = par.kind_id
WHERE par.retired_on IS NULL;

DROP VIEW suppliers;
CREATE VIEW suppliers AS
SELECT name AS supplier, lead_days,
    CASE WHEN lead_working THEN 'working' ELSE 'calendar' END AS lead_in, fee_cents,
    free_from_cents, minimum_cents, country, note, retired_on
FROM supplier;

DROP VIEW offers;
CREATE VIEW offers AS
SELECT supplier.name AS supplier, item.name AS item, offer.pack, item.unit, price_cents,
    ifnull(offer.lead_days, supplier.lead_days) AS lead_days, packs_left, good_days, offer.note,
    offer.retired_on
FROM offer JOIN supplier USING (supplier_id) JOIN item USING (item_id);

CREATE VIEW trips_closed AS
SELECT trip.name AS trip, came_back, trip_close.distance_km, on_day, trip_close.note
FROM trip_close JOIN trip USING (trip_id)
WHERE takes_back IS NULL AND NOT EXISTS
    (SELECT 1 FROM trip_close AS back WHERE back.takes_back = trip_close.trip_close_id);

CREATE VIEW wanted_in_vain AS
SELECT 'W' || wanted_id AS number, item.name AS item, quantity, item.unit, on_day,
    trip.name AS trip, wanted.note
FROM wanted JOIN item USING (item_id) LEFT JOIN trip USING (trip_id)
WHERE takes_back IS NULL
    AND NOT EXISTS (SELECT 1 FROM wanted AS back WHERE back.takes_back = wanted.wanted_id);

CREATE VIEW told_uses AS
SELECT 'T' || told_use_id AS number, item.name AS item, quantity, item.unit, occasions, days,
    people, distance_km, year, told_use.note
FROM told_use JOIN item USING (item_id)
WHERE takes_back IS NULL
    AND NOT EXISTS (SELECT 1 FROM told_use AS back WHERE back.takes_back = told_use.told_use_id);

CREATE VIEW purchases AS
SELECT purchase_id AS purchase, supplier.name AS supplier, ordered_on, expected_on,
    item.name AS item, purchase_line.pack, packs, price_cents,
    (SELECT ifnull(sum(receipt.quantity), 0) FROM purchase_receipt AS receipt
        WHERE receipt.purchase_line_id = purchase_line.purchase_line_id AND NOT EXISTS
            (SELECT 1 FROM movement WHERE reverses = receipt.movement_id)) AS received,
    purchase_end.on_day AS ended_on, purchase_end.reason
FROM purchase JOIN purchase_line USING (purchase_id) JOIN supplier USING (supplier_id)
    JOIN item USING (item_id) LEFT JOIN purchase_end USING (purchase_id);
