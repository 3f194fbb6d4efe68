"""What the figures in the guide's pages must be, worked out by the core as the tests run.

``worked_out`` gives phrases that must stand in the pages, built from values computed now.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction

from given import item, lot
from purchases import Shop, want
from stockcheck.core.buying import OnSale, Terms, buy
from stockcheck.core.calendar import Life, spoken
from stockcheck.core.carry import ASSURANCES, LONGEST_AHEAD, bound, reliabilities, together
from stockcheck.core.carry_words import percent
from stockcheck.core.codes import check_digit, make_code
from stockcheck.core.date_words import Says
from stockcheck.core.dates import read_date, read_made
from stockcheck.core.heat_models import BANDS, CAP_C, MEDICINE_CAP_C, REFERENCE_C
from stockcheck.core.heat_rates import activation_energy, q10_factor
from stockcheck.core.kit_list import MEMORY
from stockcheck.core.model import DateContext
from stockcheck.core.shelf_life import SHORT_LIFE_MONTHS, limits
from stockcheck.data.kinds import shipped_kind, shipped_kinds
from stockcheck.data.kit_lists import kit_list, kit_list_ids
from stockcheck.labels.measure import Symbology, measures, modules_of

TODAY = date(2026, 11, 25)


def dates() -> Iterator[str]:
    for printed in (
        "EXP 11/2027", "EXP 02/2028", "USE BEFORE 11/2027", "USE BEFORE END 11/2027",
        "DISCARD AFTER 11/2027", "BEST BEFORE END 11/2027", "EXP 31.08.2027", "EXP 2027-W09",
    ):  # fmt: skip
        reading = read_date(printed, TODAY).reading
        assert reading is not None
        yield f"{printed} {spoken(reading.last_usable_day)} "
    assert read_date("MFG 03/2025", TODAY).says is Says.MADE
    yield "A made date, MFG 03/2025 or"
    assert read_date("LOT 270228", TODAY).says is Says.BATCH
    yield "A batch. LOT 270228 looks"
    tyre = read_made("2522", TODAY, context=DateContext.TYRE).reading
    assert tyre is not None
    yield f"2522 is the week in which it was made, the one from {spoken(tyre.date.first_day())}"
    jar = read_date("12M", TODAY).life
    assert jar is not None
    yield f"12M: {jar} from the day you open it"


def limit_days() -> Iterator[str]:
    bleach, drops, putty = (shipped_kind(key) for key in ("bleach", "eye-drops", "epoxy-putty"))
    assert bleach is not None
    assert drops is not None
    assert putty is not None
    bought = date(2026, 2, 1)
    (shelf,) = limits(lot(item(bleach), received_on=bought), None)
    assert bleach.sealed is not None
    assert "taken as made 6 months before" in shelf.why
    yield (
        f"bought on {spoken(bought)}, is taken as made 6 months before, and its kind lives"
        f" {bleach.sealed.life} sealed: {spoken(shelf.last_usable_day)}"
    )
    yield f"as 6 months old, and as 12 where its life is {SHORT_LIFE_MONTHS // 12} years or more"
    assert drops.opened is not None
    drops_printed = read_date("EXP 06/2027", TODAY, context=DateContext.MEDICINE).reading
    assert drops_printed is not None
    yield f"Eye drops printed for {spoken(drops_printed.last_usable_day)} and"
    day = date(2026, 10, 20)
    end = drops.opened.life.after(day)
    source = drops.opened.source.partition(",")[0]
    yield (f"on {spoken(day)} were good through {spoken(end)}: {drops.opened.life} ({source})")
    opened, month = date(2027, 1, 31), Life(months=1)
    yield f"opened on {spoken(opened)}, one month ends on {spoken(month.after(opened))}"
    assert putty.inspection is not None
    assert putty.sealed is not None
    assert putty.inspection.extends is not None
    assert putty.inspection.extends.months * 2 == putty.sealed.life.months
    yield f"adds half the first life, at most {putty.inspection.times} times here"


def heat() -> Iterator[str]:
    def used(celsius: float, days: float, q10: float = 2) -> float:
        return days * max(1.0, q10_factor(celsius, q10, REFERENCE_C))

    yield (
        "2 means twice as fast for each 10 °C more. With 2, a day at 35 °C uses up"
        f" {used(35, 1):g} days of life, at 45 °C {used(45, 1):g} days, at 55 °C"
        f" {used(55, 1):g} days."
    )
    yield f"life is taken to run at {REFERENCE_C:g} °C"
    unclipped = sum(q10_factor(celsius, 2, REFERENCE_C) / 2 for celsius in (15, 35))
    yield (
        "Unclipped, 12 hours at 15 °C and 12 at 35 °C would make"
        f" {unclipped:g} days of a day; counted our way they make {used(15, 0.5) + used(35, 0.5):g}"
    )
    parts = sum(used(celsius, 30) for celsius in (25, 35, 45))
    yield (
        f"30 days each at 25, 35 and 45 °C use up {parts:g} days; their mean of 35 °C would make"
        f" it {used(35, 90):g}"
    )
    low, high = BANDS[2.0]
    yield f"the same with Q10 {low:g} and {high:g}"
    yield (
        f"For 90 days at 35 °C that is {used(35, 90, low):g} to {used(35, 90, high):g} days of"
        f" life, with {used(35, 90):g} in the middle"
    )
    yield f"more than {MEDICINE_CAP_C:g} °C makes a medicine count"
    yield f"that holds above {CAP_C:g} °C"
    # Q10 from two losses at two temperatures, each a first-order rate (ln of what is left)
    yield f"Q10 about {implied(75, 10):.1f} and {implied(25, 15):.1f}"


def implied(hot_loss: float, mild_loss: float) -> float:
    """The Q10 of two losses in per cent over one time, at 37 and at 22.5 °C."""
    from math import log

    ratio = log(1 - hot_loss / 100) / log(1 - mild_loss / 100)
    assert activation_energy(ratio, 22.5, 37) > 0
    return float(ratio ** (10 / (37 - 22.5)))


def carry() -> Iterator[str]:
    aims = ASSURANCES
    chances = [1 - each for each, _ in zip(reliabilities(2, 66, 84), range(9), strict=False)]
    shown = " ".join(f"{n} {percent(chances[n], up=True)}" for n in (2, 4, 6, 7, 8))
    yield f"Carried Chance of running out {shown}"
    number = bound(2, 66, 84, aims.desirable)
    yield f"Why {number}, when 2 in 66 days comes to fewer than {-(-2 * 84 // 66)} in 84?"
    yield f"so {percent(aims.desirable)} are enough, and {number} are the fewest"
    yield (
        "Last year's trip had 66 days and used up 2 tubes of superglue. The next is planned for"
        " 84 days"
    )
    for log, trip, aim in (
        (30, 2, aims.essential), (30, 12, aims.essential), (6, 6, aims.essential),
        (120, 2, aims.vital),
    ):  # fmt: skip
        number = bound(0, log, trip, aim)
        yield f"none used in {log} months away {trip} months {percent(aim)} {number}"
    yield (
        f"Vital things aim at {percent(aims.vital)}, essential ones at {percent(aims.essential)},"
        f" desirable ones at {percent(aims.desirable)}, and of a vital thing at least 1"
    )
    driven, calendar = (bound(0, days, 60, aims.essential) for days in (70, 910))
    yield (
        f"none in 70 days on the road means {driven} for 60 days, none in 910 days of the calendar"
        f" would say {calendar}"
    )
    chance = percent(together([Fraction(95, 100)] * 20))
    yield f"With 20 things at 95 % each the chance that none of them runs out is {chance}"
    yield f"more than {LONGEST_AHEAD} times the log"
    yield f"- {LONGEST_AHEAD} times the log: our own choice"


def buying() -> Iterator[str]:
    shop = Shop([want(1, 12)], [OnSale(1, 1, 1, 10, 900), OnSale(2, 1, 1, 6, 570)])
    plan = buy(shop.wants, shop.offers, shop.terms)
    assert [(it.packs, it.offer.size) for it in plan.bought] == [(2, 6)]
    yield (
        f"12 pack of 10 at 9.00, pack of 6 at 5.70 {euros(plan.total_cents)}, two of 6"
        f" {euros(900 + 570)}, one of each"
    )
    shop = Shop([want(1, 20)], [OnSale(1, 1, 1, 10, 800), OnSale(2, 2, 1, 5, 500)], [Terms(1, 490)])
    plan = buy(shop.wants, shop.offers, shop.terms)
    assert [(it.packs, it.offer.size) for it in plan.bought] == [(4, 5)]
    yield (
        f"20 10 at 8.00 plus 4.90 shipping, or 5 at 5.00 without {euros(plan.total_cents)},"
        f" four of 5 {euros(2 * 800 + 490)}, by unit price"
    )
    terms = [Terms(1, 500, free_from_cents=2500)]
    shop = Shop([want(1, 5)], [OnSale(1, 1, 1, 1, 450), OnSale(2, 2, 1, 1, 560)], terms)
    plan = buy(shop.wants, shop.offers, shop.terms)
    (line,) = plan.bought
    yield (
        f"5 4.50 each plus 5.00, free from 25.00, or 5.60 each {euros(plan.total_cents)}, by"
        f" taking {line.packs} {euros(5 * 450 + 500)}, exactly 5"
    )


def euros(cents: int) -> str:
    return f"{cents / 100:.2f}"


def labels() -> Iterator[str]:
    code = make_code("lot", 12)
    assert len(code) == 10
    yield "number of ten digits of our own"
    yield "Our ten digits"
    first = [make_code(sort, 1)[0] for sort in ("lot", "box", "item", "action")]
    yield "({} lot, {} box, {} item, {} an action".format(*first)
    yield "eight are the number"
    assert not any(map(passes, wrongly_typed(code)))
    swaps = [
        each for serial in range(1, 10**8, 99_991) for each in swapped(make_code("lot", serial))
    ]
    noticed = sum(not passes(each) for each in swaps)
    assert 0.95 < noticed / len(swaps) < 1
    yield "neighbours swapped nearly always"
    modules = modules_of(code, Symbology.CODE_128)[0]
    quiet = {each: measures(code, each, 203)[0].quiet_modules[0] for each in list(Symbology)[:3]}
    wide = (modules + 2 * quiet[Symbology.CODE_128]) * 0.25
    yield (
        "Width of our ten digits bars any scanner, also the oldest; the usual one"
        f" {wide:g} mm at 0.25 mm a bar"
    )
    for symbology in (Symbology.DATA_MATRIX, Symbology.QR):
        across, up = modules_of(code, symbology)
        yield f"{across} by {up} squares"
    dot = 25.4 / 203
    yield f"At 203 dots an inch two dots are {2 * dot:.3f} mm, three are {3 * dot:.3f} mm"
    yield (
        f"{quiet[Symbology.CODE_128]} bar widths left and right of bars,"
        f" {quiet[Symbology.DATA_MATRIX]} square around a Data Matrix,"
        f" {quiet[Symbology.QR]} around QR"
    )


def passes(code: str) -> bool:
    return check_digit(code[:-1]) == code[-1]


def wrongly_typed(code: str) -> list[str]:
    """The code with each of its digits taken for each other one."""
    return [
        code[:place] + digit + code[place + 1 :]
        for place, right in enumerate(code)
        for digit in "0123456789"
        if digit != right
    ]


def swapped(code: str) -> list[str]:
    """The code with each two unlike neighbours swapped."""
    return [
        code[:place] + code[place + 1] + code[place] + code[place + 2 :]
        for place in range(len(code) - 1)
        if code[place] != code[place + 1]
    ]


def audits() -> Iterator[str]:
    ids = kit_list_ids()
    memory = [each for each in ids if kit_list(each).certainty == MEMORY]
    yield (
        f"{len(ids)} lists ship. {len(ids) - len(memory)} were read in copies, seldom the"
        f" standard itself; {len(memory)} are from memory"
    )


def worked_out() -> dict[str, list[str]]:
    """The phrases of each page that are built from values computed now."""
    assert len(shipped_kinds()) > 100
    found = {
        "dates": dates, "limits": limit_days, "heat": heat, "carry": carry, "buying": buying,
        "labels": labels, "audits": audits,
    }  # fmt: skip
    return {topic: list(phrases()) for topic, phrases in found.items()}
