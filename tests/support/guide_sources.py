"""Facts of the trade and names of documents in the guide's pages, with how each is known.

``seen`` was read, second-hand or in an excerpt where it says so; ``memory`` was not; ``ours`` is a
choice or an example of this project.
"""

from __future__ import annotations

SOURCED: dict[str, dict[str, str]] = {
    "dates": {
        "Regulation (EU) 1169/2011, Annex X": "seen: two food agencies on the Annex",
        "no year has 31 months": "ours: the calendar",
        "later than the 12th": "ours: the calendar",
        "The last four figures of a tyre code": "seen: 49 CFR 574.5(c)",
        "Medicines, Ethics and Practice, ed. 35, p. 36": "seen: quoted by a UK medicines service",
        "Regulation (EU) 1169/2011, Article 24 and Annex X": "seen: second-hand",
        "49 CFR 574.5": "seen",
        "ISO 8601-1": "memory",
    },
    "limits": {
        "adds half the first life, and a fail": "seen: T.O. 1-1-700, 12.8",
        "T.O. 1-1-700, section 12.8": "seen",
        "2 is our own choice": "ours",
        "Regulation (EEC, Euratom) 1182/71, Article 3": "seen: the day; its months from memory",
    },
    "heat": {
        "kept for 210 days at 37 °C, lorazepam lost 75 % and diazepam 25 %": "seen: Gottwald 1999",
        "two like drugs": "seen: Gottwald 1999",
        "in South African ambulances it was 25.4 °C, the highest 56.8 °C": "seen: sajpec 4480",
        "never above 50 °C": "memory: the label; the bath test in Directive 75/324/EEC was seen",
        "its usual 60 and 25 °C from memory": "memory",
        "40 °C for medicines": "seen: second-hand",
        "Pharmacopeial Forum 44(4)": "seen: second-hand",
        "Gottwald 1999": "seen: abstract",
        "for 22.5 °C as the cooler end": "ours: the middle of 15 to 30 °C",
        "article 4480": "seen",
        "Lyon 2006 and Cantrell 2012": "seen: abstract; press on the letter",
        "Directive 75/324/EEC": "seen",
    },
    "carry": {
        "1970, R-19:42": "seen: as a reference",
        "90, 95 and 99 %: our own choice": "ours",
        "90 to 95 % for spares (Fukuda 2008)": "seen: first page",
        "95 to 99.99 % for stores by importance": "seen: course notes",
    },
    "buying": {
        "Knapsack Problems, 2004": "memory",
        "Regulation (EEC, Euratom) 1182/71, Article 2": "memory",
    },
    "labels": {
        "01 the article, 17 the expiry, 10 the batch, 21 a serial number": "seen: GS1 dictionary",
        "A day of 00 means the end of that month": "seen: GS1 General Specifications, quoted",
        "Codes with 15 tell a best-before date, with 11 a made date": "seen: GS1 dictionary",
        "At 100 %": "ours: fitting to the page scales it",
        "ASCII 29 for FNC1": "seen: GS1 General Specifications, release 18",
        "ISO 7064 MOD 11,10": "memory: a test holds it against another library",
        "ISO/IEC 15417, from memory": "memory",
        "ISO/IEC 16022": "seen: its sizes and quiet zone, second-hand",
        "ISO/IEC 18004": "seen: its quiet zone, second-hand",
        "--mark-x 11.2": "ours: an invented measure",
        "label-stock align a4-3x7": "ours: a name of a label stock",
    },
    "audits": {
        "A pair of gloves is 2 gloves": "ours: a pair",
        "DIN 13164:2022-02": "seen: in the pages that the list names",
        "de-din-13164-2022": "ours: the list's name",
    },
    "counting": {
        "L105 48 is so many more of it": "ours: an example of a line",
        "L106 =27 so many in all": "ours: an example of a line",
        "L2 1 opened": "ours: an example of a line",
        "every 90 days is usual (common practice)": "ours: common practice",
        "90 days: common practice": "ours: common practice",
        "correct L105 --count 48": "ours: an example",
        "use L105 -n 2": "ours: an example",
        "write-off L105 -n 2 --reason wet": "ours: an example",
        "lot change L6 --made 2025-06": "ours: an example",
    },
    "disposal": {
        "Kirkbride and Kobus 1991, Journal of Forensic Sciences 36(3), 902-907": "seen",
        "US EPA 550-F-01-003": "seen",
    },
    "keeping": {
        "the ten newest are kept, and the last one of each of the last twelve months": "ours",
        "a file of 50 arrivals or more": "ours",
    },
    "views": {
        "ten digits": "ours: the length of our codes",
    },
}
