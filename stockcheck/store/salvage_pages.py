"""A store's file read page by page, past whatever is damaged; SQLite stops at the first bad page.

Source: sqlite.org/fileformat2.html (sections 1.3 header, 1.5 freelist, 1.6 b-tree pages and
overflow, 2.1 record format). A row counts only when its record adds up to the last byte. A few
pages are in memory at a time; what the disk does not give back costs that page alone.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import BinaryIO

MAGIC = b"SQLite format 3\0"
INDEX_INNER, TABLE_INNER, INDEX_LEAF, TABLE_LEAF = 2, 5, 10, 13
_SORTS = frozenset({INDEX_INNER, TABLE_INNER, INDEX_LEAF, TABLE_LEAF})
_INTEGERS = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}
_USUAL_PAGE = 4096
_KEPT_PAGES = 32  # an inner page is looked at again for its children

Value = int | float | str | bytes | None


class Damaged(Exception):
    """Something on a page does not add up."""


@dataclass(frozen=True, slots=True)
class Record:
    """A row as it lies in a page: its row number (0 in an index) and its values."""

    rowid: int
    values: tuple[Value, ...]


@dataclass(slots=True)
class Pages:
    """The pages of a file, and what was met on the way through them."""

    file: BinaryIO
    length: int
    size: int = _USUAL_PAGE
    usable: int = _USUAL_PAGE
    version: int = 0
    free: int = 0
    headed: bool = False
    whose: str = ""
    seen: set[int] = field(default_factory=set)
    bad: dict[int, str] = field(default_factory=dict)
    kept: dict[int, bytes] = field(default_factory=dict)

    @classmethod
    def of(cls, file: BinaryIO) -> Pages:
        """Read the header; where it is damaged, the usual page size is taken.

        The file must stay open while pages are read.
        """
        pages = cls(file, file.seek(0, 2))
        data = pages.bytes_of(1)[:100].ljust(100, b"\0")
        size = int.from_bytes(data[16:18], "big")
        size = 65536 if size == 1 else size
        if data[:16] == MAGIC and size >= 512 and size & (size - 1) == 0:
            pages.kept.clear()  # it was read by the usual size
            pages.headed, pages.size, pages.usable = True, size, size - data[20]
            pages.free = int.from_bytes(data[32:36], "big")
            pages.version = int.from_bytes(data[60:64], "big")
        return pages

    @property
    def count(self) -> int:
        """How many pages there are, a last one cut off included."""
        return -(-self.length // self.size)

    def bytes_of(self, number: int) -> bytes:
        """What the file has of one page; less than a page, or nothing, where there is no more."""
        found = self.kept.get(number)
        if found is None:
            while len(self.kept) >= _KEPT_PAGES:
                del self.kept[next(iter(self.kept))]
            found = self.kept[number] = self._read(number)
        return found

    def _read(self, number: int) -> bytes:
        if not 1 <= number <= self.count:
            return b""
        try:
            self.file.seek((number - 1) * self.size)
            return self.file.read(self.size)
        except OSError:
            self._note(number, "page cannot be read from the disk")
            return b""

    def page(self, number: int) -> bytes:
        """One page. Damaged for one that is not, or not wholly, in the file."""
        page = self.bytes_of(number)
        if len(page) < self.size:
            raise Damaged(f"page {number} is not in the file")
        return page

    def sort(self, number: int) -> int:
        """Which sort of b-tree page it says it is; 0 for none."""
        page, at = self.bytes_of(number), 100 if number == 1 else 0
        found = page[at] if at < len(page) else 0
        return found if found in _SORTS else 0

    def walk(self, root: int, leaf: int, name: str) -> Iterator[Record]:
        """Every readable row below a root, in order; ``leaf``: of a table, or of an index.

        ``name`` is whose pages they are, for what is told of bad ones.
        """
        self.whose = name
        inner = TABLE_INNER if leaf == TABLE_LEAF else INDEX_INNER
        waiting = [root]
        while waiting:
            number = waiting.pop()
            if number in self.seen:
                self._note(number, "page is named twice")
                continue
            sort = self.sort(number)
            if sort not in {leaf, inner}:
                here = 1 <= number <= self.count
                self._note(
                    number, "page is not what it should be" if here else "page is not in the file"
                )
                continue
            self.seen.add(number)
            yield from self.records(number)
            if sort == inner:
                waiting += reversed(self._children(number))

    def _note(self, number: int, what: str) -> None:
        self.bad.setdefault(number, f"{self.whose} {what}".strip())

    def _cells(self, page: bytes, number: int) -> list[int]:
        start = 100 if number == 1 else 0
        wide = 12 if page[start] in {INDEX_INNER, TABLE_INNER} else 8
        count = int.from_bytes(page[start + 3 : start + 5], "big")
        ends = start + wide + 2 * count
        if ends > self.usable:
            self._note(number, "page says it has more rows than fit")
            return []
        places = struct.unpack(f">{count}H", page[start + wide : ends])
        good = [at for at in places if ends <= at < self.usable]
        if len(good) < count:
            self._note(number, "page has rows that lie outside of it")
        return good

    def _children(self, number: int) -> list[int]:
        try:
            page, start = self.page(number), 100 if number == 1 else 0
        except Damaged:
            return []  # told by whoever read its rows
        found = [int.from_bytes(page[at : at + 4], "big") for at in self._cells(page, number)]
        return [*found, int.from_bytes(page[start + 8 : start + 12], "big")]

    def records(self, number: int) -> Iterator[Record]:
        """The readable rows that lie on one page."""
        try:
            page = self.page(number)
        except Damaged:
            self._note(number, "page is not wholly in the file")
            return
        sort = self.sort(number)
        if sort == TABLE_INNER:
            return
        last = None
        for at in self._cells(page, number):
            try:
                record = self._record(page, at + (4 if sort == INDEX_INNER else 0), sort)
            except (Damaged, IndexError, ValueError, struct.error):
                self._note(number, "page has a row that cannot be read")
                continue
            if sort == TABLE_LEAF and last is not None and record.rowid <= last:
                self._note(number, "page has a row out of its order")
                continue
            last = record.rowid
            yield record

    def _record(self, page: bytes, at: int, sort: int) -> Record:
        length, at = _varint(page, at)
        rowid, at = _varint(page, at) if sort == TABLE_LEAF else (0, at)
        usable = self.usable
        most = usable - 35 if sort == TABLE_LEAF else (usable - 12) * 64 // 255 - 23
        least = (usable - 12) * 32 // 255 - 23
        kept = length
        if length > most:
            kept = least + (length - least) % (usable - 4)
            kept = kept if kept <= most else least
        if length > self.length or at + kept > usable:
            raise Damaged("a row is longer than its page")
        payload = page[at : at + kept]
        if kept < length:
            payload += self._overflow(page[at + kept : at + kept + 4], length - kept)
        return Record(rowid - (1 << 64) if rowid >> 63 else rowid, _values(payload))

    def _overflow(self, link: bytes, length: int) -> bytes:
        parts, used = [], list[int]()
        while length > 0:
            number = int.from_bytes(link, "big")
            if number in self.seen or number in used:
                raise Damaged("a row goes on where it cannot")
            page = self.page(number)
            used.append(number)
            parts.append(page[4 : min(self.usable, 4 + length)])
            length -= len(parts[-1])
            link = page[:4]
        self.seen.update(used)
        return b"".join(parts)

    def skip_free(self) -> None:
        """Mark the pages that the file says are not in use, so that nothing old comes back."""
        trunk = self.free
        while trunk and trunk not in self.seen:
            try:
                page = self.page(trunk)
            except Damaged:
                return
            self.seen.add(trunk)
            count = min(int.from_bytes(page[4:8], "big"), self.usable // 4 - 2)
            self.seen.update(struct.unpack(f">{count}I", page[8 : 8 + 4 * count]))
            trunk = int.from_bytes(page[:4], "big")

    def strays(self, leaf: int) -> Iterator[int]:
        """Leaf pages that no root led to."""
        for number in range(1, self.count + 1):
            if number not in self.seen and self.sort(number) == leaf:
                self.whose = "stray"
                yield number


def _varint(data: bytes, at: int) -> tuple[int, int]:
    value = 0
    for place in range(9):
        byte = data[at + place]
        if place == 8:
            return value << 8 | byte, at + 9
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at + place + 1
    raise Damaged("no number")  # pragma: no cover - the ninth byte always ends it


def _values(payload: bytes) -> tuple[Value, ...]:
    ends, at = _varint(payload, 0)
    sorts = []
    while at < ends:
        sort, at = _varint(payload, at)
        sorts.append(sort)
    if at != ends or ends + sum(map(_length, sorts)) != len(payload):
        raise Damaged("a row does not add up")
    return tuple(_decoded(payload, at, sorts))


def _length(sort: int) -> int:
    if sort >= 12:
        return (sort - 12) // 2
    if sort in {10, 11}:
        raise Damaged("a value of no sort")
    return _INTEGERS.get(sort, 8 if sort == 7 else 0)


def _decoded(payload: bytes, at: int, sorts: Sequence[int]) -> Iterator[Value]:
    for sort in sorts:
        part = payload[at : at + _length(sort)]
        at += len(part)
        if sort == 0:
            yield None
        elif sort in {8, 9}:
            yield sort - 8
        elif sort == 7:
            yield struct.unpack(">d", part)[0]
        elif sort < 12:
            yield int.from_bytes(part, "big", signed=True)
        else:
            yield part.decode("utf-8") if sort % 2 else part
