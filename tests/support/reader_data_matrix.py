"""A second reader of Data Matrix ECC 200, independent of zxing-cpp, for square symbols to 26 × 26.

Written from the description in ISO/IEC 16022, from memory: finder and clock track, placement of
codewords (Annex F), Reed-Solomon syndromes of all codewords, the encodations ASCII, C40, Text, X12,
EDIFACT and Base 256. It corrects no errors: what is drawn must have none.
"""

from __future__ import annotations

from collections.abc import Iterator

from reader_bars import SEPARATOR, Unreadable
from reader_fields import DATA_MATRIX

# side: data and error correction codewords (ISO/IEC 16022, table 7)
SIZES = {
    10: (3, 5), 12: (5, 7), 14: (8, 10), 16: (12, 12), 18: (18, 14), 20: (22, 18), 22: (30, 20),
    24: (36, 24), 26: (44, 28),
}  # fmt: skip
Cell = tuple[int, int]


def read_data_matrix(rows: tuple[str, ...]) -> tuple[str, bool]:
    """The text of a symbol's modules, and whether it begins with FNC1 as GS1's do."""
    side = len(rows)
    _check_frame(rows)
    data, corrections = SIZES[side]
    inner = [row[1:-1] for row in rows[1:-1]]
    codewords = [
        int("".join(inner[row][column] for row, column in cells), 2)
        for cells in placement(side - 2)
    ][: data + corrections]
    if not DATA_MATRIX.is_whole(codewords, corrections, first=1):
        raise Unreadable("its codewords do not agree with their error correction")
    body = codewords[:data]
    return _Decoder(body).text, body[0] == 232


def _check_frame(rows: tuple[str, ...]) -> None:
    """Dark at the left and below; alternating above, from dark, and at the right, to dark."""
    side = len(rows)
    left, right = ("".join(row[at] for row in rows) for at in (0, side - 1))
    if left + rows[-1] != "1" * 2 * side:
        raise Unreadable("its finder is broken")
    if rows[0] != "10" * (side // 2) or right != "01" * (side // 2):
        raise Unreadable("its clock track is broken")


def placement(side: int) -> list[list[Cell]]:
    """For each codeword the cells of its bits, most significant first."""
    taken: set[Cell] = set()
    found: list[list[Cell]] = []

    def put(cells: list[Cell]) -> None:
        wrapped = [_wrapped(row, column, side) for row, column in cells]
        found.append(wrapped)
        taken.update(wrapped)

    for row, column, corner in _walk(side):
        if corner:
            put(corner)
        elif 0 <= row < side and 0 <= column < side and (row, column) not in taken:
            put(_utah(row, column))
    return found


def _walk(side: int) -> Iterator[tuple[int, int, list[Cell]]]:
    """Places of the codewords in order, up and down the diagonals; a corner's cells where due."""
    row, column = 4, 0
    while row < side or column < side:
        corner = _corner(row, column, side)
        if corner:
            yield row, column, corner
        while row >= 0 and column < side:
            yield row, column, []
            row, column = row - 2, column + 2
        row, column = row + 1, column + 3
        while row < side and column >= 0:
            yield row, column, []
            row, column = row + 2, column - 2
        row, column = row + 3, column + 1


def _utah(row: int, column: int) -> list[Cell]:
    """The cells of a codeword whose last bit is there."""
    steps = ((-2, -2), (-2, -1), (-1, -2), (-1, -1), (-1, 0), (0, -2), (0, -1), (0, 0))
    return [(row + down, column + right) for down, right in steps]


def _corner(row: int, column: int, side: int) -> list[Cell]:
    """The four special codewords, for square symbols."""
    end = side - 1
    if (row, column) == (side, 0):
        return [(end, 0), (end, 1), (end, 2), (0, end - 1), (0, end), (1, end), (2, end), (3, end)]
    first = [(end - 2, 0), (end - 1, 0), (end, 0)]
    if (row, column) == (side - 2, 0) and side % 4:
        return [*first, (0, end - 3), (0, end - 2), (0, end - 1), (0, end), (1, end)]
    if (row, column) == (side - 2, 0) and side % 8 == 4:
        return [*first, (0, end - 1), (0, end), (1, end), (2, end), (3, end)]
    if (row, column) == (side + 4, 2) and side % 8 == 0:
        above = [(0, end - 2), (0, end - 1), (0, end)]
        return [(end, 0), (end, end), *above, (1, end - 2), (1, end - 1), (1, end)]
    return []


def _wrapped(row: int, column: int, side: int) -> Cell:
    if row < 0:
        row, column = row + side, column + 4 - (side + 4) % 8
    if column < 0:
        row, column = row + 4 - (side + 4) % 8, column + side
    return row, column


_C40 = (
    {3: " "} | {at + 4: str(at) for at in range(10)} | {at + 14: chr(65 + at) for at in range(26)}
)
_TEXT = {key: char.lower() for key, char in _C40.items()}
_X12 = _C40 | {0: "\r", 1: "*", 2: ">"}
_SHIFT_2 = dict(enumerate("!\"#$%&'()*+,-./:;<=>?@[\\]^_")) | {27: SEPARATOR}
_SHIFT_3 = {
    230: {at: chr(96 + at) for at in range(32)},
    239: dict(enumerate("`ABCDEFGHIJKLMNOPQRSTUVWXYZ{|}~\x7f")),
}
_BASIC = {230: _C40, 239: _TEXT, 238: _X12}


class _Decoder:
    """Data codewords into text."""

    def __init__(self, codewords: list[int]) -> None:
        self._codewords, self._at = codewords, 0
        self.text = ""
        while self._at < len(codewords) and self._ascii():
            pass

    def _next(self) -> int:
        self._at += 1
        return self._codewords[self._at - 1]

    def _ascii(self) -> bool:
        """One codeword of the ASCII encodation; False at the end of the data."""
        value = self._next()
        if value == 129:
            return False
        if value <= 128:
            self.text += chr(value - 1)
        elif value <= 229:
            self.text += f"{value - 130:02d}"
        elif value == 232:
            self.text += SEPARATOR if self._at > 1 else ""
        elif value == 231:
            self._base_256()
        elif value == 240:
            self._edifact()
        elif value in _BASIC:
            self._triples(value)
        else:
            raise Unreadable(f"codeword {value}")
        return True

    def _triples(self, sort: int) -> None:
        """Three characters in two codewords, until 254; a last single codeword is ASCII."""
        shift = 0
        while len(self._codewords) - self._at >= 2:
            high = self._next()
            if high == 254:
                return
            whole = high * 256 + self._next() - 1
            for value in (whole // 1600, whole // 40 % 40, whole % 40):
                shift = self._character(sort, shift, value)
        if self._at < len(self._codewords) and self._codewords[self._at] == 254:
            self._at += 1

    def _character(self, sort: int, shift: int, value: int) -> int:
        if shift == 0 and value < 3 and sort != 238:
            return value + 1
        table = ({}, dict(enumerate(map(chr, range(32)))), _SHIFT_2, _SHIFT_3.get(sort, {}))[shift]
        self.text += (table or _BASIC[sort])[value]
        return 0

    def _edifact(self) -> None:
        """Four characters of six bits in three codewords, until 31; two last ones are ASCII."""
        while len(self._codewords) - self._at > 2:
            bits = "".join(f"{self._next():08b}" for _ in range(3))
            for at in range(0, 24, 6):
                value = int(bits[at : at + 6], 2)
                if value == 31:
                    self._at -= max(0, 2 - at // 6)  # the rest of a begun codeword is left
                    return
                self.text += chr(value if value & 32 else value | 64)

    def _base_256(self) -> None:
        length = self._unrandomised()
        if length >= 250:
            length = (length - 249) * 250 + self._unrandomised()
        length = length or len(self._codewords) - self._at
        self.text += bytes(self._unrandomised() for _ in range(length)).decode("latin-1")

    def _unrandomised(self) -> int:
        value = self._next()
        return (value - (149 * self._at % 255 + 1)) % 256
