"""Code 128 (ISO/IEC 15417) as a row of modules: packed into set C wherever pairs of digits stand.

The library python-barcode gives the modules; ``measure`` makes whole printer dots of them.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from stockcheck.core.errors import BadInput
from stockcheck.labels.matrix import runs


@lru_cache(maxsize=4096)
def modules(text: str) -> str:
    """The symbol of a text as modules, "1" dark and "0" light, without quiet zones.

    BadInput for characters that the code sets do not have.
    """
    from barcode.errors import BarcodeError

    if len(text) % 2 == 0 and text.isascii() and text.isdigit():
        return _pairs(text)
    try:
        return str(_symbol()(text).build()[0])
    except (BarcodeError, KeyError, IndexError) as error:
        raise BadInput(
            f"code {text!r}: no bars can hold it. Take letters, digits and signs of ASCII"
        ) from error


def _pairs(digits: str) -> str:
    """Pairs of digits in set C, all that our own codes are made of: start, pairs, check, stop."""
    from barcode.charsets import code128 as charset

    values = [
        charset.START_CODES["C"],
        *(int(digits[at : at + 2]) for at in range(0, len(digits), 2)),
    ]
    check = (values[0] + sum(at * value for at, value in enumerate(values))) % 103
    return "".join([*(str(charset.CODES[value]) for value in (*values, check)), charset.STOP, "11"])


@lru_cache(maxsize=1)
def _symbol() -> Any:
    from barcode.codex import Code128

    class Symbol(Code128):  # type: ignore[misc]  # the library has no types
        """As the library makes it, but a leading pair 99 is data and no change of code set."""

        def _try_to_optimize(self, encoded: list[int]) -> list[int]:
            if self.code[:2].isdigit():
                return encoded
            optimized: list[int] = super()._try_to_optimize(encoded)
            return optimized

    return Symbol


def bars(text: str) -> tuple[tuple[int, int], ...]:
    """The dark bars of a text's symbol: where each begins and how wide it is, in modules."""
    return runs(modules(text))
