"""Symbols to photograph: which text in which symbology, as a field of dark and light modules."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stockcheck.core.codes import gtin_check_digit, make_code

Field = NDArray[np.uint8]
_FRAME = 5  # modules of black around an ITF-14


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol: its name, the text that a reader must give with its identifier, its modules."""

    name: str
    scanned: str
    modules: Field


def _bars(line: str, height: int, quiet: int = 10) -> Field:
    """Bars from a line of 0 and 1, with their quiet zone."""
    modules = np.zeros((height + 8, len(line) + 2 * quiet), dtype=np.uint8)
    modules[4:-4, quiet:-quiet] = np.array([int(one) for one in line], dtype=np.uint8)
    return modules


def _encoded(encoder: str, text: str) -> str:
    import barcode

    plain = {"add_checksum": False} if encoder == "code39" else {}
    return str(barcode.get_barcode_class(encoder)(text, **plain).build()[0])


def _matrix(text: str, form: str, *, gs1: bool = False) -> Field:
    """A symbol of zxing-cpp's writer; black is 0 there, and 1 here."""
    import zxingcpp

    given = {"gs1": True} if gs1 else {}
    made = zxingcpp.create_barcode(text, getattr(zxingcpp.BarcodeFormat, form), **given)
    flat = np.array(made.to_image(scale=1, add_quiet_zones=False)) < 128
    return np.pad(flat.astype(np.uint8), 4 if form == "QRCode" else 2)


def gtin(dice: random.Random, length: int) -> str:
    """An invented GTIN; its number is of the sort that is given out for use within a company."""
    first = "2" if length in {8, 13} else "1"
    body = first + "".join(dice.choice("0123456789") for _ in range(length - 2))
    return body + gtin_check_digit(body)


def _elements(dice: random.Random) -> tuple[str, str]:
    """Element strings as printed in brackets and as scanned."""
    number = gtin(dice, 14)
    day = f"{dice.randrange(27, 32)}{dice.randrange(1, 13):02d}{dice.randrange(0, 29):02d}"
    batch = "".join(dice.choice("ABCDEFGH0123456789") for _ in range(dice.randrange(4, 9)))
    return f"(01){number}(17){day}(10){batch}", f"01{number}17{day}10{batch}"


def code128_of(code: str) -> Symbol:
    """One of our codes as our labels have it."""
    return Symbol("our Code 128", f"]C0{code}", _bars(_encoded("code128", code), 32))


def matrix_of(elements: str) -> Symbol:
    """A maker's code, from element strings in brackets."""
    scanned = elements.replace("(", "").replace(")", "")
    return Symbol("GS1 Data Matrix", f"]d2{scanned}", _matrix(elements, "DataMatrix", gs1=True))


def own_code128(dice: random.Random) -> Symbol:
    return code128_of(
        make_code(dice.choice(("lot", "box", "item")), dice.randrange(1, 100_000_000))
    )


def own_matrix(dice: random.Random) -> Symbol:
    code = make_code("lot", dice.randrange(1, 100_000_000))
    return Symbol("our Data Matrix", f"]d1{code}", _matrix(code, "DataMatrix"))


def gs1_128(dice: random.Random) -> Symbol:
    number = gtin(dice, 14)
    text = f"01{number}17{dice.randrange(27, 32)}1130"
    return Symbol("GS1-128", f"]C1{text}", _bars(_encoded("gs1_128", text), 40))


def gs1_matrix(dice: random.Random) -> Symbol:
    printed, scanned = _elements(dice)
    return Symbol("GS1 Data Matrix", f"]d2{scanned}", _matrix(printed, "DataMatrix", gs1=True))


def gs1_qr(dice: random.Random) -> Symbol:
    printed, scanned = _elements(dice)
    return Symbol("GS1 QR", f"]Q3{scanned}", _matrix(printed, "QRCode", gs1=True))


def link_qr(dice: random.Random) -> Symbol:
    text = f"https://example.org/01/{gtin(dice, 14)}/10/B{dice.randrange(1000)}?17=290300"
    return Symbol("QR with a link", f"]Q1{text}", _matrix(text, "QRCode"))


def ean13(dice: random.Random) -> Symbol:
    number = gtin(dice, 13)
    return Symbol("EAN-13", f"]E0{number}", _bars(_encoded("ean13", number[:-1]), 50, 11))


def ean8(dice: random.Random) -> Symbol:
    number = gtin(dice, 8)
    return Symbol("EAN-8", f"]E4{number}", _bars(_encoded("ean8", number[:-1]), 40))


def upc_a(dice: random.Random) -> Symbol:
    number = gtin(dice, 12)
    return Symbol("UPC-A", f"]E00{number}", _bars(_encoded("upca", number[:-1]), 50))


def upc_e(dice: random.Random) -> Symbol:
    """Six digits that end in 3 stand for a number with five zeros (GS1 GenSpecs, 5.2.2.4)."""
    short = "".join(dice.choice("0123456789") for _ in range(2)) + f"{dice.randrange(3, 10)}"
    last = f"{dice.randrange(100):02d}3"
    six = short + last
    body = f"0{six[:3]}00000{six[3:5]}"
    digit = gtin_check_digit(body)
    return Symbol("UPC-E", f"]E00{body}{digit}", _bars_of(_matrix(f"0{six}{digit}", "UPCE")))


def itf14(dice: random.Random) -> Symbol:
    """The bars of the writer, without the frame that it lays around them."""
    number = gtin(dice, 14)
    framed = _matrix(number, "ITF14")
    across = framed[framed.shape[0] // 2, 2 + _FRAME : -2 - _FRAME]
    line = "".join(str(one) for one in across).strip("0")
    return Symbol("ITF-14", f"]I1{number}", _bars(line, 45))


def code39(dice: random.Random) -> Symbol:
    text = "".join(dice.choice("ABCDEFGHJK0123456789-") for _ in range(8))
    return Symbol("Code 39", f"]A0{text}", _bars(_encoded("code39", text), 40))


def data_bar(dice: random.Random) -> Symbol:
    number = gtin(dice, 14)
    return Symbol("DataBar", f"]e001{number}", np.pad(_matrix(number, "DataBarOmni"), (2, 4)))


def _bars_of(modules: Field) -> Field:
    """The same bars with the quiet zone of ten modules."""
    return np.pad(modules, ((2, 2), (8, 8)))


MAKERS: dict[str, Callable[[random.Random], Symbol]] = {
    "our Code 128": own_code128,
    "our Data Matrix": own_matrix,
    "GS1-128": gs1_128,
    "GS1 Data Matrix": gs1_matrix,
    "GS1 QR": gs1_qr,
    "QR with a link": link_qr,
    "EAN-13": ean13,
    "EAN-8": ean8,
    "UPC-A": upc_a,
    "UPC-E": upc_e,
    "ITF-14": itf14,
    "Code 39": code39,
    "DataBar": data_bar,
}
