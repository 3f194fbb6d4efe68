-- What was printed, on which stock, and how printers are set.

-- One print. start and the labels tell where the next one goes on, on the part-used sheet of that
-- stock and pile. words of a label are what it says, to print it again; facts what it rests on, to
-- tell when it has changed. after_movement: the last movement there was when it was printed.
CREATE TABLE print_job (
    print_job_id INTEGER PRIMARY KEY,
    again_of INTEGER REFERENCES print_job (print_job_id),
    stock TEXT NOT NULL CHECK (stock <> ''),
    pile TEXT NOT NULL DEFAULT '',
    per_page INTEGER NOT NULL CHECK (per_page > 0),
    start INTEGER NOT NULL CHECK (start BETWEEN 1 AND per_page),
    labels INTEGER NOT NULL CHECK (labels > 0),
    copies INTEGER NOT NULL DEFAULT 1 CHECK (copies > 0),
    options TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(options)),
    went_to TEXT NOT NULL DEFAULT '',
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    recorded_at TEXT NOT NULL,
    after_movement INTEGER NOT NULL CHECK (after_movement >= 0)
) STRICT;
CREATE INDEX print_job_by_stock ON print_job (stock, pile);

-- One text of a print: so many times in a row from label number on, of which each_of its packs has
-- one where it was printed one a unit. replaces: the printed label in whose place it is stuck.
CREATE TABLE print_label (
    print_label_id INTEGER PRIMARY KEY,
    print_job_id INTEGER NOT NULL REFERENCES print_job (print_job_id),
    number INTEGER NOT NULL CHECK (number > 0),
    labels INTEGER NOT NULL CHECK (labels > 0),
    sort TEXT NOT NULL CHECK (sort <> ''),
    lot_id INTEGER REFERENCES lot (lot_id),
    box_id INTEGER REFERENCES box (box_id),
    item_id INTEGER REFERENCES item (item_id),
    packs INTEGER NOT NULL CHECK (packs >= 0),
    per_unit INTEGER NOT NULL DEFAULT 0 CHECK (per_unit IN (0, 1)),
    replaces INTEGER REFERENCES print_label (print_label_id),
    words TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(words)),
    facts TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(facts)),
    CHECK ((lot_id IS NOT NULL) + (box_id IS NOT NULL) + (item_id IS NOT NULL) = 1)
) STRICT;
CREATE INDEX print_label_by_job ON print_label (print_job_id);
CREATE INDEX print_label_by_lot ON print_label (lot_id) WHERE lot_id IS NOT NULL;

-- Prints remembered so far: a roll's page for each, nothing known of their words.
INSERT INTO print_job (print_job_id, stock, per_page, start, labels, copies, on_day, recorded_at,
    after_movement)
SELECT label_print_id, CASE stock WHEN '' THEN '?' ELSE stock END, 1, 1, copies, copies, on_day,
    on_day, (SELECT ifnull(max(movement_id), 0) FROM movement
        WHERE movement.on_day <= label_print.on_day)
FROM label_print;
INSERT INTO print_label (print_job_id, number, labels, sort, lot_id, box_id, packs)
SELECT label_print_id, 1, copies, CASE WHEN lot_id IS NULL THEN 'box' ELSE 'lot' END, lot_id,
    box_id, 1
FROM label_print;
DROP TABLE label_print;

CREATE TRIGGER print_job_keep BEFORE UPDATE ON print_job
BEGIN SELECT RAISE(ABORT, 'prints are append-only: print again'); END;
CREATE TRIGGER print_job_stay BEFORE DELETE ON print_job
BEGIN SELECT RAISE(ABORT, 'prints are append-only: print again'); END;
CREATE TRIGGER print_job_new BEFORE INSERT ON print_job
WHEN EXISTS (SELECT 1 FROM print_job WHERE print_job_id = NEW.print_job_id)
BEGIN SELECT RAISE(ABORT, 'prints are append-only: that one is there already'); END;
CREATE TRIGGER print_label_keep BEFORE UPDATE ON print_label
BEGIN SELECT RAISE(ABORT, 'prints are append-only: print again'); END;
CREATE TRIGGER print_label_stay BEFORE DELETE ON print_label
BEGIN SELECT RAISE(ABORT, 'prints are append-only: print again'); END;
CREATE TRIGGER print_label_new BEFORE INSERT ON print_label
WHEN EXISTS (SELECT 1 FROM print_label WHERE print_label_id = NEW.print_label_id)
BEGIN SELECT RAISE(ABORT, 'prints are append-only: that label is there already'); END;

-- What a printer needs so that its print lies true: everything scaled from the page's top left
-- corner, then moved by so many mm to the right and down.
CREATE TABLE printer (
    printer_id INTEGER PRIMARY KEY,
    name TEXT NOT NULL CHECK (name <> ''),
    name_key TEXT NOT NULL UNIQUE,
    offset_x REAL NOT NULL DEFAULT 0 CHECK (abs(offset_x) <= 20),
    offset_y REAL NOT NULL DEFAULT 0 CHECK (abs(offset_y) <= 20),
    scale_x REAL NOT NULL DEFAULT 1 CHECK (scale_x BETWEEN 0.97 AND 1.03),
    scale_y REAL NOT NULL DEFAULT 1 CHECK (scale_y BETWEEN 0.97 AND 1.03),
    set_on TEXT NOT NULL CHECK (set_on IS date(set_on, '+0 days')),
    note TEXT NOT NULL DEFAULT '',
    retired_on TEXT CHECK (retired_on IS date(retired_on, '+0 days'))
) STRICT;

CREATE VIEW prints AS
SELECT 'P' || print_job_id AS print, print_job.on_day, stock, pile,
    coalesce('L' || print_label.lot_id, 'B' || print_label.box_id, 'I' || print_label.item_id)
        AS thing,
    coalesce(lot_item.name, box.name, item.name) AS name, sort, print_label.labels,
    replaces IS NOT NULL OR again_of IS NOT NULL AS again, went_to
FROM print_label JOIN print_job USING (print_job_id)
    LEFT JOIN lot USING (lot_id) LEFT JOIN item AS lot_item ON lot_item.item_id = lot.item_id
    LEFT JOIN box ON box.box_id = print_label.box_id
    LEFT JOIN item ON item.item_id = print_label.item_id
ORDER BY print_label_id;

CREATE VIEW printers AS
SELECT name AS printer, offset_x, offset_y, scale_x, scale_y, set_on, note, retired_on FROM printer;
