"""How many of a thing to carry, from what was used before: an exact bound in whole numbers.

``k`` uses were logged over an exposure ``t``; the trip ahead has an exposure ``h``. With
q = t / (t + h) the number wanted is negative binomial, NB(k + 1, q): the predictive distribution
under a flat prior, and Nelson's exact conditional prediction bound (IEEE Transactions on
Reliability, 1970, R-19:42). It keeps its promise for every true rate of use, on the average over
logs and trips, and is told in one sentence: plan as if one more use had happened than was logged.

Only whole numbers and fractions are used: nothing is rounded, and no tie is decided by an error of
the last digit. Exposure must be what causes use: days away, distance, person-days.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from itertools import islice
from math import gcd

from stockcheck.core.errors import BadInput
from stockcheck.core.model import Importance

Exact = int | Fraction | Decimal
"""A number without error of rounding; a decimal is taken as it is written."""

LONGEST_AHEAD = 4
"""A trip of more than so many times the log's exposure is beyond what the log can tell: our own
choice, no source."""


class Measure(StrEnum):
    """What causes use, and so what a log and a trip are measured in."""

    DAYS = "days"
    KM = "km"
    PERSON_DAYS = "person-days"


class Basis(StrEnum):
    """What a quantity rests on. From the last two none follows: ask how long one lasts."""

    LOG = "log"
    GUESS = "how long one lasts"
    TOO_SHORT = "log too short"
    NO_LOG = "no log"


@dataclass(frozen=True, slots=True)
class Log:
    """So many occasions of use over so much exposure; none over some exposure is data too.

    ``sizes`` tells how many units were used on how many occasions, ``((1, 3), (2, 1))``; where it
    is empty, each occasion took one unit.
    """

    occasions: int
    exposure: Exact
    measure: Measure = Measure.DAYS
    sizes: tuple[tuple[int, int], ...] = ()

    def __post_init__(self) -> None:
        if self.occasions < 0 or self.exposure < 0:
            raise ValueError("occasions and exposure of a log are 0 or more")
        if self.sizes and sum(number for _, number in self.sizes) != self.occasions:
            raise ValueError("the sizes of a log tell of each occasion once")
        if any(size < 1 or number < 1 for size, number in self.sizes):
            raise ValueError("an occasion takes 1 unit or more")

    @property
    def largest(self) -> int:
        """The most units that one occasion took; 1 while none is known."""
        return max((size for size, _ in self.sizes), default=1)

    @property
    def units(self) -> int:
        """All the units used."""
        return sum(size * number for size, number in self.sizes) or self.occasions


@dataclass(frozen=True, slots=True)
class Assurances:
    """The chance of not running out that is aimed at, by importance.

    Defaults are our own choice inside the ranges that are published for spares (90 to 95 % a part,
    Fukuda 2008) and for stores by importance (vital 99.5 to 99.99 %, essential 95 to 99 %, course
    notes on the VED analysis). Above 0 and below 1.
    """

    vital: Fraction = Fraction(99, 100)
    essential: Fraction = Fraction(95, 100)
    desirable: Fraction = Fraction(90, 100)

    def of(self, importance: Importance) -> Fraction:
        """The assurance aimed at for things of an importance."""
        return {
            Importance.VITAL: self.vital,
            Importance.ESSENTIAL: self.essential,
            Importance.DESIRABLE: self.desirable,
        }[importance]


ASSURANCES = Assurances()


@dataclass(frozen=True, slots=True)
class Chance:
    """The chance that a trip wants more than ``carried`` units, exactly."""

    carried: int
    of_running_out: Fraction


@dataclass(frozen=True, slots=True)
class Carry:
    """How many units to carry, and why.

    ``number`` is None where the basis is no log or one that is too short: that is a question, not
    a zero. ``occasions`` is how many uses the number covers, ``achieved`` the chance that it is
    enough, never below ``assurance``. ``log`` is what was planned with: with a guess of how long
    one lasts, that time is added to its exposure. ``kept_one`` says that the figures alone
    would have given none, and one is carried because the thing is vital. ``by_size`` says that
    the sizes of the logged uses were counted with; else every use is taken to be as large as the
    largest ever.
    """

    basis: Basis
    log: Log
    ahead: Exact
    assurance: Fraction
    number: int | None = None
    occasions: int = 0
    achieved: Fraction = Fraction(0)
    kept_one: bool = False
    by_size: bool = False
    lasts: Exact | None = None


def assurance(text: str) -> Fraction:
    """Read ``95 %``, ``99.5%`` or ``0.95``; BadInput for what is not between 0 and 100 %."""
    bare = text.strip().removesuffix("%").strip()
    try:
        value = Fraction(Decimal(bare)) / (100 if "%" in text else 1)
    except (ArithmeticError, ValueError):
        value = Fraction(0)
    if not 0 < value < 1:
        raise BadInput(
            f"assurance {text!r}: give the chance of not running out, above 0 % and below 100 %,"
            " such as 95%"
        )
    return value


def reliabilities(occasions: int, exposure: Exact, ahead: Exact) -> Iterator[Fraction]:
    """P(no more than 0 uses ahead), P(no more than 1), and so on without end.

    ValueError without any exposure: nothing follows from no log.
    """
    for total, scale in _sums(occasions, exposure, ahead):
        yield Fraction(total, scale)


def bound(occasions: int, exposure: Exact, ahead: Exact, assurance: Fraction) -> int:
    """The smallest n for which P(no more than n uses ahead) is at least the assurance."""
    _check_assurance(assurance)
    return _first_that_reaches(assurance, _sums(occasions, exposure, ahead))


def each_of(together: Fraction, number: int) -> Fraction:
    """The assurance that each of so many independent things needs, for all to have it together.

    The root, rounded up to the next millionth so that the promise is kept: 90 % over 20 things
    needs 99.475 % of each. Over the legs of a trip it is safe, as they share one unknown rate.
    """
    _check_assurance(together)
    if number < 1:
        raise ValueError("there is at least one thing")
    fine = 10**6
    low, high = 0, fine
    while low + 1 < high:
        middle = (low + high) // 2
        if Fraction(middle, fine) ** number >= together:
            high = middle
        else:
            low = middle
    return Fraction(high, fine)


def together(each: list[Fraction]) -> Fraction:
    """The chance that none of several independent things runs out: the product of theirs."""
    whole = Fraction(1)
    for one in each:
        whole *= one
    return whole


def carry(
    log: Log | None,
    ahead: Exact,
    importance: Importance = Importance.ESSENTIAL,
    *,
    assurances: Assurances = ASSURANCES,
    lasts: Exact | None = None,
) -> Carry:
    """How many units to carry on a trip with so much exposure ahead, measured as the log is.

    ``lasts`` is the answer to "about how long does one last you?": it stands in for a log in
    which nothing was used for so long, and real exposure is added to it. Without it a trip of more
    than LONGEST_AHEAD times the log gets no number. Of a vital thing at least one is carried.
    """
    aim = assurances.of(importance)
    _check_assurance(aim)
    if ahead < 0 or (lasts is not None and lasts <= 0):
        raise ValueError("exposure ahead is 0 or more, and how long one lasts is above 0")
    known = log or Log(0, 0)
    exposure = Fraction(known.exposure) + Fraction(lasts or 0)
    planned = Log(known.occasions, exposure, known.measure, known.sizes)
    if not exposure:
        return Carry(Basis.NO_LOG, planned, ahead, aim)
    if ahead > LONGEST_AHEAD * exposure:
        return Carry(Basis.TOO_SHORT, planned, ahead, aim, lasts=lasts)
    occasions = bound(planned.occasions, exposure, ahead, aim)
    kept_one = importance is Importance.VITAL and not occasions
    occasions = max(occasions, int(kept_one))
    number, by_size = _units(planned, ahead, aim, occasions)
    answer = Carry(
        basis=Basis.LOG if lasts is None else Basis.GUESS,
        log=planned,
        ahead=ahead,
        assurance=aim,
        number=number,
        occasions=occasions,
        kept_one=kept_one,
        by_size=by_size,
        lasts=lasts,
    )
    return replace(answer, achieved=_achieved(answer, number))


def curve(answer: Carry, fewest_chance: Fraction = Fraction(1, 1000)) -> tuple[Chance, ...]:
    """Quantity against the chance of running out, from none carried on, in steps of one use.

    It goes on to where the chance is no more than ``fewest_chance``, and at least to what is to be
    carried. Where the sizes of uses are counted with, steps are of units, so wide that what is to
    be carried is the 30th at most. Empty without a number: where nothing can be told, no curve is.
    """
    if answer.number is None:
        return ()
    step = _common_step(answer.log) if answer.by_size else answer.log.largest
    stride = max(1, -(-answer.number // (step * MOST_POINTS)))
    points: list[Chance] = []
    for place, (total, scale) in enumerate(_sums_of(answer)):
        carried = place * step
        if place % stride and carried != answer.number:
            continue
        points.append(Chance(carried, Fraction(scale - total, scale)))
        if carried >= answer.number and points[-1].of_running_out <= fewest_chance:
            break
    return tuple(points)


MOST_POINTS = 30
ENOUGH_FOR_SIZES = 20
"""From so many logged occasions on, the sizes of uses are counted with: our own choice, no source.
Below it, every use is taken to be as large as the largest ever."""
MOST_STEPS = 3000
"""Beyond so many units (of the largest size that divides all uses) sizes are not counted with."""


def _units(log: Log, ahead: Exact, aim: Fraction, occasions: int) -> tuple[int, bool]:
    """Units that cover the occasions, and whether by the sizes of the logged uses."""
    most = occasions * log.largest
    if log.largest == 1 or log.occasions < ENOUGH_FOR_SIZES or not occasions:
        return most, False
    step = _common_step(log)
    if most // step > MOST_STEPS:
        return most, False
    return _first_that_reaches(aim, _by_size(log, ahead)) * step, True


def _first_that_reaches(aim: Fraction, sums: Iterator[tuple[int, int]]) -> int:
    top, bottom = aim.numerator, aim.denominator
    return next(n for n, (total, scale) in enumerate(sums) if total * bottom >= top * scale)


def _achieved(answer: Carry, number: int) -> Fraction:
    step = _common_step(answer.log) if answer.by_size else answer.log.largest
    total, scale = next(islice(_sums_of(answer), number // step, None))
    return Fraction(total, scale)


def _sums_of(answer: Carry) -> Iterator[tuple[int, int]]:
    if answer.by_size:
        return _by_size(answer.log, answer.ahead)
    return _sums(answer.log.occasions, answer.log.exposure, answer.ahead)


def _sums(occasions: int, exposure: Exact, ahead: Exact) -> Iterator[tuple[int, int]]:
    """P(X <= n) for n = 0, 1, ... as a whole number over a power of a + b, where t : h = a : b."""
    if occasions < 0 or exposure <= 0 or ahead < 0:
        raise ValueError("needs 0 occasions or more over some exposure, and no less than 0 ahead")
    ratio = Fraction(exposure) / (Fraction(exposure) + Fraction(ahead))
    a, whole = ratio.numerator, ratio.denominator
    term = total = a ** (occasions + 1)
    scale = whole ** (occasions + 1)
    n = 0
    while True:
        yield total, scale
        n += 1
        term = term * (whole - a) * (n + occasions) // n  # C(n + k, n) is whole: nothing is lost
        total = total * whole + term
        scale *= whole


def _common_step(log: Log) -> int:
    return gcd(*(size for size, _ in log.sizes))


def _by_size(log: Log, ahead: Exact) -> Iterator[tuple[int, int]]:
    """P(no more than s steps of units are used), s = 0, 1, ...: the compound of number and sizes.

    Panjer's recursion (1981, from memory) for negative binomial numbers, times a power of the
    common denominator, which makes every term a whole number.
    """
    step = _common_step(log)
    sizes = [(size // step, number) for size, number in log.sizes]
    k, uses = log.occasions, sum(number for _, number in sizes)
    ratio = Fraction(log.exposure) / (Fraction(log.exposure) + Fraction(ahead))
    a, whole = ratio.numerator, ratio.denominator
    scale = whole * uses
    none, base = a ** (k + 1), whole ** (k + 1)
    terms = [1]
    total, power = 1, 1
    while True:
        yield none * total, base * power
        s = len(terms)
        found = sum(
            (whole - a) * (s + k * j) * number * scale ** (j - 1) * terms[s - j]
            for j, number in sizes
            if j <= s
        )
        terms.append(found // s)
        total, power = total * scale + terms[s], power * scale


def _check_assurance(assurance: Fraction) -> None:
    if not 0 < assurance < 1:
        raise ValueError("an assurance lies above 0 and below 1")
