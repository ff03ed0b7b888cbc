"""The mistakes of the package, by the names that its tests use."""

from assistant.loom.slips import SLIPS, Work, slipped, slips
from assistant.loom.slips import HandStep as Step

__all__ = ["SLIPS", "Step", "Work", "slipped", "slips"]
