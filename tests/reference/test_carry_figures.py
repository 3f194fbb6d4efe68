"""How many to carry, held against published examples and tables, and figures worked out apart.

Sources are named beside the cases. "Worked out" are figures of the negative binomial distribution
computed once with scipy 1.17.1 and written down; "memory" marks what was not read again.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import comb

import pytest
from scipy.stats import binom, nbinom, poisson

from stockcheck.core.carry import Log, bound, carry, curve, each_of, reliabilities, together
from stockcheck.core.model import Importance


def part(text: str) -> Fraction:
    return Fraction(Decimal(text))


# k uses in t, h ahead, assurance p: carry n; the assurance reached with n, and with one fewer.
# Worked out; rows 18 and 19 are exact: 19/20 and 99/100 are reached, and reaching is enough.
CARRIED = [
    (0, 30, 2, ".95", 1, ".99609", ".93750"),
    (0, 30, 2, ".90", 0, ".93750", None),
    (0, 30, 2, ".99", 1, ".99609", ".93750"),
    (0, 30, 6, ".95", 1, ".97222", ".83333"),
    (0, 30, 12, ".95", 2, ".97668", ".91837"),
    (0, 6, 6, ".95", 4, ".96875", ".93750"),
    (0, 1, 2, ".95", 7, ".96098", ".94147"),
    (0, 120, 2, ".99", 1, ".99973", ".98361"),
    (1, 30, 2, ".95", 1, ".98877", ".87891"),
    (1, 30, 6, ".95", 2, ".98380", ".92593"),
    (2, 30, 2, ".95", 1, ".97847", ".82397"),
    (2, 30, 6, ".99", 3, ".99130", ".96451"),
    (3, 30, 3, ".95", 2, ".98783", ".93138"),
    (5, 30, 4, ".95", 3, ".98521", ".94218"),
    (8, 24, 3, ".99", 5, ".99745", ".98989"),
    (12, 12, 2, ".90", 4, ".91649", ".81431"),
    (40, 24, 2, ".95", 7, ".97107", ".93342"),
    (0, 19, 1, ".95", 0, ".95000", None),
    (0, 99, 1, ".99", 0, ".99000", None),
    (0, 70, 60, ".95", 3, None, None),  # days driven ...
    (0, 910, 60, ".95", 1, None, None),  # ... against days of the calendar
    # EnvStats manual, predIntPois: prints 5, the first whole number above its root 4.885 for the
    # first count left out; the smallest number that is enough is 4
    (36, 20, 1, ".95", 4, ".95582", ".87855"),
]


@pytest.mark.parametrize(("k", "t", "h", "p", "n", "reached", "one_fewer"), CARRIED)
def test_worked_cases(
    k: int, t: int, h: int, p: str, n: int, reached: str | None, one_fewer: str | None
) -> None:
    assert bound(k, t, h, part(p)) == n
    found = [float(it) for it, _ in zip(reliabilities(k, t, h), range(n + 1), strict=False)]
    if reached is not None:
        assert found[n] == pytest.approx(float(reached), abs=6e-6)
    if one_fewer is not None:
        assert found[n - 1] == pytest.approx(float(one_fewer), abs=6e-6)


@pytest.mark.parametrize(
    ("k", "t", "h", "ninety", "ninety_five"),
    # Two open cases of spares, hours: eng-tips.com thread 437516; answers worked out
    [(0, 32_441, 90_247, 7, 9), (1, 251_775, 270_742, 5, 6)],
)
def test_spares_asked_about_in_public(
    k: int, t: int, h: int, ninety: int, ninety_five: int
) -> None:
    assert (bound(k, t, h, part(".9")), bound(k, t, h, part(".95"))) == (ninety, ninety_five)


def test_a_very_short_log_is_still_worked_out_exactly() -> None:
    """Worked out: 1 day of log for ten years ahead."""
    assert bound(0, 1, 3650, part(".99")) == 16_811


@pytest.mark.parametrize("k", [0, 1, 2, 5, 11])
@pytest.mark.parametrize("t", [3, 7, 30, 50])
@pytest.mark.parametrize("h", [1, 5, 12])
def test_it_is_nelsons_conditional_prediction_bound(k: int, t: int, h: int) -> None:
    """Nelson, IEEE Transactions on Reliability 1970, R-19:42: the smallest n for which a binomial
    of k + n + 1 with chance t / (t + h) is at most k with a chance of no more than 1 - p.
    """
    q = Fraction(t, t + h)
    for p in (part(".8"), part(".95"), part(".99")):
        n = bound(k, t, h, p)
        assert lower_tail(k, k + n + 1, q) <= 1 - p
        assert n == 0 or lower_tail(k, k + n, q) > 1 - p
        assert binom.cdf(k, k + n + 1, float(q)) <= 1 - float(p) + 1e-12


def lower_tail(k: int, trials: int, q: Fraction) -> Fraction:
    return sum(
        (comb(trials, x) * q**x * (1 - q) ** (trials - x) for x in range(k + 1)), Fraction(0)
    )


@pytest.mark.parametrize("k", [0, 1, 4, 30])
@pytest.mark.parametrize("t", [7, 91, 910])
@pytest.mark.parametrize("h", [1, 60, 365])
def test_reliabilities_are_those_of_scipys_negative_binomial(k: int, t: int, h: int) -> None:
    for n, exact in zip(range(25), reliabilities(k, t, h), strict=False):
        assert float(exact) == pytest.approx(nbinom.cdf(n, k + 1, t / (t + h)), abs=1e-12)


# Smallest n with P(Poisson(m) <= n) >= p, for p = .80, .90, .95, .975, .99, .995, .999. Worked out;
# the tables of m = 1 and m = 5 in textbooks (memory) agree.
POISSON = {
    ".02": (0, 0, 0, 0, 1, 1, 1), ".05": (0, 0, 0, 1, 1, 1, 2), ".1": (0, 0, 1, 1, 1, 1, 2),
    ".2": (0, 1, 1, 1, 2, 2, 3), ".3": (1, 1, 1, 2, 2, 2, 3), ".5": (1, 1, 2, 2, 3, 3, 4),
    ".75": (1, 2, 2, 3, 3, 4, 5), "1": (2, 2, 3, 3, 4, 4, 5), "1.5": (2, 3, 4, 4, 5, 5, 6),
    "2": (3, 4, 5, 5, 6, 6, 8), "3": (4, 5, 6, 7, 8, 8, 10), "4": (6, 7, 8, 8, 9, 10, 11),
    "5": (7, 8, 9, 10, 11, 12, 13), "6": (8, 9, 10, 11, 12, 13, 15),
    "8": (10, 12, 13, 14, 15, 16, 18), "10": (13, 14, 15, 17, 18, 19, 21),
}  # fmt: skip
LEVELS = (".80", ".90", ".95", ".975", ".99", ".995", ".999")
LONG = 10_000


def with_a_long_log(m: str, p: str) -> int:
    """With a log of so many trips the rate is as good as known, and the bound is Poisson's."""
    return bound(int(part(m) * LONG) - 1, LONG, 1, part(p))


@pytest.mark.parametrize("m", POISSON)
def test_with_a_long_log_the_bound_is_that_of_a_known_rate(m: str) -> None:
    assert tuple(with_a_long_log(m, p) for p in LEVELS) == POISSON[m]
    assert tuple(int(poisson.ppf(float(p), float(m))) for p in LEVELS) == POISSON[m]


@pytest.mark.parametrize(
    ("m", "p", "n"),
    [
        ("4.32", ".95", 8),  # Blanchard's nomograph, K=20, 0.1/1000 h, 2160 h (memory): about 8
        ("6.48", ".95", 11),  # the same nomograph, exercise: 30 parts, 10 000 h, 2160 h: 11
        ("8", ".90", 12),  # Trivedi chapter 6 problem 2, after Barlow & Proschan 1981: pooled
        ("2", ".95", 5),  # engine exercise, printed 4: .9473 is below .95 and not rounded up
        ("3", ".95", 6),  # RMQSI article's data (3 years, 1 a year)
        ("1.632", ".999", 7),  # telephone exchange manual; prints 8, counting "fewer than n"
        (".972", ".95", 3),  # 45 drives for 90 days, 100 000 h: printed 3 (by a normal curve)
        (".486", ".95", 2),  # 200 000 h: printed 2
        (".324", ".95", 1),  # 300 000 h: printed 2; the normal curve gives too many when few
    ],
)
def test_published_spares_of_a_known_rate(m: str, p: str, n: int) -> None:
    assert with_a_long_log(m, p) == n == int(poisson.ppf(float(p), float(m)))


def test_n_spares_cover_n_uses() -> None:
    """RMQSI article, 3 spares for 3 expected: it prints 42 %, which is fewer than 3; 3 are 65 %."""
    found = list(zip(range(4), reliabilities(3 * LONG - 1, LONG, 1), strict=False))
    assert [round(float(it), 3) for _, it in found[2:]] == [0.423, 0.647]


def test_units_follow_the_sizes_of_uses_where_enough_are_logged() -> None:
    """Worked out (Panjer 1981, memory): 1, 2, 3 units with chances .5, .3, .2; here with 20 logged
    uses in 150 days for 10 ahead, against the same sum over the number of uses by scipy.
    """
    log = Log(20, 150, sizes=((1, 10), (2, 6), (3, 4)))
    answer = carry(log, 10)
    assert answer.by_size
    assert answer.number == smallest_compound(log, 10, 0.95)


def smallest_compound(log: Log, ahead: int, p: float) -> int:
    sizes = {size: number / log.occasions for size, number in log.sizes}
    chance, of_uses = {0: 1.0}, [0.0] * 200
    for n in range(60):
        weight = nbinom.pmf(n, log.occasions + 1, int(log.exposure) / (int(log.exposure) + ahead))
        for total, part_of in chance.items():
            of_uses[total] += weight * part_of
        grown: dict[int, float] = {}
        for total, part_of in chance.items():
            for size, share in sizes.items():
                grown[total + size] = grown.get(total + size, 0.0) + part_of * share
        chance = {total: it for total, it in grown.items() if total < 200}
    so_far = 0.0
    for units, one in enumerate(of_uses):
        so_far += one
        if so_far >= p:
            return units
    raise AssertionError


def test_assurance_of_many_things_together() -> None:
    """.99^20 = .818, .95^20 = .358; 90 % over 20 things needs .99475 of each (worked out)."""
    assert float(together([part(".99")] * 20)) == pytest.approx(0.818, abs=5e-4)
    assert float(together([part(".95")] * 20)) == pytest.approx(0.358, abs=5e-4)
    each = each_of(part(".9"), 20)
    assert float(each) == pytest.approx(0.99475, abs=5e-6)
    assert together([each] * 20) >= part(".9")


def test_stations_on_the_way_save_nothing_below_one_unit() -> None:
    """Worked out: legs of 19, 25 and 16 days for a whole trip at 95 %."""
    leg = each_of(part(".95"), 3)
    assert [bound(12, 910, 60, part(".95"))] == [3]
    assert [bound(12, 910, days, leg) for days in (19, 25, 16)] == [2, 2, 2]
    assert [bound(0, 910, days, leg) for days in (60, 19, 25, 16)][1:] == [1, 1, 1]
    assert bound(0, 910, 60, part(".95")) == 1


def test_importance_sets_the_assurance() -> None:
    """Worked out: no use in 30, 2 ahead: vital 1, essential 1, desirable 0."""
    found = [carry(Log(0, 30), 2, importance).number for importance in Importance]
    assert found == [1, 1, 0]


def test_a_guess_of_how_long_one_lasts_stands_in_for_a_log() -> None:
    """Worked out: one lasts 12 months, 2 ahead, 95 %: 1."""
    assert carry(None, 2, lasts=12).number == 1


def test_the_curve_is_the_distributions_upper_tail() -> None:
    for point in curve(carry(Log(2, 30), 6)):
        tail = nbinom.sf(point.carried, 3, 30 / 36)
        assert float(point.of_running_out) == pytest.approx(tail, abs=1e-12)
