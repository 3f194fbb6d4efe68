"""The conditions that photographs are taken under, one thing wrong at a time and all together.

Lengths are in modules of the symbol, here of 3 pixels. The figures are common practice, not
measured: what a phone gives of a box in a truck. None loses what a code says: a blur of 0.45 of a
module leaves half of the contrast of one dark module among light ones (erf(0.5 / 0.45 / 2**0.5)
squared), and the weakest contrast, in the last condition's shadow, is about six times its noise.
"""

from __future__ import annotations

from photographs import Conditions

CONDITIONS: dict[str, Conditions] = {
    # a label laid flat under the phone
    "upright": Conditions(),
    # packs lie as they fall
    "any angle": Conditions(angle=None),
    # taken aslant: a side up to a fifth shorter than the opposite one
    "perspective": Conditions(angle=None, tilt=0.1),
    # too near for the lens: a spread of 1.4 pixels
    "out of focus": Conditions(angle=None, blur=0.45),
    # a hand in poor light: moved by 2.7 pixels while it was taken
    "shaken": Conditions(angle=None, shake=0.9),
    # dusk, high sensitivity
    "noise": Conditions(angle=None, noise=22),
    # a lamp from one side: a quarter of its light at the far edge
    "uneven light": Conditions(angle=None, light=0.25),
    # a lid's or a hand's hard shadow across the codes
    "partial shadow": Conditions(angle=None, shadow=0.45),
    # sent on by a program that packs hard
    "small JPEG": Conditions(angle=None, quality=25),
    # faded print, or behind a plastic bag
    "low contrast": Conditions(angle=None, ink=105, paper=150),
    # a bad photograph, but one that a person would still keep
    "all at once": Conditions(
        angle=None, tilt=0.06, blur=0.3, shake=0.4, noise=9,
        light=0.6, shadow=0.6, ink=50, paper=215, quality=55,
    ),
}  # fmt: skip
