"""The foot switch."""

from dataclasses import dataclass
from enum import StrEnum

from assistant.cli.command import Command, When, argument


class PedalSource(StrEnum):
    """Where the presses of a pedal come from."""

    EVDEV = "evdev"
    TERMINAL = "terminal"


@dataclass(frozen=True, kw_only=True)
class PedalOptions:
    """How to learn it."""

    source: PedalSource | None = argument(
        "--source",
        type=PedalSource,
        choices=list(PedalSource),
        metavar="SOURCE",
        help="evdev: the pedal's own device (Linux), terminal: the keys it types; without it, whichever can be read",
    )


def _pedal(options: PedalOptions) -> None:
    from assistant.senses.pedal.teach import teach

    teach(print, options.source or "")


COMMANDS = (Command("pedal", "teach the foot switch: press each switch once", PedalOptions, _pedal, When.SETTING_UP),)
