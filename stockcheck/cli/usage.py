"""Wrong usage in our words: what the option parser found, told as every other message is."""

from __future__ import annotations

import re

import click

_EXTRA = re.compile(r"Got unexpected extra arguments? \((.*)\)")


def usage_words(error: click.ClickException) -> str:
    """What is wrong with a command line, and the nearest where a name was mistyped."""
    if isinstance(error, click.NoSuchOption):
        return _no_such_option(error)
    if isinstance(error, click.BadOptionUsage):
        return f"{error.option_name} needs a value after it"
    if isinstance(error, click.MissingParameter):
        return f"{_hint(error)} is missing; {_more(error)}"
    said = error.message.rstrip(".")
    if isinstance(error, click.BadParameter):
        return f"{_hint(error)}: {_better(said, error.param)}"
    if extra := _EXTRA.fullmatch(said):
        return f"{extra[1]!r} is too much here; put a name with blanks into quotes"
    return said[:1].lower() + said[1:] if said[:2].istitle() else said


def _more(error: click.UsageError) -> str:
    path = error.ctx.command_path if error.ctx is not None else "stockcheck"
    return f"'{path} --help' tells more"


def _better(said: str, param: click.Parameter | None) -> str:
    """What a figure must be, or the nearest word of those that are known."""
    given, found, _ = said.partition(" is not ")
    kind = param.type if param is not None else None
    if found and isinstance(kind, click.types.IntParamType):
        return f"{given} is not a whole number{_range(kind)}"
    if found and isinstance(kind, click.types.FloatParamType):
        return f"{given} is not a number"
    if found and isinstance(kind, click.Choice):
        from stockcheck.core.names import nearest

        return said + nearest(given.strip("'"), map(str, kind.choices), "").removesuffix("; ")
    return said


def _range(kind: click.ParamType[int]) -> str:
    if not isinstance(kind, click.IntRange) or kind.min is None:
        return ""
    return f" from {kind.min} up" if kind.max is None else f" from {kind.min} to {kind.max}"


def _no_such_option(error: click.NoSuchOption) -> str:
    from stockcheck.core.names import nearest

    context = error.ctx
    known = []
    if context is not None:
        params = context.command.get_params(context)
        known = [name for it in params for name in (*it.opts, *it.secondary_opts) if name[0] == "-"]
    given = error.option_name
    there = [name for name in known if name.startswith("--")] if given.startswith("--") else known
    return f"there is no option {given!r}" + nearest(given, there, _more(error))


def _hint(error: click.BadParameter) -> str:
    """What was meant: an option by its long name, an argument as the usage shows it."""
    param = error.param
    if param is None:
        hint = error.param_hint or "the command line"
        return hint if isinstance(hint, str) else " / ".join(hint)
    if isinstance(param, click.Option):
        return max(param.opts, key=len)
    return param.make_metavar(error.ctx) if error.ctx is not None else (param.name or "").upper()
