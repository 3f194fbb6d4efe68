"""Codes in photographs: finding, reading and marking them."""
