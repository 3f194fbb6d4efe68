"""A second reader of QR codes, independent of zxing-cpp, for versions 1 to 4 in one or two blocks.

Written from the description in ISO/IEC 18004, from memory: finder and timing patterns, format
information, the eight masks, the walk of the codewords, Reed-Solomon syndromes block by block, the
numeric, alphanumeric and byte modes and FNC1. It corrects no errors: what is drawn must have none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from reader_bars import Unreadable
from reader_fields import QR

# version, level: data codewords of each block, and error correction codewords a block (table 9)
BLOCKS = {
    (1, "L"): ((19,), 7), (1, "M"): ((16,), 10), (1, "Q"): ((13,), 13), (1, "H"): ((9,), 17),
    (2, "L"): ((34,), 10), (2, "M"): ((28,), 16), (2, "Q"): ((22,), 22), (2, "H"): ((16,), 28),
    (3, "L"): ((55,), 15), (3, "M"): ((44,), 26), (3, "Q"): ((17, 17), 18),
    (3, "H"): ((13, 13), 22),
    (4, "L"): ((80,), 20), (4, "M"): ((32, 32), 18), (4, "Q"): ((24, 24), 26),
    (4, "H"): ((9, 9, 9, 9), 16),
}  # fmt: skip
_LEVELS = {0: "M", 1: "L", 2: "H", 3: "Q"}
_MASKS: tuple[Callable[[int, int], bool], ...] = (
    lambda row, column: (row + column) % 2 == 0,
    lambda row, _: row % 2 == 0,
    lambda _, column: column % 3 == 0,
    lambda row, column: (row + column) % 3 == 0,
    lambda row, column: (row // 2 + column // 3) % 2 == 0,
    lambda row, column: row * column % 2 + row * column % 3 == 0,
    lambda row, column: (row * column % 2 + row * column % 3) % 2 == 0,
    lambda row, column: ((row + column) % 2 + row * column % 3) % 2 == 0,
)
_FINDER = ("1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111")
_ALPHANUMERIC = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"


def read_qr(rows: tuple[str, ...]) -> tuple[str, str]:
    """The text of a symbol's modules and its error correction level."""
    side = len(rows)
    version = (side - 17) // 4
    _check_patterns(rows)
    level, mask = _format(rows)
    sizes, corrections = BLOCKS[version, level]
    bits = "".join(
        str(int(rows[row][column]) ^ _MASKS[mask](row, column)) for row, column in _walk(side)
    )
    codewords = [int(bits[at : at + 8], 2) for at in range(0, len(bits) - 7, 8)]
    blocks = [codewords[at : sum(sizes) : len(sizes)] for at in range(len(sizes))]
    rest = codewords[sum(sizes) : sum(sizes) + corrections * len(sizes)]
    for at, block in enumerate(blocks):
        if not QR.is_whole([*block, *rest[at :: len(sizes)]], corrections, first=0):
            raise Unreadable("its codewords do not agree with their error correction")
    return _text("".join(f"{word:08b}" for block in blocks for word in block)), level


def _check_patterns(rows: tuple[str, ...]) -> None:
    side = len(rows)
    for top, left in ((0, 0), (0, side - 7), (side - 7, 0)):
        if tuple(row[left : left + 7] for row in rows[top : top + 7]) != _FINDER:
            raise Unreadable("a finder pattern is broken")
    timing = "01" * side
    if rows[6][7 : side - 7] != timing[: side - 14]:
        raise Unreadable("the timing pattern is broken")


def _format(rows: tuple[str, ...]) -> tuple[str, int]:
    """Level and mask from the format information, whose remainder must be right (BCH 15, 5)."""
    column = [*range(6), 7, 8]
    bits = "".join(rows[8][at] for at in column) + rows[7][8]
    bits += "".join(rows[at][8] for at in range(5, -1, -1))
    value = int(bits, 2) ^ 0b101010000010010
    rest = value
    for shift in range(4, -1, -1):
        if rest >> (shift + 10) & 1:
            rest ^= 0b10100110111 << shift
    if rest:
        raise Unreadable("its format information is broken")
    return _LEVELS[value >> 13], value >> 10 & 7


def _walk(side: int) -> Iterator[tuple[int, int]]:
    """The data modules in order: two columns at a time, up and down, from the right."""
    up = True
    for right in (*range(side - 1, 6, -2), 5, 3, 1):
        for row in range(side - 1, -1, -1) if up else range(side):
            for column in (right, right - 1):
                if not _is_function(row, column, side):
                    yield row, column
        up = not up


def _is_function(row: int, column: int, side: int) -> bool:
    far = side - 8
    if row < 9 and (column < 9 or column >= far):
        return True
    if (row >= far and column < 9) or row == 6 or column == 6:
        return True
    aligned = side - 7
    return side > 21 and abs(row - aligned) <= 2 and abs(column - aligned) <= 2


class _Bits:
    def __init__(self, bits: str) -> None:
        self._bits, self._at = bits, 0

    def take(self, count: int) -> int:
        self._at += count
        return int(self._bits[self._at - count : self._at] or "0", 2)

    @property
    def left(self) -> int:
        return len(self._bits) - self._at


def _text(bits: str) -> str:
    """The segments of the data, for versions 1 to 9."""
    source, text = _Bits(bits), ""
    while source.left >= 4:
        mode = source.take(4)
        if mode == 0:
            break
        if mode == 0b0101:  # FNC1 in first position
            continue
        text += _segment(mode, source)
    return text


def _segment(mode: int, source: _Bits) -> str:
    if mode == 0b0001:
        count = source.take(10)
        groups = [3] * (count // 3) + ([count % 3] if count % 3 else [])
        return "".join(f"{source.take(3 * size + 1):0{size}d}" for size in groups)
    if mode == 0b0010:
        text = ""
        count = source.take(9)
        for _ in range(count // 2):
            pair = source.take(11)
            text += _ALPHANUMERIC[pair // 45] + _ALPHANUMERIC[pair % 45]
        return text + (_ALPHANUMERIC[source.take(6)] if count % 2 else "")
    if mode == 0b0100:
        return bytes(source.take(8) for _ in range(source.take(8))).decode("utf-8")
    raise Unreadable(f"mode {mode:04b}")
