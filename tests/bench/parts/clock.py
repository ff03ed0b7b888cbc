"""How long a piece of work takes."""

from collections.abc import Callable
from time import perf_counter


def seconds(work: Callable[[], object]) -> float:
    """How long it takes once."""
    began = perf_counter()
    work()
    return perf_counter() - began
