"""Lets ``python -m stockcheck`` do what the installed command does."""

from stockcheck.cli import main

main()
