"""The names that a shell completes: read from a store as it lies there, and never an error."""

from __future__ import annotations

import sqlite3
from contextlib import closing

from stockcheck.core.errors import StockcheckError
from stockcheck.store.files import APPLICATION_ID, FilePath, connect

_NAMES = {
    "box": "SELECT name, 'B' || box_id FROM box WHERE retired_on IS NULL ORDER BY name_key",
    "item": "SELECT name, 'I' || item_id FROM item WHERE retired_on IS NULL ORDER BY name_key",
    "lot": "SELECT 'L' || lot_id, item.name || ifnull(', in ' || group_concat(DISTINCT box.name),"
    " '') FROM holding JOIN lot USING (lot_id) JOIN item USING (item_id)"
    " JOIN box USING (box_id) WHERE holding.quantity > 0 GROUP BY lot_id ORDER BY lot_id",
    "supplier": "SELECT name, '' FROM supplier WHERE retired_on IS NULL ORDER BY name_key",
    "kind": "SELECT key, name FROM kind WHERE retired_on IS NULL ORDER BY key",
    "climate": "SELECT json_extract(rule, '$.name'), '' FROM climate WHERE retired_on IS NULL"
    " ORDER BY key",
    "list": "SELECT list_id, title FROM own_kit_list WHERE retired_on IS NULL ORDER BY list_id",
    "par": "SELECT 'P' || par_id, box.name FROM par JOIN box USING (box_id)"
    " WHERE par.retired_on IS NULL ORDER BY par_id",
    "offer": "SELECT 'O' || offer_id, item.name || ', ' || supplier.name FROM offer"
    " JOIN item USING (item_id) JOIN supplier USING (supplier_id)"
    " WHERE offer.retired_on IS NULL ORDER BY offer_id",
    "printer": "SELECT name, note FROM printer WHERE retired_on IS NULL ORDER BY name_key",
    "purchase": "SELECT purchase_id, supplier.name FROM purchase JOIN supplier USING (supplier_id)"
    " ORDER BY purchase_id",
    "trip": "SELECT name, departs || ' to ' || returns FROM trip WHERE retired_on IS NULL"
    " ORDER BY departs, trip_id",
}
SORTS = tuple(_NAMES)


def names(path: FilePath, what: str) -> list[tuple[str, str]]:
    """Every name of that sort in use, each with a word about it; lots that are on hand.

    Empty where there is no store, it is damaged, locked, another version's or somebody else's:
    whoever presses a key to complete a word is not to be told of it then.
    """
    try:
        with closing(connect(path, reading=True)) as conn:
            if conn.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                return []
            return [(str(name), str(told)) for name, told in conn.execute(_NAMES[what]).fetchall()]
    except (sqlite3.Error, StockcheckError, OSError, ValueError):
        return []
