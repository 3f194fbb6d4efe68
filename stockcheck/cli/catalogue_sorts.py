"""The sorts of things in the catalogue: what each is called, its options, and two examples."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Sort:
    """One sort of thing in the catalogue, and how its commands look."""

    what: str
    plural: str
    options: dict[str, str]
    examples: tuple[str, str]
    named: bool = True
    letter: str = ""
    title: str = ""

    @property
    def one(self) -> str:
        """What one is called: par levels are more than their short name."""
        return self.title or self.what


SORTS = (
    Sort(
        "box",
        "boxes",
        {
            "inside": "The box that it sits in.",
            "climate": "How it is kept, such as 'roof, full sun'.",
            "note": "Anything else.",
        },
        ('box add "Lamp drawer" --inside "Truck bed"', "box show B3"),
    ),
    Sort(
        "item",
        "items",
        {
            "kind": "Its kind, by key or name; 'kind list' shows them.",
            "unit": "What one is: each, pair, tablet, ml, g or cm.",
            "pack": "How many units its usual pack holds.",
            "size": "Its size in words.",
            "width-mm": "Width, for audits by size.",
            "length-mm": "Length, for audits by size.",
            "importance": "vital, essential or desirable.",
            "gtin": "The maker's bar code on its pack, xN after it for one of N.",
            "note": "What it is for, where it fits.",
        },
        (
            'item add "tyre boot, 80 mm" --kind tyre-patch --pack 2',
            'item change "tweezers, fine" --note "for thorns, not for ticks"',
        ),
    ),
    Sort(
        "par",
        "par levels",
        {
            "box": "The box that should hold it.",
            "item": "The item; or give --kind.",
            "kind": "Any item of this kind will do.",
            "quantity": "How many units; by the basis so many a person, a day, per km.",
            "importance": "vital, essential or desirable; without it, as the item.",
            "basis": "fixed (usual), per person, per day, per person-day, per distance, history or"
            " plan.",
            "per-km": "Per distance: the quantity is for so many km (1000).",
            "reserve-days": "Days of need after the return, in place of the trip's margin.",
            "measure": "From history: what causes use: days (usual), km or person-days.",
            "lasts": "From history: about how long one lasts you, in that measure.",
            "plan": "Planned use: 'water litres=3 tablet=1 treated=50 turbid', 'spread a-day=5"
            " holds=100' or 'regular dose=1 every=1 before=2 after=7', by packet or prescriber.",
            "assurance": "From history: the chance of not running out, such as 99%.",
        },
        (
            'par add --box Spares --item I70 --quantity 9 --basis "per person"',
            "par change P3 --quantity 40",
        ),
        named=False,
        letter="P",
        title="par level",
    ),
    Sort(
        "supplier",
        "suppliers",
        {
            "lead-days": "Days from order to delivery.",
            "lead-in": "What lead days are: calendar (usual) or working.",
            "fee": "What shipping costs, such as 4.90.",
            "free-from": "Shipping is free from so much on.",
            "minimum": "The least order that is taken.",
            "country": "Whose holidays count, such as DE or DE-BY.",
            "note": "Anything else.",
        },
        ('supplier add "Market stall" --lead-days 1', 'supplier show "Harbour chandlery"'),
    ),
    Sort(
        "offer",
        "offers",
        {
            "supplier": "Who sells it.",
            "item": "What is sold.",
            "pack": "How many units the pack holds.",
            "price": "Price of the pack, such as 12.40.",
            "lead-days": "Days to deliver, if not the supplier's usual.",
            "packs-left": "How many packs can be had; without it, any number.",
            "good-days": "How many days it is promised to be good still on delivery.",
            "note": "Anything else.",
        },
        (
            'offer add --supplier "Village shop" --item I7 --pack 10 --price 2',
            "offer change O4 --price 13.10",
        ),
        named=False,
        letter="O",
    ),
    Sort(
        "trip",
        "trips",
        {
            "departs": "The day it leaves, YYYY-MM-DD.",
            "returns": "The day it is back, YYYY-MM-DD.",
            "people": "How many go.",
            "distance-km": "How far.",
            "margin-days": "How many days late it may be back.",
            "climate": "What the boxes are exposed to on the way; 'climate list' shows some.",
            "note": "Anything else.",
        },
        (
            'trip add "Autumn count" --departs 2027-09-06 --returns 2027-10-30',
            'trip change "Spring count" --margin-days 10',
        ),
    ),
)
