"""Arithmetic in fields of 256 elements, for the error correction of matrix symbols."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Field256:
    """The field whose elements are residues of a polynomial, its bits as a number."""

    polynomial: int
    powers: list[int] = field(init=False, default_factory=list)

    def __post_init__(self) -> None:
        value = 1
        for _ in range(255):
            self.powers.append(value)
            value <<= 1
            if value > 255:
                value ^= self.polynomial

    def product(self, one: int, other: int) -> int:
        """The product of two elements."""
        if not one or not other:
            return 0
        return self.powers[(self.powers.index(one) + self.powers.index(other)) % 255]

    def is_whole(self, codewords: Sequence[int], corrections: int, first: int) -> bool:
        """Whether the code word polynomial is zero at that many powers from the first on."""
        return all(
            self._value(codewords, self.powers[(first + at) % 255]) == 0
            for at in range(corrections)
        )

    def _value(self, codewords: Sequence[int], at: int) -> int:
        total = 0
        for codeword in codewords:
            total = self.product(total, at) ^ codeword
        return total


DATA_MATRIX = Field256(0x12D)  # x^8 + x^5 + x^3 + x^2 + 1: ISO/IEC 16022
QR = Field256(0x11D)  # x^8 + x^4 + x^3 + x^2 + 1: ISO/IEC 18004
