"""Values in, values out: the rules of the trade, with no I/O, no clock and no SQL."""
