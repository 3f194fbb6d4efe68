"""Stockcheck: what is in the kit boxes, until when it is good, and what to buy before leaving."""

__version__ = "0.1.0"
