"""From the labels wanted to paper: drawn, read back, handed over, and only then remembered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stockcheck.cli.label_ask import CODE, DPI, PDF, STOCK
from stockcheck.cli.shell import put, say, screen_width, stamp
from stockcheck.core import label_jobs as jobs
from stockcheck.core.errors import BadInput
from stockcheck.core.printer import Setting
from stockcheck.store import prints

if TYPE_CHECKING:
    from stockcheck.cli.label_ask import Ask
    from stockcheck.cli.label_choice import Wish
    from stockcheck.labels.printing import Sheets
    from stockcheck.labels.stock import Stock
    from stockcheck.store.files import Store

TITLE = "Labels"


@dataclass(frozen=True, slots=True)
class Paper:
    """What a print goes onto: the stock, from which place on, and how the printer is set."""

    stock: Stock
    start: int
    setting: Setting
    dpi: int
    code: str
    continued: bool = False

    @property
    def size(self) -> tuple[float, float] | None:
        """Width and height of a page in mm; None where each label has its own."""
        return None if self.stock.grows else (self.stock.page_width, self.stock.page_height)


def paper_for(store: Store, ask: Ask) -> Paper:
    """The stock with its first free label: as asked, else where the last print stopped."""
    from stockcheck.labels.sheet import check_start
    from stockcheck.labels.stock import load_stock

    stock = load_stock(ask.stock or STOCK)
    setting = setting_for(store, ask)
    start, continued = ask.start or 1, False
    if ask.start is not None:
        check_start(stock, ask.start)
    elif not (ask.fresh_sheet or ask.again or stock.roll):
        start = jobs.next_start(prints.last_use(store.conn, stock.name, ask.pile), stock.per_page)
        continued = start > 1
    return Paper(stock, start, setting, ask.dpi or DPI, ask.code or CODE, continued)


def setting_for(store: Store, ask: Ask) -> Setting:
    """How the printer that was named is set; one that needs no correction where none was."""
    return prints.printer(store.conn, ask.printer).setting if ask.printer else Setting()


def drawn(wishes: Sequence[Wish], paper: Paper, copies: int = 1) -> Sheets:
    """The PDF of all labels, each as often as it is wanted."""
    from stockcheck.labels.printing import label_sheets

    every = [wish for wish in wishes for _ in range(wish.count)]
    return label_sheets(
        [wish.text for wish in every],
        paper.stock,
        dpi=paper.dpi,
        start=paper.start,
        copies=copies,
        title=TITLE,
        code=paper.code,
        setting=paper.setting,
        outline=[wish.group for wish in every],
    )


def print_all(
    store: Store, wishes: Sequence[Wish], ask: Ask, again_of: prints.Job | None = None
) -> list[str]:
    """Draw, read back, write or send, and remember; tells what was done.

    BadInput for a page with a code that does not read, and for what cannot be written: then
    nothing is remembered.
    """
    paper = paper_for(store, ask)
    sheets = drawn(wishes, paper, ask.copies)
    checked = read_back(sheets, paper.dpi, ask)
    use = jobs.SheetUse(paper.stock.per_page, paper.start, _labels(wishes, ask.copies))
    job = prints.Job(
        stock=paper.stock.name,
        use=use,
        pile=ask.pile,
        copies=again_of.copies if again_of else ask.copies,
        options=_options(ask),
        went_to=went_to(ask),
        again_of=again_of.id if again_of else None,
    )
    labels = [_label(wish, ask.copies) for wish in wishes]
    with store.writing() as conn:
        prints.note(conn, job, labels, stamp(ask.on))
        sent = hand_over(sheets.pdf, ask, TITLE, paper.size)
    return [*sheets.left_off, *sent, _count(use, paper, checked, wishes), *_left(use, paper)]


def _labels(wishes: Sequence[Wish], copies: int) -> int:
    return sum(wish.count for wish in wishes) * copies


def went_to(ask: Ask) -> str:
    """Where a print goes, as it is remembered."""
    return f"queue {ask.queue}" if ask.queue is not None else str(ask.output or PDF)


def read_back(sheets: Sheets, dpi: int, ask: Ask) -> str:
    """What reading back found, in words; the report goes to the screen.

    BadInput for a page with a code that does not read or says something else.
    """
    if not ask.verify:
        return "not read back"
    from stockcheck.labels.printing import read_back_sheets

    found = read_back_sheets(sheets, dpi)
    if ask.report:
        for line in found.report:
            say(line)
    if found.problems:
        raise BadInput(
            "labels not handed over, they do not read back: " + "; ".join(found.problems)
        )
    return f"all read back at {dpi} dpi"


def hand_over(pdf: bytes, ask: Ask, title: str, size: tuple[float, float] | None) -> list[str]:
    """Into the file or onto the queue; both where both were asked."""
    from pathlib import Path

    if ask.output or ask.queue is None:
        put(pdf, ask.output or Path(PDF))
    if ask.queue is None:
        return []
    from stockcheck.cli.label_queue import send

    answer = send(pdf, ask.queue, title, size)
    return [f"sent to queue {ask.queue}" + (f": {answer}" if answer else "")]


def _options(ask: Ask) -> dict[str, str | int]:
    """What a print that is made again takes over."""
    given = {"stock": ask.stock, "printer": ask.printer, "dpi": ask.dpi, "code": ask.code}
    return {name: value for name, value in given.items() if value is not None}


def _label(wish: Wish, copies: int) -> prints.Label:
    from stockcheck.labels.kept import words_of

    return prints.Label(
        thing=wish.thing,
        of=wish.of,
        sort=wish.sort,
        labels=wish.count * copies,
        packs=wish.packs,
        words=words_of(wish.text),
        facts=wish.facts,
        per_unit=wish.per_unit,
        replaces=wish.replaces,
    )


def _count(use: jobs.SheetUse, paper: Paper, checked: str, wishes: Sequence[Wish]) -> str:
    labels = "1 label" if use.labels == 1 else f"{use.labels} labels"
    pages = jobs.pages_used(use)
    sheets = "1 page" if pages == 1 else f"{pages} pages"
    again = sum(wish.count for wish in wishes if wish.replaces is not None)
    reprinted = f"; {again} in place of an older one" if again else ""
    return f"{labels} on {sheets} of {paper.stock.name}, {checked}{reprinted}"


def _left(use: jobs.SheetUse, paper: Paper) -> list[str]:
    """Where on its sheet the print began, and how many labels are left for the next one."""
    if paper.stock.roll or use.per_page == 1:
        return []
    began = f"from label {use.start} on" if use.start > 1 else "on a fresh sheet"
    if paper.continued:
        began = f"from label {use.start} on, where the last print stopped"
    left = jobs.left_on_sheet(use)
    return [f"{began}; {left or 'none'} left on the {'last ' * (jobs.pages_used(use) > 1)}sheet"]


def tell(store: Store, wishes: Sequence[Wish], ask: Ask) -> None:
    """What would be printed, label by label; nothing is drawn or remembered."""
    paper = paper_for(store, ask)
    for wish in wishes:
        say(told(wish, ask.copies))
    use = jobs.SheetUse(paper.stock.per_page, paper.start, _labels(wishes, ask.copies))
    sheets = _count(use, paper, "nothing printed", ())
    say("; ".join([f"would be {sheets}", *_left(use, paper)]))


def told(wish: Wish, copies: int = 1) -> str:
    """One wish in a line: ``L12  rubber solution: 3 labels (box was Water, now Truck)``."""
    count = wish.count * copies
    labels = "1 label" if count == 1 else f"{count} labels"
    sort = f" {wish.sort}" if wish.sort not in {"lot", "box", "item"} else ""
    why = f" ({wish.why})" if wish.why else ""
    where = f", {wish.text.place}" if wish.text.place else ""
    return f"{wish.text.short}  {wish.text.title}{where}:{sort} {labels}{why}"


def preview(store: Store, wishes: Sequence[Wish], ask: Ask) -> None:
    """Show the labels on the screen, or write a picture of each page; nothing is remembered."""
    paper = paper_for(store, ask)
    if ask.preview == "text":
        _as_text(wishes, paper)
        return
    shown_as_pictures(drawn(wishes, paper, ask.copies).pdf, paper.stock, ask.preview or "")


def shown_as_pictures(pdf: bytes, stock: Stock | None, name: str) -> None:
    """A PNG of each page; all after the first have their number in their name."""
    from pathlib import Path

    from stockcheck.labels.preview import pictures

    path = Path(name)
    for number, picture in enumerate(pictures(pdf, stock)):
        put(picture, path if number == 0 else path.with_stem(f"{path.stem}-{number + 1}"))


def _as_text(wishes: Sequence[Wish], paper: Paper) -> None:
    import click

    from stockcheck.labels.preview import boxed
    from stockcheck.labels.printing import laid_out

    for wish in wishes:
        stock, layout = laid_out(wish.text, paper.stock, dpi=paper.dpi, code=paper.code)
        for line in boxed(layout, stock.label_width, screen_width()):
            click.echo(line)
        if wish.count > 1:
            click.echo(f"  × {wish.count}")


def as_it_was(ask: Ask, job: prints.Job) -> Ask:
    """What a print that is made again was asked, where nothing else is given now."""
    was = job.options
    return replace(
        ask,
        stock=ask.stock or was.get("stock") or job.stock,
        printer=ask.printer or was.get("printer"),
        dpi=ask.dpi or was.get("dpi"),
        code=ask.code or was.get("code"),
        pile=ask.pile or job.pile,
        copies=1,
    )
