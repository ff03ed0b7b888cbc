"""What feet and fingers do -> events.

- gestures.py: the ups and downs of a foot switch; keys.py: keys typed in a terminal, a pedal's among them
- bounce.py: which of them count, on the page too, and which are bounces
- evdev_pedal.py: a pedal read from its own device
- teach.py: `heddlecall pedal`, which learns a pedal; settings.py: where it is kept
"""

from enum import StrEnum

BOUNCE_S = 0.4  # within which the same press once more is a bounce


class PedalSource(StrEnum):
    """Where the presses of a pedal come from."""

    EVDEV = "evdev"  # the device itself, whatever window is in front
    TERMINAL = "terminal"  # the keys it types
