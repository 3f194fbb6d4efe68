"""The conditions that photographs are taken under, one thing wrong at a time and all together."""

from __future__ import annotations

from photographs import Conditions

CONDITIONS: dict[str, Conditions] = {
    "upright": Conditions(),
    "any angle": Conditions(angle=None),
    "perspective": Conditions(angle=None, tilt=0.1),
    "out of focus": Conditions(angle=None, blur=0.45),
    "shaken": Conditions(angle=None, shake=0.9),
    "noise": Conditions(angle=None, noise=22),
    "uneven light": Conditions(angle=None, light=0.25),
    "partial shadow": Conditions(angle=None, shadow=0.45),
    "small JPEG": Conditions(angle=None, quality=25),
    "low contrast": Conditions(angle=None, ink=105, paper=150),
    "all at once": Conditions(
        angle=None, tilt=0.06, blur=0.3, shake=0.4, noise=9,
        light=0.6, shadow=0.6, ink=50, paper=215, quality=55,
    ),
}  # fmt: skip
