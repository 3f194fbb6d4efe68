"""Handing a PDF to a printer's queue through the system's own ``lp``."""

from __future__ import annotations

from stockcheck.core.errors import BadInput

_WAIT = 60  # seconds: lp only hands over, it does not wait for the print
_SAME = 0.6  # mm
_MEDIA = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "Letter": (215.9, 279.4)}


def send(pdf: bytes, queue: str, title: str, size: tuple[float, float] | None) -> str:
    """Give a PDF to ``lp`` and return what it answered; nothing is ever run through a shell.

    ``size`` is the paper in mm, None where the pages have different ones.
    BadInput where there is no ``lp``, it refuses, or it does not answer.
    """
    from subprocess import TimeoutExpired, run

    if queue.startswith("-") or not queue.strip():
        raise BadInput(f"queue {queue!r}: that is no name of a queue. 'lpstat -e' lists them")
    words = ["lp", "-d", queue, "-t", title, "-o", "print-scaling=none"]
    if size:
        words += ["-o", media(*size)]
    try:
        done = run(  # noqa: S603  # a list of words, which no shell reads
            words, input=pdf, capture_output=True, timeout=_WAIT, check=False
        )
    except FileNotFoundError as error:
        raise BadInput(
            "queue: this system has no lp program to print with. Leave --queue out and print the"
            " PDF at 100 % from a viewer"
        ) from error
    except (OSError, TimeoutExpired) as error:
        why = "it did not answer" if isinstance(error, TimeoutExpired) else error.strerror
        raise BadInput(
            f"queue {queue}: lp could not be used: {why}. Print the PDF instead"
        ) from error
    if done.returncode != 0:
        said = " ".join(done.stderr.decode("utf-8", "replace").split())
        raise BadInput(
            f"queue {queue}: lp refused it: {said or 'it does not say why'}. 'lpstat -e' lists the"
            " queues; nothing was remembered as printed"
        )
    return " ".join(done.stdout.decode("utf-8", "replace").split())


def media(wide: float, high: float) -> str:
    """The paper as lp's option has it: a size by name, or its measures in mm."""
    for name, (page_wide, page_high) in _MEDIA.items():
        if abs(wide - page_wide) <= _SAME and abs(high - page_high) <= _SAME:
            return f"media={name}"
    return f"media=Custom.{wide:g}x{high:g}mm"
