"""What every benchmark asks for in one way, and one clear line for what cannot be."""

from argparse import ArgumentParser, ArgumentTypeError, RawDescriptionHelpFormatter
from collections.abc import Callable


def asking(told: str | None) -> ArgumentParser:
    """What reads the options of the benchmark that is told of so; `--help` shows it as it is written."""
    return ArgumentParser(description=told, formatter_class=RawDescriptionHelpFormatter, allow_abbrev=False)


def count(text: str) -> int:
    """A whole number from 1 up."""
    if not (text.isdecimal() and int(text)):
        raise ArgumentTypeError(f"'{text}' is no count; write a whole number from 1 up")
    return int(text)


def between(least: float, most: float) -> Callable[[str], float]:
    """A number from `least` to `most`."""

    def read(text: str) -> float:
        try:
            number = float(text)
        except ValueError:
            number = float("nan")
        if not least <= number <= most:
            raise ArgumentTypeError(f"'{text}' does not do; write a number from {least:g} to {most:g}")
        return number

    return read
