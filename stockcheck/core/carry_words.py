"""How many to carry, in one plain sentence with its figures, and why on request.

It never says "you will need", "probability of failure" or "confidence interval": the number is a
promise about running out, not a forecast. A chance is never rounded to the better side.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor

from stockcheck.core.carry import LONGEST_AHEAD, Basis, Carry, Exact, Measure
from stockcheck.core.words import counted


def sentence(answer: Carry, unit: str = "each") -> str:
    """What a person reads first: ``None used in 910 days away. Carry 1: that covers ...``."""
    if answer.number is None:
        return question(answer)
    said = f"{_past(answer, unit)} {_advice(answer, unit)}"
    return said if not answer.kept_one else f"{said} One is carried because it is vital."


def question(answer: Carry) -> str:
    """What to ask where no number follows from the log; "" where one does."""
    ask = "About how long does one last you?"
    if answer.basis is Basis.NO_LOG:
        return f"No log: that is not the same as none used. {ask}"
    if answer.basis is not Basis.TOO_SHORT:
        return ""
    log = _amount(answer.log.exposure, answer.log.measure)
    ahead = _amount(answer.ahead, answer.log.measure)
    return (
        f"The log is too short: {log} against {ahead} ahead, more than {LONGEST_AHEAD} times as"
        f" much. {ask}"
    )


def why(answer: Carry, unit: str = "each") -> tuple[str, ...]:
    """The reason in lines: what was planned as, the figures, and how uses became units."""
    if answer.number is None:
        return (question(answer),)
    k = answer.log.occasions
    shown = "none" if not k else "1 use" if k == 1 else f"{k} uses"
    lines = [f"The log shows {shown}; we plan as if one more had happened."]
    if answer.lasts is not None:
        guess = _amount(answer.lasts, answer.log.measure)
        lines.append(f"You said that one lasts about {guess}: counted as a log without any use.")
    exposure = _amount(answer.log.exposure, answer.log.measure)
    ahead = _amount(answer.ahead, answer.log.measure)
    out = percent(1 - answer.achieved, up=True)
    lines.append(
        f"{k} in {exposure}, {ahead} ahead, aim {percent(answer.assurance)}:"
        f" with {counted(answer.number, unit)} the chance of running out is {out}."
    )
    lines.extend(_sizes(answer, unit))
    if answer.kept_one:
        lines.append("The figures alone give none; of a vital thing at least one is carried.")
    return tuple(lines)


def percent(value: Fraction, *, up: bool = False) -> str:
    """A chance as ``95 %`` or ``99.6 %``: rounded down, or up, never to the nearest.

    Beside the ends it takes as many digits as it needs not to say 0 or 100 %.
    """
    digits = 1
    while digits < 6 and not 0 < _cut(value, digits, up) < 100 * 10**digits and 0 < value < 1:
        digits += 1
    cut = _cut(value, digits, up)
    whole, rest = divmod(cut, 10**digits)
    decimals = f"{rest:0{digits}d}".rstrip("0")
    return f"{whole}.{decimals} %" if decimals else f"{whole} %"


def _cut(value: Fraction, digits: int, up: bool) -> int:
    scaled: Fraction = value * 100 * 10**digits
    return int(ceil(scaled) if up else floor(scaled))


def _past(answer: Carry, unit: str) -> str:
    if answer.basis is Basis.GUESS and answer.lasts == answer.log.exposure:
        lasts = _amount(answer.lasts, answer.log.measure)
        return f"No log yet; one lasts about {lasts}, as you said."
    k = answer.log.occasions
    if not k:
        used = "None"
    elif answer.log.units == k and unit == "each":
        used = str(k)
    else:
        times = "once" if k == 1 else "twice" if k == 2 else f"{k} times"
        return f"Used {times} ({counted(answer.log.units, unit)} in all) in {_over(answer)}."
    return f"{used} used in {_over(answer)}."


def _over(answer: Carry) -> str:
    said = _amount(Fraction(answer.log.exposure) - Fraction(answer.lasts or 0), answer.log.measure)
    told = f"{said} away" if answer.log.measure is Measure.DAYS else said
    if answer.lasts is None:
        return told
    return f"{told} (and one lasts about {_amount(answer.lasts, answer.log.measure)}, as you said)"


def _advice(answer: Carry, unit: str) -> str:
    if answer.log.measure is Measure.DAYS:
        trip = f"this {_figure(answer.ahead)}-day trip"
    else:
        trip = f"the {_amount(answer.ahead, answer.log.measure)} of this trip"
    covers = f"covers {trip} with {percent(answer.assurance)} assurance or better."
    if not answer.number:
        return f"Carry none: even that {covers}"
    return f"Carry {counted(answer.number, unit)}: that {covers}"


def _sizes(answer: Carry, unit: str) -> list[str]:
    largest = answer.log.largest
    if largest == 1:
        return []
    if answer.by_size:
        return [f"Uses took {_mean(answer)} at a time on average; their sizes are counted with."]
    times = "1 use" if answer.occasions == 1 else f"{answer.occasions} uses"
    return [f"{times} of {counted(largest, unit)}, the most that one use ever took."]


def _mean(answer: Carry) -> str:
    tenths = round(10 * Fraction(answer.log.units, answer.log.occasions))
    return f"{tenths // 10}.{tenths % 10}"


def _amount(exposure: Exact, measure: Measure) -> str:
    words = {Measure.DAYS: "day", Measure.PERSON_DAYS: "person-day"}
    one = words.get(measure, measure.value)
    plural = f"{one}s" if measure in words and exposure != 1 else one
    return f"{_figure(exposure)} {plural}"


def _figure(exposure: Exact) -> str:
    exact = Fraction(exposure)
    if exact.denominator == 1:
        return str(exact.numerator)
    tenths = round(exact * 10)
    return f"about {tenths // 10}.{tenths % 10}" if tenths % 10 else f"about {tenths // 10}"
