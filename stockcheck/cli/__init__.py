"""The command line: one module per task of the user; it parses, calls and prints."""


def main() -> None:
    """Run the command line."""
