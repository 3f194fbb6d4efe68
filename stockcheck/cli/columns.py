"""The columns of every list, for those who complete or read about them before it is made.

Each report tells its own; a test holds this table against what the commands give.
"""

from __future__ import annotations

_EXPIRY = (
    "box item kind lot code batch quantity unit last_usable_day governed_by days_left status"
    " date_meaning advice"
)
# By command, without the program's name; the lists of one command by what they are asked with.
COLUMNS: dict[str, dict[str, str]] = {
    "audit": {
        "": "list line required unit usable expired undated ends_on_trip short finding holdings",
        "--all": "box list lines met met_through verdict findings not_on_list next_due overdue",
    },
    "box list": {"": "box name place code holdings climate note retired_on"},
    "carry": {"": "carry unit chance_of_running_out recommended item trip"},
    "clear-out": {
        "": "route box item kind lot code batch quantity unit last_usable_day why disposal cautions"
    },
    "climate list": {"": "climate low_c high_c mkt_c basis source note"},
    "count": {
        "--show": "box item lot code batch part unit book counted variance finding value note",
        "--list": "stocktake box begun_on by stands ended_on lines variances",
        "--overdue": "box last_counted_on every_days due_on finding",
    },
    "expiry": {"": _EXPIRY},
    "find": {"": _EXPIRY},
    "forecast": {
        "": "item box lot needed there short first_short lasts_through wasted left saved_short"
        " saved_waste wanted_at_start stops lost_stop reason"
    },
    "history": {
        "": "movement on_day what lot item box quantity unit opened_on state reason reverses"
        " reversed_by"
    },
    "item list": {
        "": "item name kind unit pack size width_mm length_mm importance gtin code note retired_on"
    },
    "kind list": {"": "kind name group sealed opened meaning past disposal origin"},
    "kit-lists compare": {"": "finding first first_asks second second_asks difference note"},
    "kit-lists list": {"": "list title source edition jurisdiction certainty lines"},
    "kit-lists matches": {"": "number list line item serves units on note"},
    "kit-lists show": {
        "": "list line quantity unit spec kinds dated sterile alternative condition certainty scale"
        " set_of"
    },
    "kit-lists usual": {"": "box lists given check_every_days"},
    "label-stock list": {
        "": "stock about media labels columns rows page_width page_height label_width label_height"
        " pitch_x pitch_y left top source"
    },
    "label-stock printer": {"": "printer offset_x offset_y scale_x scale_y set_on note"},
    "labels": {"--printed": "printed_on print thing name sort labels again stock pile to"},
    "lot list": {
        "": "lot code item batch printed read_as made received_on on_hand unit supplier note"
    },
    "offer list": {"": "offer supplier item pack unit price lead_days packs_left good_days note"},
    "par list": {
        "": "par box item kind wants quantity importance basis rate reserve_days plan assurance"
    },
    "purchase list": {
        "": "purchase supplier ordered_on expected_on status lines open_lines total good_through"
        " note"
    },
    "recall list": {
        "": "recall item gtin batch on_day reason lifted_on lifted_why on_hand unit lots boxes"
    },
    "restock": {
        "": "box item importance needed usable short reason move_from on_order buy packs offer"
        " supplier price use_by_not_before order_by basis late uncovered substitutes purchases"
    },
    "round due": {"": "finding box due last"},
    "round history": {
        "": "round on box lists checked_by seal last_used met lines verdict next_due due_why note"
        " changed seen"
    },
    "round show": {"": "round line required unit usable short finding why"},
    "supplier list": {
        "": "supplier lead_days lead_in fee free_from minimum country note retired_on"
    },
    "trip list": {
        "": "trip departs returns margin_days horizon people distance_km note retired_on"
    },
    "whatif": {"": "box item kind lot now then days why"},
}


def columns_of(path: str) -> tuple[str, ...]:
    """All columns that a command's lists have, each once; ``path`` is such as ``box list``."""
    words = (name for columns in COLUMNS.get(path, {}).values() for name in columns.split())
    return tuple(dict.fromkeys(words))
