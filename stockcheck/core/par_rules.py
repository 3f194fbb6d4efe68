"""The rule of a par level, from its texts: what it is worked out from, read exactly.

A plan is written as its sort and its figures: ``water litres=3 tablet=1``, ``spread a-day=4
holds=100``, ``regular dose=1 before=2 after=7``. What a tablet treats and how a medicine is taken
come from the packet, the leaflet and the prescriber; this only reads them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from stockcheck.core.carry import ASSURANCES, Assurances, Log, Measure, assurance
from stockcheck.core.errors import BadInput
from stockcheck.core.names import nearest
from stockcheck.core.needs import Basis, Rule, Worked, worked
from stockcheck.core.planned_use import Plan, Regular, Spread, Water
from stockcheck.core.planning import USUAL_KM, Par, Trip
from stockcheck.core.words import counted, listed

_SORTS = {
    "water": ("litres", "tablet", "treated", "turbid", "keep"),
    "spread": ("a-day", "holds", "measure"),
    "regular": ("dose", "times", "every", "before", "after", "persons"),
}
_FLAGS = {"turbid", "keep"}
_EXAMPLES = {
    "water": "water litres=3 tablet=1",
    "spread": "spread a-day=5 holds=100",
    "regular": "regular dose=1 before=2 after=7",
}
MOST = Decimal(10**7)


def exact(text: str, least: int = 0) -> Decimal:
    """A figure as it is written, with a point or a comma; BadInput for anything else."""
    try:
        value = Decimal(text.strip().replace(",", "."))
    except ArithmeticError:
        value = Decimal("NaN")
    if not value.is_finite() or not least <= value <= MOST or len(text) > 20:
        raise BadInput(f"{text!r} is no figure from {least} up", "Write it as 3 or 2.5")
    return value


def read_plan(text: str) -> Plan:
    """A plan from its words. BadInput names what is not understood and shows one that is."""
    sort, *rest = text.split()
    sort = sort.lower()
    if sort not in _SORTS:
        said = nearest(sort, _SORTS, f"it is one of {listed(list(_SORTS), 'or')}")
        raise BadInput(f"there is no plan {sort!r}{said}", f"Such as: {_EXAMPLES['water']}")
    given: dict[str, str] = {}
    for part in rest:
        name, equals, value = part.lower().partition("=")
        name = name.replace("_", "-")
        if name not in _SORTS[sort] or bool(equals) is (name in _FLAGS):
            known = listed([it if it in _FLAGS else f"{it}=" for it in _SORTS[sort]], "or")
            raise BadInput(f"{part!r} is not understood in a {sort} plan", f"Known are {known}")
        given[name] = value
    try:
        return _PLANS[sort](given)
    except KeyError as error:
        missing = f"a {sort} plan needs {error.args[0]}="
        raise BadInput(missing, f"Such as: {_EXAMPLES[sort]}") from error
    except ValueError as error:
        raise BadInput(f"that plan cannot be: {error}", f"Such as: {_EXAMPLES[sort]}") from error


def _water(given: Mapping[str, str]) -> Plan:
    return Water(
        litres_a_person=exact(given["litres"]),
        litres_a_tablet=exact(given["tablet"]),
        treated_percent=_whole(given.get("treated", "100").removesuffix("%")),
        turbid="turbid" in given,
        by_day="keep" not in given,
    )


def _spread(given: Mapping[str, str]) -> Plan:
    holds = exact(given.get("holds", "1"))
    return Spread(exact(given["a-day"]), holds, given.get("measure", "ml"))


def _regular(given: Mapping[str, str]) -> Plan:
    persons = given.get("persons")
    return Regular(
        units=exact(given["dose"]),
        times=_whole(given.get("times", "1")),
        every_days=_whole(given.get("every", "1")),
        days_before=_whole(given.get("before", "0")),
        days_after=_whole(given.get("after", "0")),
        persons=None if persons is None else _whole(persons),
    )


_PLANS = {"water": _water, "spread": _spread, "regular": _regular}


def _whole(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 4):
        raise BadInput(f"{text!r} is no whole number from 0 to 9999")
    return int(text)


def rule_of(par: Par) -> Rule:
    """The rule of a par level. BadInput where its texts do not make one."""
    basis = Basis(par.basis)
    if basis is Basis.PLAN and not par.plan:
        raise BadInput("a planned use needs --plan", f"Such as: --plan {_EXAMPLES['water']!r}")
    if basis is not Basis.PLAN and par.plan:
        raise BadInput(f"a plan goes with --basis plan, and this is {basis.value}")
    if basis not in {Basis.FIXED, Basis.HISTORY, Basis.PLAN} and not par.rate:
        raise BadInput(f"--basis {basis.value!r} needs --quantity, such as 2.5")
    return Rule(
        basis=basis,
        quantity=exact(par.rate) if par.rate else par.quantity if par.fixed else 0,
        per_km=par.per_km or USUAL_KM,
        reserve_days=par.reserve_days,
        measure=Measure(par.measure),
        lasts=exact(par.lasts) if par.lasts else None,
        plan=read_plan(par.plan) if par.plan else None,
    )


def assurances_from(settings: Mapping[str, str]) -> Assurances:
    """The chances of not running out that are aimed at, where they were changed; keys are the
    importances.
    """
    changed = {name: assurance(text) for name, text in settings.items() if text}
    return replace(ASSURANCES, **changed)


def assurances_for(par: Par, usual: Assurances) -> Assurances:
    """Those of a par level: its own where it has one."""
    if not par.assurance:
        return usual
    own: Fraction = assurance(par.assurance)
    return Assurances(own, own, own)


@dataclass(frozen=True, slots=True)
class Needed:
    """The par levels with what each comes to on a trip, and those of which nothing follows.

    ``worked`` has the reason for each that is not fixed, by par id. ``open`` are left out of
    ``pars``, each with what is to be asked.
    """

    pars: tuple[Par, ...]
    worked: Mapping[int, Worked]
    open: tuple[tuple[Par, str], ...] = ()


def needed(
    pars: Sequence[Par],
    trip: Trip | None,
    logs: Mapping[int, Log | None],
    usual: Assurances = ASSURANCES,
) -> Needed:
    """What each par level comes to. ``logs`` are those of par levels, by their ids.

    Without a trip a par level from history stands at the least that it has; others that are not
    fixed are left open.
    """
    kept: list[Par] = []
    found: dict[int, Worked] = {}
    unknown: list[tuple[Par, str]] = []
    for par in pars:
        if par.fixed:
            kept.append(par)
            continue
        if trip is None:
            _without_trip(par, kept, unknown)
            continue
        rule = rule_of(par)
        log = logs.get(par.id)
        done = worked(
            rule,
            trip,
            par.importance,
            log=log,
            assurances=assurances_for(par, usual),
            unit=par.item.unit if par.item else "each",
        )
        found[par.id] = done
        if done.ask:
            unknown.append((par, done.ask))
        if done.quantity is not None:
            kept.append(replace(par, quantity=done.quantity))
    return Needed(tuple(kept), found, tuple(unknown))


def _without_trip(par: Par, kept: list[Par], unknown: list[tuple[Par, str]]) -> None:
    least = -(-exact(par.rate) // 1) if par.basis == Basis.HISTORY and par.rate else Decimal(0)
    if least:
        kept.append(replace(par, quantity=int(least)))
        unit = par.item.unit if par.item else "each"
        said = f"from history: without a trip the least, {counted(int(least), unit)}"
        unknown.append((par, said))
    else:
        unknown.append((par, f"{par.plan or par.figure}: give --trip to work it out"))
