-- Kit lists of one's own, the lists that boxes are usually held against, what was matched by hand,
-- and audits at the box as records.

-- A list of one's own, with all that it extends, as the table of its TOML (JSON).
CREATE TABLE own_kit_list (
    own_kit_list_id INTEGER PRIMARY KEY,
    list_id TEXT NOT NULL UNIQUE CHECK (list_id <> ''),
    title TEXT NOT NULL,
    body TEXT NOT NULL CHECK (json_valid(body)),
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    retired_on TEXT CHECK (retired_on IS date(retired_on, '+0 days'))
) STRICT;

-- What a box is usually held against: ids of lists (JSON), conditions of its place (JSON), and how
-- often it is to be looked at where that is not the lists' own interval.
CREATE TABLE box_kit (
    box_id INTEGER PRIMARY KEY REFERENCES box (box_id),
    lists TEXT NOT NULL CHECK (json_type(lists) = 'array'),
    given TEXT NOT NULL DEFAULT '[]' CHECK (json_type(given) = 'array'),
    check_every_days INTEGER CHECK (check_every_days BETWEEN 1 AND 3660)
) STRICT;

-- What a person said: that an item does, or does not, serve a line of a list. measure: how many
-- units of the item make one of the line, 0 to leave it to the rules.
CREATE TABLE kit_match (
    kit_match_id INTEGER PRIMARY KEY,
    list_id TEXT NOT NULL CHECK (list_id <> ''),
    line TEXT NOT NULL CHECK (line <> ''),
    item_id INTEGER NOT NULL REFERENCES item (item_id),
    serves INTEGER NOT NULL CHECK (serves IN (0, 1)),
    measure INTEGER NOT NULL DEFAULT 0 CHECK (measure >= 0),
    note TEXT NOT NULL DEFAULT '',
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    ended_on TEXT CHECK (ended_on IS date(ended_on, '+0 days'))
) STRICT;
CREATE UNIQUE INDEX kit_match_once ON kit_match (list_id, line, item_id) WHERE ended_on IS NULL;

-- An audit at the box: who looked, what was found, how it stood, and when to look again.
CREATE TABLE audit_round (
    audit_round_id INTEGER PRIMARY KEY,
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    lists TEXT NOT NULL CHECK (json_type(lists) = 'array'),
    title TEXT NOT NULL,
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    horizon TEXT CHECK (horizon IS date(horizon, '+0 days')),
    checked_by TEXT NOT NULL CHECK (checked_by <> ''),
    seal TEXT NOT NULL DEFAULT '',
    last_used TEXT CHECK (last_used IS date(last_used, '+0 days')),
    given TEXT NOT NULL DEFAULT '[]' CHECK (json_type(given) = 'array'),
    people INTEGER NOT NULL DEFAULT 1 CHECK (people > 0),
    days INTEGER NOT NULL DEFAULT 1 CHECK (days > 0),
    met INTEGER NOT NULL CHECK (met >= 0),
    lines INTEGER NOT NULL CHECK (lines >= met),
    verdict TEXT NOT NULL,
    next_due TEXT NOT NULL CHECK (next_due IS date(next_due, '+0 days')),
    due_why TEXT NOT NULL,
    note TEXT NOT NULL DEFAULT '',
    recorded_at TEXT NOT NULL
) STRICT;
CREATE INDEX audit_round_by_box ON audit_round (box_id, on_day);
CREATE TRIGGER audit_round_keep BEFORE UPDATE ON audit_round
BEGIN SELECT RAISE(ABORT, 'audits are append-only: do another round'); END;
CREATE TRIGGER audit_round_stay BEFORE DELETE ON audit_round
BEGIN SELECT RAISE(ABORT, 'audits are append-only: do another round'); END;
CREATE TRIGGER audit_round_new BEFORE INSERT ON audit_round
WHEN EXISTS (SELECT 1 FROM audit_round WHERE audit_round_id = NEW.audit_round_id)
BEGIN SELECT RAISE(ABORT, 'audits are append-only: that one is there already'); END;

-- How each line of the list stood, in the unit of the line; required is null for presence only.
CREATE TABLE audit_round_line (
    audit_round_id INTEGER NOT NULL REFERENCES audit_round (audit_round_id),
    position INTEGER NOT NULL,
    line TEXT NOT NULL,
    required INTEGER,
    unit TEXT NOT NULL,
    usable INTEGER NOT NULL,
    short INTEGER NOT NULL,
    finding TEXT NOT NULL,
    why TEXT NOT NULL,
    PRIMARY KEY (audit_round_id, position)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER audit_round_line_keep BEFORE UPDATE ON audit_round_line
BEGIN SELECT RAISE(ABORT, 'audits are append-only: do another round'); END;
CREATE TRIGGER audit_round_line_stay BEFORE DELETE ON audit_round_line
BEGIN SELECT RAISE(ABORT, 'audits are append-only: do another round'); END;
CREATE TRIGGER audit_round_line_new BEFORE INSERT ON audit_round_line
WHEN EXISTS (SELECT 1 FROM audit_round_line
    WHERE audit_round_id = NEW.audit_round_id AND position = NEW.position)
BEGIN SELECT RAISE(ABORT, 'audits are append-only: that one is there already'); END;

-- What lay in the box when somebody looked: of a holding, by the books and as found, and how many
-- of those had a damaged pack.
CREATE TABLE audit_round_found (
    audit_round_id INTEGER NOT NULL REFERENCES audit_round (audit_round_id),
    position INTEGER NOT NULL,
    lot_id INTEGER NOT NULL REFERENCES lot (lot_id),
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    opened_on TEXT CHECK (opened_on IS date(opened_on, '+0 days')),
    state TEXT NOT NULL,
    booked INTEGER NOT NULL CHECK (booked >= 0),
    found INTEGER NOT NULL CHECK (found >= 0),
    damaged INTEGER NOT NULL DEFAULT 0 CHECK (damaged BETWEEN 0 AND found),
    last_usable_day TEXT CHECK (last_usable_day IS date(last_usable_day, '+0 days')),
    PRIMARY KEY (audit_round_id, position)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER audit_round_found_keep BEFORE UPDATE ON audit_round_found
BEGIN SELECT RAISE(ABORT, 'audits are append-only: do another round'); END;
CREATE TRIGGER audit_round_found_stay BEFORE DELETE ON audit_round_found
BEGIN SELECT RAISE(ABORT, 'audits are append-only: do another round'); END;
CREATE TRIGGER audit_round_found_new BEFORE INSERT ON audit_round_found
WHEN EXISTS (SELECT 1 FROM audit_round_found
    WHERE audit_round_id = NEW.audit_round_id AND position = NEW.position)
BEGIN SELECT RAISE(ABORT, 'audits are append-only: that one is there already'); END;

-- A round under way: what was answered so far, each answer durable at once; gone when the round is
-- recorded. holding_id is below zero, minus the lot, for a lot that the books have elsewhere.
CREATE TABLE audit_answer (
    box_id INTEGER NOT NULL REFERENCES box (box_id),
    holding_id INTEGER NOT NULL,
    lot_id INTEGER NOT NULL REFERENCES lot (lot_id),
    booked INTEGER NOT NULL CHECK (booked >= 0),
    found INTEGER NOT NULL CHECK (found >= 0),
    damaged INTEGER NOT NULL CHECK (damaged BETWEEN 0 AND found),
    on_day TEXT NOT NULL CHECK (on_day IS date(on_day, '+0 days')),
    PRIMARY KEY (box_id, holding_id)
) STRICT, WITHOUT ROWID;

CREATE VIEW kit_matches AS
SELECT list_id AS list, line, item.name AS item, serves, measure, kit_match.note, on_day, ended_on
FROM kit_match JOIN item USING (item_id);

CREATE VIEW audits AS
SELECT box.name AS box, title, on_day, checked_by, seal, last_used, met, lines, verdict, next_due,
    audit_round.note
FROM audit_round JOIN box USING (box_id);

CREATE VIEW audit_lines AS
SELECT box.name AS box, on_day, line, required, unit, usable, short, finding, why
FROM audit_round_line JOIN audit_round USING (audit_round_id) JOIN box USING (box_id);
