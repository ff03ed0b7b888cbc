"""The loom of the package, by the names that its tests use."""

from assistant.loom.harness import Due, Hanging, Heddle, Shafts
from assistant.loom.harness import Harness as Loom
from assistant.loom.harness import WarpEnd as End

__all__ = ["Due", "End", "Hanging", "Heddle", "Loom", "Shafts"]
